package varcomp

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/refdata"
)

// columns returns a published table: values, and factors of which each lies in
// the one before.
func columns(t *testing.T, name string, within ...string) (y []float64, nested []Factor) {
	t.Helper()
	c, err := refdata.Precision(name)
	if err != nil {
		t.Fatal(err)
	}
	if y, err = c.Numbers("value"); err != nil || len(y) < 20 {
		t.Fatalf("%s: %d values, %v", name, len(y), err)
	}
	path := make([]string, len(y))
	for _, w := range within {
		for i, s := range c.Text(w) {
			path[i] += "/" + s
		}
		nested = append(nested, Factor{w, numbered(path)})
	}
	return y, nested
}

func numbered(names []string) []int {
	numbers, out := map[string]int{}, make([]int, len(names))
	for i, n := range names {
		if _, there := numbers[n]; !there {
			numbers[n] = len(numbers)
		}
		out[i] = numbers[n]
	}
	return out
}

func digits(t *testing.T, what string, got, want float64, least float64) {
	t.Helper()
	if d := near.Digits(got, want); d < least {
		t.Errorf("%s = %.12g, want %.10g: %.1f digits", what, got, want, d)
	}
}

// A crossed study with an empty cell, worked by hand: a 0 has 1 2 | 4 | 7 and a 1
// has 3 5 | – | 9 at the levels of b.
func TestCrossedByHand(t *testing.T) {
	y := []float64{1, 2, 4, 7, 3, 5, 9}
	a, b := []int{0, 0, 0, 0, 1, 1, 1}, []int{0, 0, 1, 2, 0, 0, 2}
	x, err := Crossed(y, Factor{"a", a}, Factor{"b", b}, true, "r")
	if err != nil {
		t.Fatal(err)
	}
	// Differences 2.5 (variance 1/2 + 1/2) and 2 (variance 1 + 1): weighted mean
	// d = (2.5/1 + 2/2)/(1 + 1/2) = 7/3, SS(a) = d²·(1 + 1/2), interaction
	// (2.5 − d)²/1 + (2 − d)²/2, residual 1/2 + 2.
	d := 7. / 3
	digits(t, "a", x.Lines[0].SS, d*d*1.5, 12)
	digits(t, "interaction", x.Lines[2].SS, (2.5-d)*(2.5-d)+(2-d)*(2-d)/2, 12)
	digits(t, "residual", x.Lines[3].SS, 2.5, 12)
	if x.Lines[1].DF != 2 || x.Lines[2].DF != 1 || x.Lines[3].DF != 2 {
		t.Errorf("degrees of freedom %+v", x.Lines)
	}
	if _, err := Crossed([]float64{1, 2, 3, 4}, Factor{"a", []int{0, 0, 1, 1}}, Factor{"b", []int{0, 0, 1, 1}}, true, "r"); !errors.Is(err, ErrConfounded) {
		t.Errorf("groups that share no level: %v", err)
	}
	// Again with numbers that rounding does not bring back to zero.
	var v []float64
	a, b = nil, nil
	for level, n := range []int{3, 7, 11, 3, 7, 11} {
		for i := range n {
			v, a, b = append(v, float64(i*i%5)), append(a, level/3), append(b, level)
		}
	}
	if _, err := Crossed(v, Factor{"a", a}, Factor{"b", b}, true, "r"); !errors.Is(err, ErrConfounded) {
		t.Errorf("groups that share no level, uneven: %v", err)
	}
}

// Dyestuff and Pastes [Davies1972]: mean squares as printed, components as
// found by lme4 1.1-31 with REML, which for equal numbers and no negative
// component is the analysis of variance.
func TestNestedPublished(t *testing.T) {
	y, f := columns(t, "dyestuff", "batch")
	d, err := Nested(y, f, "residual")
	if err != nil {
		t.Fatal(err)
	}
	digits(t, "MS between", d.Lines[0].MS, 11271.5, 13)
	digits(t, "MS within", d.Lines[1].MS, 2451.25, 13)
	digits(t, "F", d.Lines[0].F, 4.59827, 6)
	digits(t, "p", d.Lines[0].P, 0.0043975, 5)
	digits(t, "batch", d.Estimate[0], 1764.05, 13)
	y, f = columns(t, "pastes", "batch", "cask")
	p, err := Nested(y, f, "residual")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1.65731091, 8.43366593, 0.67799995} {
		digits(t, p.Lines[i].Name, p.Estimate[i], want, 5.5) // where an optimiser stopped
	}
	if !d.Balanced || !p.Balanced || p.Lines[1].DF != 20 || p.Lines[1].Against != 30 {
		t.Errorf("balanced %v and %v, cask on %g and %g", d.Balanced, p.Balanced, p.Lines[1].DF, p.Lines[1].Against)
	}
}

