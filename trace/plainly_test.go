package trace

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
)

// Quick ways through the samples, each beside the plain one that it stands for.

// wavering is noise with flats and swings in it, in steps.
func wavering(rng *rand.Rand) []float64 {
	x := make([]float64, 20+rng.IntN(300))
	period, step := 5+rng.Float64()*60, 0.05+rng.Float64()
	for i := range x {
		x[i] = step * math.Round((3*math.Sin(float64(i)/period)+rng.NormFloat64()*rng.Float64())/step)
		if i > 0 && rng.IntN(3) == 0 {
			x[i] = x[i-1]
		}
	}
	return x
}

func TestLongestStayIsTheFirstOfTheLongestRuns(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 7))
	found := 0
	for range 2000 {
		x, level := wavering(rng), rng.NormFloat64()
		sign := float64(1 - 2*rng.IntN(2))
		want := stay{}
		for from := range x {
			to := from
			for to < len(x) && sign*x[to] <= level {
				to++
			}
			if to-from > want.len() {
				want = stay{from, to}
			}
		}
		if got := longestRun(x, sign, level); got != want {
			t.Fatalf("%v, the longest run at or below %v is %v", got, level, want)
		}
		if want.len() > 0 {
			found++
		}
	}
	if found < 500 {
		t.Fatalf("only %d had a run", found)
	}
}

func TestExtentIsThatOfEachSample(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	for range 500 {
		x := wavering(rng)
		e := extentOf(x)
		count := func(v float64) (n int) {
			for _, o := range x {
				if o == v {
					n++
				}
			}
			return n
		}
		jump, least := 0.0, math.Inf(1)
		for i := 1; i < len(x); i++ {
			d := math.Abs(x[i] - x[i-1])
			if jump = max(jump, d); d > 0 {
				least = min(least, d)
			}
		}
		low, high := slices.Min(x), slices.Max(x)
		want := extent{low, high, slices.Index(x, low), slices.Index(x, high), count(low), count(high), jump, least}
		if e != want {
			t.Fatalf("%+v, want %+v of %v", e, want, x)
		}
		// Turned over, ends change places, and no step is larger than is said.
		turned := make([]float64, len(x))
		for i, v := range x {
			turned[i] = -0.7 * (v - 0.3)
		}
		got, of := e.scaled(0.3, -0.7), extentOf(turned)
		if got.jump < of.jump || got.jump > of.jump+1e-9 {
			t.Fatalf("a jump of %v, the samples have %v", got.jump, of.jump)
		}
		if got.jump, got.least = of.jump, of.least; got != of {
			t.Fatalf("scaled %+v, of the scaled samples %+v", got, of)
		}
	}
}

func TestExtremesAreThoseOfThePlainScan(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	turns := 0
	for range 2000 {
		x, clear := wavering(rng), 0.2+2*rng.Float64()
		var want []int
		high, low, up, known := 0, 0, false, false
		for i, f := range x {
			if f > x[high] {
				high = i
			}
			if f < x[low] {
				low = i
			}
			switch {
			case (!known || up) && f < x[high]-clear:
				if known {
					want = append(want, high)
				}
				known, up, low = true, false, i
			case (!known || !up) && f > x[low]+clear:
				if known {
					want = append(want, low)
				}
				known, up, high = true, true, i
			}
		}
		if got := extremes(x, 0, len(x)-1, clear); !slices.Equal(got, want) {
			t.Fatalf("%v, the plain scan has %v", got, want)
		}
		turns += len(want)
	}
	if turns < 2000 {
		t.Fatalf("only %d turns", turns)
	}
}

func TestMotionIsTheSameInPieces(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	for range 200 {
		force := wavering(rng)
		time := make([]float64, len(force))
		for i := range time {
			time[i] = float64(i) * 1e-3
		}
		c := Contact{To: len(force) - 1, End: time[len(force)-1]}
		whole := integrate(time, force, c, 0.7, 3, StandardGravity)
		var pieces motion
		half, cut := 0.5/0.7, rng.IntN(len(force))
		at := begin(c, force, 3)
		at = pieces.carry(at, time[:cut], force[:cut], nil, nil, half, StandardGravity)
		at = pieces.carry(at, time[cut:], force[cut:], nil, nil, half, StandardGravity)
		pieces.finish(at, c, half, StandardGravity)
		whole.speed, whole.stretch = nil, nil
		if !reflect.DeepEqual(pieces, whole) {
			t.Fatalf("cut at %d of %d: %+v, in one %+v", cut, len(force), pieces, whole)
		}
	}
}

// A flat of four is found wherever it begins, one of three nowhere.
func TestEveryFlatIsFound(t *testing.T) {
	for _, long := range []int{flatFewest - 1, flatFewest, flatFewest + 1} {
		for from := 1; from < 30; from++ {
			k := &take{r: Unread(), set: Settings{}}
			for i := range 40 {
				v := float64(i % 2)
				switch {
				case i >= from && i < from+long:
					v = 50
				case i >= from+long:
					v += 900
				}
				k.raw = append(k.raw, v)
			}
			k.rec = &Recording{Time: k.raw, Force: k.raw}
			k.r.Resolution, k.r.PeakForce = 1, 901
			k.r.Contacts = []Contact{{From: 0, To: 39}}
			k.judgeStuck()
			if found := len(k.r.Notes) > 0; found != (long >= flatFewest) {
				t.Fatalf("a flat of %d from sample %d on: %v", long, from, k.r.Notes)
			}
		}
	}
}
