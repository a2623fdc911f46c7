package figure

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Source: the definition of a 1-2-5 axis itself, checked by exact arithmetic on
// the labels; no tolerance.
func checkTicks(t rapid.TB, low, high float64) {
	t.Helper()
	within := TicksWithin(low, high)
	if len(within) < 3 || len(within) > 7 {
		t.Fatalf("TicksWithin(%g, %g): %d ticks, want 3 to 7", low, high, len(within))
	}
	if low < high-1e-9*math.Max(math.Abs(low), math.Abs(high)) && (within[0].Value < low || within[len(within)-1].Value > high) {
		t.Fatalf("TicksWithin(%g, %g) go from %s to %s", low, high, within[0].Label, within[len(within)-1].Label)
	}
	all := Ticks(low, high)
	if len(all) < 4 || len(all) > 7 {
		t.Fatalf("Ticks(%g, %g): %d ticks, want 4 to 7", low, high, len(all))
	}
	if all[0].Value > low || all[len(all)-1].Value < high {
		t.Fatalf("Ticks(%g, %g) go from %s to %s and do not cover it", low, high, all[0].Label, all[len(all)-1].Label)
	}
	checkSteps(t, within)
	checkSteps(t, all)
}

func checkSteps(t rapid.TB, all []Tick) {
	t.Helper()
	step := new(big.Rat)
	for i, k := range all {
		exact, ok := new(big.Rat).SetString(strings.Replace(k.Label, "−", "-", 1))
		if !ok {
			t.Fatalf("label %q is no decimal number", k.Label)
		}
		if v, _ := exact.Float64(); v != k.Value {
			t.Fatalf("label %q beside the value %v", k.Label, k.Value)
		}
		if i == 0 {
			continue
		}
		before, _ := new(big.Rat).SetString(strings.Replace(all[i-1].Label, "−", "-", 1))
		d := new(big.Rat).Sub(exact, before)
		if i == 1 {
			step = d
			if !oneTwoFive(d) {
				t.Fatalf("ticks from %s: step %s", all[0].Label, d.FloatString(20))
			}
		}
		if d.Cmp(step) != 0 {
			t.Fatalf("ticks from %s: steps of %s and %s", all[0].Label, step.FloatString(20), d.FloatString(20))
		}
		if !new(big.Rat).Quo(exact, step).IsInt() {
			t.Fatalf("tick %s is no multiple of the step %s", k.Label, step.FloatString(20))
		}
	}
}

// oneTwoFive reports whether d is 1, 2 or 5 times a power of ten.
func oneTwoFive(d *big.Rat) bool {
	ten, one := big.NewRat(10, 1), big.NewRat(1, 1)
	m := new(big.Rat).Set(d)
	for m.Cmp(ten) >= 0 {
		m.Quo(m, ten)
	}
	for m.Cmp(one) < 0 {
		m.Mul(m, ten)
	}
	return m.Cmp(one) == 0 || m.Cmp(big.NewRat(2, 1)) == 0 || m.Cmp(big.NewRat(5, 1)) == 0
}

func TestTicksOfManyRanges(t *testing.T) {
	n := 0
	for _, scale := range []float64{1e-9, 1e-3, 0.1, 1, 3, 7, 9.99, 10, 1e3, 1e6, 1e12} {
		for _, at := range []float64{0, 1, -1, 0.3, -12.7, 100, 12345.678} {
			for _, span := range []float64{1, 1.01, 1.5, 1.999, 2, 2.4, 2.5, 3, 4.999, 5, 6, 7, 7.0001, 9.999} {
				low := at * scale
				checkTicks(t, low, low+span*scale)
				n++
			}
		}
	}
	if n < 1000 {
		t.Fatalf("only %d ranges were checked", n)
	}
	rapid.Check(t, func(t *rapid.T) {
		a := float64(rapid.IntRange(-1e12, 1e12).Draw(t, "a")) / 1e6 // a range below 1e-300 counts as none
		b := float64(rapid.IntRange(-1e12, 1e12).Draw(t, "b")) / 1e6
		checkTicks(t, math.Min(a, b), math.Max(a, b))
	})
}

func TestTicksOfAPoint(t *testing.T) {
	for _, v := range []float64{0, 3.5, -2, 1e-12, 1e300, 5e-324, math.Nextafter(1, 2)} {
		checkTicks(t, v, v)
	}
	checkTicks(t, 1, math.Nextafter(1, 2))
}

func TestTicksOfNoRange(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, r := range [][2]float64{{nan, 1}, {0, nan}, {-inf, 0}, {0, inf}, {inf, inf}, {2, 1}} {
		if got := Ticks(r[0], r[1]); got != nil {
			t.Errorf("Ticks(%g, %g) = %v, want none", r[0], r[1], got)
		}
	}
}

// Worked by hand: steps of 0.1 are the case where adding up goes wrong.
func TestTickLabels(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0.1, 0.62, "0.1 0.2 0.3 0.4 0.5 0.6 0.7"},
		{3.41, 4.4, "3.4 3.6 3.8 4.0 4.2 4.4"},
		{-5.8, 13.7, "−10 −5 0 5 10 15"},
		{0, 60000, "0 10000 20000 30000 40000 50000 60000"},
		{-0.0000004, 0.0000011, "−0.0000005 0.0000000 0.0000005 0.0000010 0.0000015"},
	} {
		var got []string
		for _, k := range Ticks(c.low, c.high) {
			got = append(got, k.Label)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("Ticks(%g, %g): %s, want %s", c.low, c.high, s, c.want)
		}
	}
}

func TestScaleMapsItsEnds(t *testing.T) {
	s := Scale{Low: 2, High: 6, From: 300, To: 100}
	for _, c := range [][2]float64{{2, 300}, {6, 100}, {3, 250}} {
		if got := s.At(c[0]); got != c[1] {
			t.Errorf("At(%g) = %g, want %g", c[0], got, c[1])
		}
	}
}
