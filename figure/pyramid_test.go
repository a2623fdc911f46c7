package figure

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// equalBits holds that two lists have the same numbers, NaN among them.
func equalBits(a, b []float64) bool {
	return slices.EqualFunc(a, b, func(x, y float64) bool { return math.Float64bits(x) == math.Float64bits(y) })
}

// The law of a Pyramid: it gives what Thin, which looks at every sample, gives
// of the same samples. Exact, so no tolerance. Times are uneven, values repeat
// (so that the first of equals matters) and some are missing.
func TestPyramidIsThin(t *testing.T) {
	thinned, levels := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 3000).Draw(t, "n")
		step := rapid.SampledFrom([]float64{1e-4, 0.01, 1}).Draw(t, "step")
		seed := rapid.Uint64().Draw(t, "seed")
		kinds := rapid.SampledFrom([]uint64{4, 9000}).Draw(t, "kinds")
		time, value := make([]float64, n), make([]float64, n)
		at := 0.0
		next := func() uint64 { // xorshift: faster than drawing each
			seed ^= seed << 13
			seed ^= seed >> 7
			seed ^= seed << 17
			return seed
		}
		if seed == 0 {
			seed = 1
		}
		for i := range time {
			at += step * (1e-3 + float64(next()%1000)/300)
			time[i], value[i] = at, float64(next()%kinds)-2
			if next()%11 == 0 {
				value[i] = math.NaN()
			}
		}
		from := rapid.Float64Range(-0.2, 1).Draw(t, "from") * at
		to := from + rapid.Float64Range(0, 1.2).Draw(t, "span")*at
		buckets := rapid.IntRange(1, 60).Draw(t, "buckets")
		p := NewPyramid(time, value)
		gotT, gotV := p.Thin(from, to, buckets)
		wantT, wantV := Thin(time, value, from, to, buckets)
		if !equalBits(gotT, wantT) || !equalBits(gotV, wantV) {
			t.Fatalf("%d samples, window %g to %g, %d buckets:\n%v\n%v\nlooking at every sample:\n%v\n%v", n, from, to, buckets, gotT, gotV, wantT, wantV)
		}
		if len(wantT) > 0 && len(wantT) < n/2 {
			thinned++
		}
		levels = max(levels, len(p.levels))
	})
	if thinned < 8 || levels < 3 {
		t.Errorf("%d windows were thinned, of up to %d levels: the law was hardly tried", thinned, levels)
	}
}

// Every block of every level has the extremes of its samples.
func TestPyramidLevels(t *testing.T) {
	time, value := ramp(10_007)
	value[5000], value[5001] = 7, -7
	p := NewPyramid(time, value)
	looked := 0
	for _, l := range p.levels {
		for b, x := range l.blocks {
			part := value[b*l.block : min((b+1)*l.block, len(value))]
			if x.low != slices.Min(part) || x.high != slices.Max(part) || value[x.lowAt] != x.low || value[x.highAt] != x.high {
				t.Fatalf("block %d of %d samples: %g to %g", b, l.block, x.low, x.high)
			}
			looked++
		}
	}
	if top := p.levels[len(p.levels)-1]; looked < 800 || len(top.blocks) > pyramidStep {
		t.Errorf("looked at %d blocks, %d on top", looked, len(top.blocks))
	}
}

func TestPyramidOfLittle(t *testing.T) {
	var none *Pyramid
	if x, _ := none.Thin(0, 1, 10); x != nil || none.Len() != 0 || none.Bytes() != 0 {
		t.Error("no pyramid has samples")
	}
	for n := range 40 {
		time, value := ramp(n)
		got, _ := NewPyramid(time, value).Thin(math.Inf(-1), math.Inf(1), 5)
		want, _ := Thin(time, value, math.Inf(-1), math.Inf(1), 5)
		if !equalBits(got, want) {
			t.Errorf("%d samples: %v, want %v", n, got, want)
		}
	}
}

// ThinLoop keeps how far a loop reaches either way, its ends and its order.
func TestThinLoopKeepsExtremes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 900).Draw(t, "n")
		points := rapid.IntRange(4, 120).Draw(t, "points")
		a, b := rapid.Float64Range(1, 40).Draw(t, "a"), rapid.Float64Range(1, 40).Draw(t, "b")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = math.Sin(a*float64(i)), math.Cos(b*float64(i*i))
		}
		tx, ty := ThinLoop(x, y, points)
		if slices.Min(tx) != slices.Min(x) || slices.Max(tx) != slices.Max(x) || slices.Min(ty) != slices.Min(y) || slices.Max(ty) != slices.Max(y) {
			t.Fatal("an extreme is lost")
		}
		if tx[0] != x[0] || ty[len(ty)-1] != y[n-1] || len(tx) > max(n, 5*(points/4)+1) && n > points {
			t.Fatalf("%d points of %d", len(tx), n)
		}
		at := 0
		for i := range tx {
			for at < n && (x[at] != tx[i] || y[at] != ty[i]) {
				at++
			}
			if at == n {
				t.Fatalf("point %d is none of the loop's, or out of order", i)
			}
		}
	})
}

const tenMillion = 10_000_000

func BenchmarkPyramidBuild(b *testing.B) {
	time, value := ramp(tenMillion)
	for b.Loop() {
		NewPyramid(time, value)
	}
}

// Windows of ten million samples, from all of them to a thousandth, into as
// many columns as a wide screen has.
func BenchmarkPyramidThin(b *testing.B) {
	time, value := ramp(tenMillion)
	p := NewPyramid(time, value)
	length := time[len(time)-1]
	for _, share := range []float64{1, 0.1, 0.001} {
		b.Run(fmt.Sprintf("%g of it", share), func(b *testing.B) {
			k := 0
			for b.Loop() {
				from := length * (1 - share) * float64(k%97) / 97
				p.Thin(from, from+share*length, 1500)
				k++
			}
		})
	}
}
