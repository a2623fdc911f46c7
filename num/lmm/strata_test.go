package lmm_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// laid is an experiment of conditions with numbers of specimens and falls, its
// values drawn, with more random terms by specimen and fall.
func laid(seed uint64, specimens []int, falls int, trend bool, between float64, blocks map[string]func(condition, specimen, fall int) int) (lmm.Model, *lmm.Design) {
	random := rand.New(rand.NewPCG(seed, 3))
	var condition, fall lmm.Factor
	condition.Name, fall.Name = "condition", "fall"
	var x []float64
	var m lmm.Model
	terms := []lmm.Term{{Name: "specimen"}}
	names := []string{}
	for _, name := range []string{"day", "rope"} {
		if blocks[name] != nil {
			names = append(names, name)
			terms = append(terms, lmm.Term{Name: name})
		}
	}
	effect := map[string]float64{}
	label := 0
	for c, n := range specimens {
		condition.Levels = append(condition.Levels, fmt.Sprint("c", c))
		for s := range n {
			own := between * random.NormFloat64()
			for f := range falls {
				y := 8000 + 250*float64(f) + 60*float64(c) + own + 100*random.NormFloat64()
				terms[0].Level = append(terms[0].Level, label)
				for k, name := range names {
					level := blocks[name](c, s, f)
					key := fmt.Sprint(name, level)
					if _, drawn := effect[key]; !drawn {
						effect[key] = between * random.NormFloat64()
					}
					y += effect[key]
					terms[k+1].Level = append(terms[k+1].Level, level)
				}
				condition.Code, fall.Code = append(condition.Code, c), append(fall.Code, f)
				x, m.Y = append(x, float64(f+1)), append(m.Y, y)
			}
			label++
		}
	}
	v := lmm.Variables{Rows: len(m.Y), Factors: []lmm.Factor{condition}}
	names = []string{"condition"}
	switch {
	case trend:
		v.Covariates = []lmm.Covariate{{Name: "fall", Value: x}}
		names = append(names, "fall", "condition:fall")
	case falls > 1:
		for f := range falls {
			fall.Levels = append(fall.Levels, fmt.Sprint(f+1))
		}
		v.Factors = append(v.Factors, fall)
		names = append(names, "fall", "condition:fall")
	}
	m.Random = terms
	if falls == 1 {
		m.Random = terms[1:]
	}
	d, err := v.Design(names...)
	if err != nil {
		panic(err)
	}
	m.X, m.Names = d.X, d.Names
	return m, d
}

type blocks = map[string]func(condition, specimen, fall int) int