// [NISTHB151] 3.2.3.2 and 3.2.3.3, nested and crossed: sums of squares to all
// digits printed; F there is against the residual.
func TestMachines(t *testing.T) {
	y, f := columns(t, "machines", "machine", "operator")
	n, err := Nested(y, f, "residual")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ ss, df, f float64 }{{0.00030332, 4, 8.76647}, {0.0000186, 5, 0.43006}, {0.000346, 40, 1}} {
		l := n.Lines[i]
		digits(t, l.Name, l.SS, want.ss, 8)
		digits(t, l.Name+" F", l.MS/n.Lines[2].MS, want.f, 5)
		if l.DF != want.df {
			t.Errorf("%s on %g", l.Name, l.DF)
		}
	}
	c, _ := refdata.Precision("machines")
	x, err := Crossed(y, f[0], Factor{"operator", numbered(c.Text("operator"))}, true, "residual")
	if err != nil {
		t.Fatal(err)
	}
	digits(t, "operator", x.Lines[1].SS, 3.92e-6, 8)
	digits(t, "interaction", x.Lines[2].SS, 1.468e-5, 8)
	if x.Lines[1].DF != 1 || x.Lines[2].DF != 4 || x.Estimate[2] >= 0 {
		t.Errorf("on %g and %g, interaction %g, which should be negative", x.Lines[1].DF, x.Lines[2].DF, x.Estimate[2])
	}
}

// What a component adds to an expected sum of squares is the sum of squares of
// each of its levels' indicators: the expectation of y'Ay is tr(A·zz')·σ².
// Uneven numbers, three levels deep and crossed with an empty cell.
func TestExpectedByIndicators(t *testing.T) {
	rope := []int{0, 0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2}
	piece := []int{0, 0, 0, 1, 1, 2, 3, 3, 4, 4, 5, 5, 5, 6, 6}
	rig := []int{0, 1, 1, 2, 2, 0, 0, 1, 1, 1, 0, 2, 2, 2, 1}
	y := make([]float64, len(rope))
	for i := range y {
		y[i] = math.Sin(float64(7*i)) + float64(rope[i])
	}
	for name, build := range map[string]func(y []float64) (*Table, error){
		"nested": func(y []float64) (*Table, error) {
			return Nested(y, []Factor{{"rope", rope}, {"piece", piece}}, "fall")
		},
		"crossed": func(y []float64) (*Table, error) {
			return Crossed(y, Factor{"rope", rope}, Factor{"rig", rig}, true, "fall")
		},
		"additive": func(y []float64) (*Table, error) {
			return Crossed(y, Factor{"rope", rope}, Factor{"rig", rig}, false, "fall")
		},
	} {
		got, err := build(y)
		if err != nil {
			t.Fatal(err)
		}
		cell := make([]int, len(y))
		for i := range cell {
			cell[i] = 10*rope[i] + rig[i]
		}
		components := map[string][][]int{"nested": {rope, piece}, "crossed": {rope, rig, cell}, "additive": {rope, rig}}[name]
		components = append(components, each(len(y)))
		checked := 0
		for c, level := range components {
			for i := range got.Lines {
				sum := 0.0
				for l := range 40 {
					z := make([]float64, len(y))
					for v := range z {
						if level[v] == l {
							z[v] = 1
						}
					}
					one, err := build(z)
					if err != nil {
						t.Fatal(err)
					}
					sum += one.Lines[i].MS
				}
				checked++
				if !near.Abs(got.Lines[i].Expected[c], sum, 1e-12) {
					t.Errorf("%s: %s, component %d: %.12g, by indicators %.12g", name, got.Lines[i].Name, c, got.Lines[i].Expected[c], sum)
				}
			}
		}
		if checked != len(components)*len(components) || got.Balanced {
			t.Fatalf("%s: %d checks, balanced %v", name, checked, got.Balanced)
		}
	}
}

// A single MS has the exact χ² interval; a ratio of two MS at the F quantile
// gives a limit at zero exactly, which is how the method is built. Both are
// closed forms, so the tolerance is rounding.
func TestLimitsExact(t *testing.T) {
	tab := &Table{Lines: []Line{{DF: 5}, {DF: 24, MS: 2}}, weight: [][]float64{{0.2, -0.2}, {0, 1}}}
	low, high := tab.Limits([]float64{0, 1}, 0.95)
	// χ² on 24 at 0.025 and 0.975, any table: 39.3641, 12.4012.
	digits(t, "lower", low, 2*24/39.3641, 5)
	digits(t, "upper", high, 2*24/12.4012, 5)
	const f = 3.154816 // F(5, 24) at 0.025, from tables 3.155
	tab.Lines[0].MS = 2 * f
	low, _ = tab.Limits([]float64{1, 0}, 0.95)
	if !near.Abs(low, 0, 1e-5) {
		t.Errorf("lower limit at the F quantile %g", low)
	}
	if low, _ = tab.Limits([]float64{-1, 0}, 0.95); low >= 0 {
		t.Error("a negative weight gave a positive limit")
	}
}

