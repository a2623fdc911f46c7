package lmm

import (
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

var small = flag.Int("small", 250, "small drop tests in which the search is tried")

// meagre is a drop test of 3 to 10 specimens with 2 to 6 falls, a fifth of the
// rows gone, some spreads zero, and one of five sets of random terms: data in
// which the deviance has flat parts, corners and several minima.
func meagre(r *rand.Rand, kind int) (Model, bool) {
	specimens, falls := 3+r.IntN(8), 2+r.IntN(5)
	some := func() float64 { return 2 * r.Float64() * float64(r.IntN(2)) }
	between, tilt, days, within := some(), some()/2, some()/2, 0.05+r.Float64()
	day := []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
	var m Model
	var rows [][]float64
	s, d := Term{Name: "specimen", SlopeName: "fall"}, Term{Name: "day"}
	for i := range specimens {
		b, c := between*r.NormFloat64(), tilt*r.NormFloat64()
		for f := range falls {
			if r.Float64() < 0.2 {
				continue
			}
			x, on := float64(f), r.IntN(3)
			rows = append(rows, []float64{1, float64(i % 2), x})
			s.Level, s.Slope, d.Level = append(s.Level, i), append(s.Slope, x), append(d.Level, on)
			m.Y = append(m.Y, b+c*x+days*day[on]+within*r.NormFloat64())
		}
	}
	if len(rows) < 8 {
		return m, false
	}
	x := mat.NewDense(len(rows), 3, nil)
	for i, v := range rows {
		x.SetRow(i, v)
	}
	m.X, m.Names, m.Random = x, []string{"intercept", "a", "fall"}, []Term{s}
	if kind == 0 || kind == 3 {
		m.Random[0].Slope = nil
	}
	m.Random[0].Independent = kind == 2
	if kind >= 3 {
		m.Random = append(m.Random, d)
	}
	return m, true
}

// lowest is the lowest deviance of 12 descents from points all over.
func lowest(f *Fit, r *rand.Rand) float64 {
	rest := append([]float64(nil), f.y...)
	f.frame.basis.project(rest)
	e := f.frame.newEngine()
	e.response(rest)
	s := newSearch(f.frame, e)
	best := math.Inf(1)
	for range 12 {
		x := s.start()
		for i := range x {
			x[i] = r.NormFloat64()
			if s.min.bounded[i] {
				x[i] = math.Exp(1.5 * x[i])
			}
		}
		if end := s.descend(x); end.decrement < 1e-6 {
			best = min(best, end.value)
		}
	}
	return best
}

// The search finds the lowest minimum in all but a few of such data, ends where
// it says, and either answers or refuses in one of the package's ways.
func TestSearchFindsTheLowestMinimum(t *testing.T) {
	r := rand.New(rand.NewPCG(77, 1))
	fits, missed := 0, 0
	for i := range *small {
		m, enough := meagre(r, i%5)
		if !enough {
			continue
		}
		f, err := New(m, Method(r.IntN(2)))
		if err != nil {
			if !errors.Is(err, ErrConfounded) && !errors.Is(err, ErrNoSpread) {
				t.Errorf("case %d: %v", i, err)
			}
			continue
		}
		fits++
		if !f.Record.Converged {
			t.Errorf("case %d: %+v", i, f.Record)
		}
		if best := lowest(f, r); best < f.Deviance-1e-6 {
			missed++
			t.Logf("case %d: lower by %.2g, %+v, θ %.3g", i, f.Deviance-best, f.Record, f.Theta)
		}
		if slices.Max(f.Theta) > thetaMuch {
			continue // at the edge of being refused
		}
		if g, err := f.Refit(m.Y); err != nil || math.Abs(g.Deviance-f.Deviance) > 1e-6 {
			t.Errorf("case %d: Refit to the same values: %v", i, err)
		}
	}
	if fits < *small/2 || missed > 1+*small/500 {
		t.Errorf("%d fits, a lower minimum seen in %d", fits, missed)
	}
}
