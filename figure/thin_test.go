package figure

import (
	"math"
	"sort"
	"testing"

	"pgregory.net/rapid"
)

// The law that Thin is for: in any window, what is drawn has the data's own
// largest and smallest value, at their own times. Exact, so no tolerance.
func TestThinKeepsEveryPeak(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 400).Draw(t, "n")
		time, value := make([]float64, n), make([]float64, n)
		at := rapid.Float64Range(-5, 5).Draw(t, "start")
		for i := range time {
			at += rapid.Float64Range(1e-6, 0.1).Draw(t, "dt")
			time[i] = at
			value[i] = rapid.Float64Range(-100, 9000).Draw(t, "v")
		}
		from := rapid.Float64Range(-6, 20).Draw(t, "from")
		to := from + rapid.Float64Range(0, 20).Draw(t, "span")
		buckets := rapid.IntRange(1, 60).Draw(t, "buckets")

		high, low, inside := math.Inf(-1), math.Inf(1), 0
		for i := range time {
			if time[i] >= from && time[i] <= to {
				high, low = math.Max(high, value[i]), math.Min(low, value[i])
				inside++
			}
		}
		tt, vv := Thin(time, value, from, to, buckets)
		if inside == 0 {
			if len(tt) != 0 {
				t.Fatalf("%d points from an empty window", len(tt))
			}
			return
		}
		gotLow, gotHigh := extent(vv)
		if gotHigh != high || gotLow != low {
			t.Fatalf("drawn from %g to %g, data from %g to %g", gotLow, gotHigh, low, high)
		}
		if len(tt) > 2*buckets+2 {
			t.Fatalf("%d points for %d buckets", len(tt), buckets)
		}
		for i := range tt {
			k := sort.SearchFloat64s(time, tt[i])
			if k == n || time[k] != tt[i] || value[k] != vv[i] {
				t.Fatalf("point %d (%g, %g) is no sample", i, tt[i], vv[i])
			}
			if i > 0 && tt[i] <= tt[i-1] {
				t.Fatalf("times %g and %g are out of order", tt[i-1], tt[i])
			}
		}
	})
}

// Each bucket keeps its own peak, not only the window: two spikes one sample
// wide, far apart, the lower one too.
func TestThinKeepsLocalPeaks(t *testing.T) {
	time, value := ramp(100_000)
	value[20_000], value[70_001] = 500, 900
	_, v := Thin(time, value, 0, time[len(time)-1], 300)
	found := 0
	for _, x := range v {
		if x == 500 || x == 900 {
			found++
		}
	}
	if found != 2 {
		t.Errorf("%d of 2 spikes are drawn", found)
	}
}

func TestThinPassesOverNaN(t *testing.T) {
	nan := math.NaN()
	time := []float64{0, 1, 2, 3, 4, 5, 6, 7}
	_, v := Thin(time, []float64{nan, nan, 3, nan, -1, nan, 2, nan}, 0, 7, 2)
	low, high := extent(v)
	if low != -1 || high != 3 {
		t.Errorf("drawn from %g to %g, want -1 to 3", low, high)
	}
	for _, x := range v {
		if math.IsNaN(x) {
			t.Error("NaN was kept")
		}
	}
}

func TestThinLeavesItsArgumentsAlone(t *testing.T) {
	time, value := ramp(10)
	tt, vv := Thin(time, value, 0, 1, 100)
	if len(tt) == 0 {
		t.Fatal("nothing came back")
	}
	tt[0], vv[0] = 99, 99
	if time[0] == 99 || value[0] == 99 {
		t.Error("the result shares memory with the samples")
	}
}

func ramp(n int) (time, value []float64) {
	time, value = make([]float64, n), make([]float64, n)
	for i := range time {
		time[i] = float64(i) / 10_000
		value[i] = math.Sin(float64(i) / 1000)
	}
	return time, value
}

// A page of one million samples, as the trace page asks for.
func BenchmarkThinMillion(b *testing.B) {
	time, value := ramp(1_000_000)
	for b.Loop() {
		Thin(time, value, 0, 100, 900)
	}
}