// How often the 95 % intervals hold the truth, 1500 draws of Dyestuff's shape
// and of a crossed study, for a component, the total and a share: within 93
// and 98.5 % (the method is slightly wide where a component is small; 4 standard
// errors of the simulation are 2.2 %).
func TestCoverage(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	const draws = 1500
	batch := make([]int, 30)
	a, b := make([]int, 60), make([]int, 60)
	for i := range batch {
		batch[i] = i / 5
	}
	for i := range a {
		a[i], b[i] = i/6, i/2%3
	}
	effects := func(n int, sd float64) []float64 {
		e := make([]float64, n)
		for i := range e {
			e[i] = sd * random.NormFloat64()
		}
		return e
	}
	type target struct {
		name        string
		part, whole []float64
		truth       float64
		held        int
	}
	count := func(tab *Table, targets []*target) {
		for _, g := range targets {
			low, high := 0.0, 0.0
			if g.whole == nil {
				low, high = tab.Limits(g.part, 0.95)
			} else {
				low, high = tab.Share(g.part, g.whole, 0.95)
			}
			if low <= g.truth && g.truth <= high {
				g.held++
			}
		}
	}
	one := []*target{
		{"batch", []float64{1, 0}, nil, 0.5, 0},
		{"total", []float64{1, 1}, nil, 1.5, 0},
		{"share", []float64{1, 0}, []float64{1, 1}, 1. / 3, 0},
	}
	two := []*target{
		{"operator", []float64{0, 1, 0, 0}, nil, 0.3, 0},
		{"gauge", []float64{0, 1, 1, 1}, nil, 1.5, 0},
		{"gauge share", []float64{0, 1, 1, 1}, []float64{1, 1, 1, 1}, 1.5 / 5.5, 0},
	}
	for range draws {
		e, y := effects(6, math.Sqrt(0.5)), effects(30, 1)
		for i := range y {
			y[i] += e[batch[i]]
		}
		tab, err := Nested(y, []Factor{{"batch", batch}}, "r")
		if err != nil {
			t.Fatal(err)
		}
		count(tab, one)
		p, o, po, y := effects(10, 2), effects(3, math.Sqrt(0.3)), effects(30, math.Sqrt(0.2)), effects(60, 1)
		for i := range y {
			y[i] += p[a[i]] + o[b[i]] + po[3*a[i]+b[i]]
		}
		if tab, err = Crossed(y, Factor{"p", a}, Factor{"o", b}, true, "r"); err != nil {
			t.Fatal(err)
		}
		count(tab, two)
	}
	for _, g := range append(one, two...) {
		share := float64(g.held) / draws
		t.Logf("%s: %.2f %%", g.name, 100*share)
		if share < 0.93 || share > 0.985 {
			t.Errorf("%s: %.2f %% hold the truth", g.name, 100*share)
		}
	}
}

func TestRefusals(t *testing.T) {
	y := []float64{1, 2, 3, 4}
	for name, c := range map[string]struct {
		y     []float64
		level []int
		want  error
	}{
		"short":     {y, []int{0, 1}, ErrShape},
		"nan":       {[]float64{1, math.NaN(), 3, 4}, []int{0, 0, 1, 1}, ErrNotFinite},
		"huge":      {[]float64{1, 1e200, 3, 4}, []int{0, 0, 1, 1}, ErrNotFinite},
		"one level": {y, []int{7, 7, 7, 7}, ErrTooFew},
		"each":      {y, []int{0, 1, 2, 3}, ErrTooFew},
		"none":      {nil, nil, ErrTooFew},
	} {
		if _, err := Nested(c.y, []Factor{{"f", c.level}}, "r"); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
	flat, err := Nested([]float64{5, 5, 5, 5}, []Factor{{"f", []int{0, 0, 1, 1}}}, "r")
	if err != nil || flat.Estimate[0] != 0 || !math.IsNaN(flat.Lines[0].F) {
		t.Errorf("constant values: %+v, %v", flat, err)
	}
}

// The same answer on a constant of a million: two-pass centring.
func TestOffset(t *testing.T) {
	y, f := columns(t, "pastes", "batch", "cask")
	base, _ := Nested(y, f, "r")
	for i := range y {
		y[i] += 1 << 20
	}
	far, err := Nested(y, f, "r")
	if err != nil {
		t.Fatal(err)
	}
	for i := range base.Estimate {
		digits(t, base.Lines[i].Name, far.Estimate[i], base.Estimate[i], 8)
	}
}

func BenchmarkShare(b *testing.B) {
	c, err := refdata.Precision("gauge")
	if err != nil {
		b.Fatal(err)
	}
	y, _ := c.Numbers("value")
	parts, operators := Factor{"p", numbered(c.Text("part"))}, Factor{"o", numbered(c.Text("operator"))}
	for b.Loop() {
		t, err := Crossed(y, parts, operators, true, "r")
		if err != nil {
			b.Fatal(err)
		}
		t.Share([]float64{0, 1, 1, 1}, []float64{1, 1, 1, 1}, 0.95)
	}
}

// 10 000 values in 2 000 specimens of 400 ropes.
func BenchmarkNested(b *testing.B) {
	y, rope, piece := make([]float64, 10000), make([]int, 10000), make([]int, 10000)
	for i := range y {
		y[i], rope[i], piece[i] = math.Sin(float64(i)), i/25, i/5
	}
	for b.Loop() {
		if _, err := Nested(y, []Factor{{"rope", rope}, {"piece", piece}}, "fall"); err != nil {
			b.Fatal(err)
		}
	}
}
