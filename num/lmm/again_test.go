package lmm_test

import (
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// Fits made again have the estimates, standard errors, degrees of freedom, ratios and
// F of fits made by themselves, for one term, several, nested and crossed, and slopes
// tied and not, on bounds and off them. 1e-7: both are exact, in another order.
func TestAgainIsRefit(t *testing.T) {
	checked, bounds := 0, 0
	out := blocks{"rope": func(_, s, _ int) int { return s % 2 }}
	for name, c := range map[string]struct {
		specimens []int
		more      blocks
		slope     string
	}{
		"one term":    {[]int{3, 4, 3}, nil, ""},
		"rope":        {[]int{3, 4, 3}, out, ""},
		"rope, day":   {[]int{5, 5, 4}, blocks{"rope": out["rope"], "day": func(_, s, f int) int { return (s + f) % 3 }}, ""},
		"slopes":      {[]int{5, 4, 5}, nil, "tied"},
		"slopes, own": {[]int{5, 4, 5}, out, "independent"},
	} {
		m, d := laid(3, c.specimens, 4, false, 100, c.more)
		if c.slope != "" {
			m.Random[0].SlopeName, m.Random[0].Independent = "fall", c.slope == "independent"
			for i := range m.Y {
				m.Random[0].Slope = append(m.Random[0].Slope, float64(i%4+1))
			}
		}
		base := fitted(t, m)
		again := base.Again(lmm.KenwardRoger)
		rows := [][]float64{
			lmm.Difference(at(t, d, "c1", true), at(t, d, "c0", true)), lmm.Difference(at(t, d, "c2", false), at(t, d, "c0", false)), at(t, d, "c1", true),
		}
		for seed := range uint64(4) {
			other, _ := laid(seed+10, c.specimens, 4, false, []float64{100, 0}[seed%2], c.more)
			want, err := base.Refit(other.Y)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			got, err := again.Fit(other.Y)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			bounds += len(got.Record.Boundary)
			a, err := want.Contrasts(rows, lmm.KenwardRoger)
			if err != nil {
				t.Fatal(err)
			}
			b, err := got.Contrasts(rows, lmm.KenwardRoger)
			if err != nil {
				t.Fatal(err)
			}
			for i := range rows {
				x, y := a.Each[i], b.Each[i]
				if !near.Rel(y.Estimate, x.Estimate, 1e-9) || !near.Rel(y.SE, x.SE, 1e-7) || !near.Rel(y.DF, x.DF, 1e-7) {
					t.Errorf("%s %d, contrast %d: %+v, by itself %+v", name, seed, i, y, x)
				}
				checked++
			}
			f, err := want.FTest(rows[:2], lmm.KenwardRoger)
			if err != nil {
				t.Fatal(err)
			}
			if g, err := got.FTest(rows[:2], lmm.KenwardRoger); err != nil || !near.Rel(g.F, f.F, 1e-7) || !near.Rel(g.DF2, f.DF2, 1e-6) {
				t.Errorf("%s %d: %+v, by itself %+v, %v", name, seed, g, f, err)
			}
		}
	}
	if checked != 60 || bounds < 5 {
		t.Fatalf("%d contrasts checked, %d on a bound", checked, bounds)
	}
}