// Values taken apart by strata give what the fit of all rows gives: variances,
// estimates, standard errors and degrees of freedom by Kenward-Roger, of
// averages and of single cells, on the bounds and off them. Tolerance 1e-5: where
// the search of the fit ends.
func TestStrataAreTheFit(t *testing.T) {
	checked, bounds := 0, 0
	for name, c := range map[string]struct {
		specimens []int
		falls     int
		trend     bool
		more      blocks
	}{
		"even":          {[]int{3, 3, 3}, 5, false, nil},
		"uneven":        {[]int{2, 5, 3}, 4, false, nil},
		"trend":         {[]int{3, 4, 4}, 5, true, nil},
		"one value":     {[]int{4, 4, 6}, 1, false, nil},
		"rope":          {[]int{4, 4, 4}, 3, false, blocks{"rope": func(_, s, _ int) int { return s % 4 }}},
		"two a rope":    {[]int{4, 4, 4}, 3, false, blocks{"rope": func(_, s, _ int) int { return s / 2 }}},
		"rope and day":  {[]int{6, 6}, 2, false, blocks{"rope": func(_, s, _ int) int { return s % 3 }, "day": func(_, s, _ int) int { return s / 3 }}},
		"day by fall":   {[]int{4, 4}, 4, true, blocks{"day": func(_, _, f int) int { return f }}},
		"rope, a value": {[]int{6, 6, 6}, 1, false, blocks{"rope": func(_, s, _ int) int { return s / 2 }}},
	} {
		for seed := range uint64(6) {
			m, d := laid(seed, c.specimens, c.falls, c.trend, []float64{150, 20, 0}[seed%3], c.more)
			s, err := m.Strata()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			full := fitted(t, m)
			bounds += len(full.Record.Boundary)
			f := s.NewFit()
			if err := f.Fit(s.Squares(m.Y)); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			for i, comp := range full.Components {
				if !near.Abs(f.Gamma[i], comp.Covariance[0][0], 1e-4*full.ResidualVariance+1e-4*comp.Covariance[0][0]) {
					t.Errorf("%s %d: variance of %s %g, the fit has %g", name, seed, comp.Term, f.Gamma[i], comp.Covariance[0][0])
				}
			}
			first, second := at(t, d, "c0", c.falls > 1 && !c.trend), at(t, d, "c1", c.falls > 1 && !c.trend)
			over := [2][]float64{at(t, d, "c0", false), at(t, d, "c1", false)}
			rows := [][]float64{lmm.Difference(second, first), lmm.Difference(over[1], over[0]), second}
			r, err := s.Rows(rows)
			if err != nil {
				t.Fatal(err)
			}
			set, err := full.Contrasts(rows, lmm.KenwardRoger)
			if err != nil {
				t.Fatal(err)
			}
			estimates := r.Estimates(m.Y)
			corr := f.Correlation(r, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
			for i, want := range set.Each {
				parts := make([]float64, len(s.Load))
				for k := range parts {
					parts[k] = r.Parts[k][i*3+i]
				}
				v, df := f.Spread(parts)
				if !near.Abs(estimates[i], want.Estimate, 1e-6*100) || !near.Rel(math.Sqrt(v), want.SE, 1e-5) || !near.Rel(df, want.DF, 1e-4) {
					t.Errorf("%s %d, contrast %d: %g ± %g on %g, the fit has %g ± %g on %g", name, seed, i, estimates[i], math.Sqrt(v), df, want.Estimate, want.SE, want.DF)
				}
				for j := range i {
					if !near.Abs(corr.At(i, j), set.Correlation.At(i, j), 1e-4) {
						t.Errorf("%s %d: correlation %g, the fit has %g", name, seed, corr.At(i, j), set.Correlation.At(i, j))
					}
				}
				checked++
			}
			checkRatio(t, name, f, r, full, second, first, d)
		}
	}
	if checked != 9*6*3 || bounds < 10 {
		t.Fatalf("%d contrasts checked, %d variances on their bound", checked, bounds)
	}
}

func at(t *testing.T, d *lmm.Design, condition string, first bool) []float64 {
	t.Helper()
	levels := map[string]string{"condition": condition}
	if first {
		levels["fall"] = "1"
	}
	return row(t, d, levels)
}

func checkRatio(t *testing.T, name string, f *lmm.StrataFit, r *lmm.Rows, full *lmm.Fit, a, b []float64, _ *lmm.Design) {
	t.Helper()
	want, err := full.Ratio(a, b, lmm.KenwardRoger)
	if err != nil {
		t.Fatal(err)
	}
	// Rows 0 and 2 are a − b and a: b is their difference.
	var forms [][3]float64
	for _, p := range r.Parts {
		aa, ad, dd := p[2*3+2], p[0*3+2], p[0*3+0]
		forms = append(forms, [3]float64{aa, aa - ad, aa - 2*ad + dd})
	}
	x := want.Base()
	got := f.Ratio(want.Value()*x, x, forms)
	for _, at := range []float64{0.9, 1.05} {
		g, w := got.At(at), want.At(at)
		if !near.Rel(g.SE, w.SE, 1e-5) || !near.Rel(g.DF, w.DF, 1e-4) {
			t.Errorf("%s, ratio %g: ± %g on %g, the fit has ± %g on %g", name, at, g.SE, g.DF, w.SE, w.DF)
		}
	}
}

// Whatever the sums of squares, no variance can move without raising the deviance: its
// slope is zero for those above zero and not downwards for those at zero.
func TestStrataFitIsLeast(t *testing.T) {
	m, _ := laid(1, []int{6, 6}, 2, false, 100, blocks{"rope": func(_, s, _ int) int { return s % 3 }, "day": func(_, s, _ int) int { return s / 3 }})
	s, err := m.Strata()
	if err != nil {
		t.Fatal(err)
	}
	f, random := s.NewFit(), rand.New(rand.NewPCG(6, 6))
	squares := make([]float64, len(s.Degrees))
	bounds := 0
	for draw := range 2000 {
		for k, r := range s.Degrees {
			if squares[k] = 0; r > 0 {
				squares[k] = r * math.Exp(2*random.NormFloat64())
			}
		}
		if err := f.Fit(squares); err != nil {
			t.Fatal(err)
		}
		for i, gamma := range f.Gamma {
			slope, size := 0.0, 0.0
			for k, load := range s.Load {
				a, b := s.Degrees[k]*load[i]/f.Xi[k], squares[k]*load[i]/(f.Xi[k]*f.Xi[k])
				slope, size = slope+a-b, size+a+b
			}
			if gamma == 0 {
				bounds++
				slope = min(slope, 0)
			}
			if math.Abs(slope) > 1e-5*size {
				t.Fatalf("draw %d: the deviance falls by %g with variance %d, %g, of %v", draw, slope, i, gamma, squares)
			}
		}
	}
	if bounds < 500 {
		t.Fatalf("%d variances on their bound", bounds)
	}
}

// What does not fall apart is refused: a rope that holds the conditions unevenly
// or is of another size, blocks crossed out of proportion, slopes, unequal spread.
func TestStrataRefuse(t *testing.T) {
	checked := 0
	refuse := func(name string, m lmm.Model) {
		t.Helper()
		checked++
		if _, err := m.Strata(); !errors.Is(err, lmm.ErrNotBalanced) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, more := range map[string]blocks{
		"uneven conditions": {"rope": func(c, s, _ int) int { return (s/3 + c) % 2 }},
		"uneven size":       {"rope": func(_, s, _ int) int { return s / 3 }},
		"unequal counts":    {"rope": func(_, s, _ int) int { return s % 2 }, "day": func(_, s, _ int) int { return []int{0, 1, 0, 1, 1, 0}[s%6] }},
		"out of proportion": {"rope": func(_, s, _ int) int { return s / 2 }, "day": func(_, s, _ int) int { return []int{0, 1, 1, 2, 2, 0}[s%6] }},
	} {
		m, _ := laid(1, []int{4, 4}, 3, false, 100, more)
		if name == "out of proportion" || name == "unequal counts" {
			m, _ = laid(1, []int{6, 6}, 3, false, 100, more)
		}
		refuse(name, m)
	}
	m, _ := laid(1, []int{4, 4}, 3, false, 100, nil)
	slope, spread := m, m
	slope.Random = []lmm.Term{m.Random[0]}
	slope.Random[0].Slope, slope.Random[0].SlopeName = make([]float64, len(m.Y)), "fall"
	for i := range slope.Random[0].Slope {
		slope.Random[0].Slope[i] = float64(i % 3)
	}
	refuse("slope", slope)
	spread.Spread = &lmm.Spread{Name: "condition", Group: make([]int, len(m.Y)), Groups: []string{"c0"}}
	refuse("spread", spread)
	one, _ := laid(1, []int{1, 1}, 3, false, 100, nil)
	refuse("one specimen", one)
	if checked != 7 {
		t.Fatalf("%d checked", checked)
	}
}
