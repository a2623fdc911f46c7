package uptake

import (
	"fmt"
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// Check values computed apart from this code, in minutes and per cent, to the
// seven digits that they carry: arithmetic of the formulas at 1, 5, 15, 60, 240 and
// 1440 min.
func TestCheckValues(t *testing.T) {
	at := []float64{1, 5, 15, 60, 240, 1440}
	checked := 0
	for _, c := range []struct {
		law  Law
		p    []float64
		want []float64
	}{
		{FirstOrder(), []float64{50, 1 / 0.05}, []float64{2.438529, 11.05996, 26.38167, 47.51065, 49.99969, 50}},
		{Weibull(), []float64{50, 20, 0.6}, []float64{7.635942, 17.64567, 28.4461, 42.76565, 49.41096, 49.99989}},
		{Peleg(), []float64{1 / 0.02, 0.4 / 0.02}, []float64{2.380952, 10, 21.42857, 37.5, 46.15385, 49.31507}},
	} {
		for i, x := range at {
			if got := c.law.Value(x, c.p); !near.Rel(got, c.want[i], 6e-7) {
				t.Errorf("%s at %g min: %.9g, want %.7g", c.law.Name, x, got, c.want[i])
			}
			checked++
		}
	}
	// The same from the formula itself, to twelve digits.
	for _, x := range at {
		for _, c := range []struct{ got, want float64 }{
			{FirstOrder().Value(x, []float64{50, 20}), 50 * (1 - math.Exp(-0.05*x))},
			{Weibull().Value(x, []float64{50, 20, 0.6}), 50 * (1 - math.Exp(-math.Pow(x/20, 0.6)))},
			{Peleg().Value(x, []float64{50, 20}), x / (0.4 + 0.02*x)},
			{TwoPockets().Value(x, []float64{50, 4, 0.3, 12}), 15*(1-math.Exp(-x/4)) + 35*(1-math.Exp(-x/48))},
			{SquareRoot().Value(x, []float64{2, 3}), 2 + 3*math.Sqrt(x)},
			{Philip().Value(x, []float64{2, 3, -0.01}), 2 + 3*math.Sqrt(x) - 0.01*x},
		} {
			if near.Digits(c.got, c.want) < 12 {
				t.Errorf("at %g: %.15g, the formula %.15g", x, c.got, c.want)
			}
			checked++
		}
	}
	if checked != 54 {
		t.Fatalf("%d values checked", checked)
	}
}

// Zeros of J₀ from memory (they are in every table), and the two series of the
// cylinder against each other where both hold: two routes that share nothing.
func TestCylinder(t *testing.T) {
	for i, want := range []float64{2.404825557695773, 5.520078110286311, 8.653727912911012, 11.791534439014281} {
		if got := besselZeros()[i]; near.Digits(got, want) < 14 {
			t.Errorf("zero %d of J₀ is %.16g, want %.16g", i+1, got, want)
		}
	}
	checked := 0
	for u := 0.006; u < 0.0125; u += 0.0005 {
		f, df := early(u)
		g, dg := late(u)
		if !near.Abs(f, g, 1e-12) || !near.Rel(df, dg, 1e-10) {
			t.Errorf("at u = %g: early %.15g (%.12g), late %.15g (%.12g)", u, f, df, g, dg)
		}
		checked++
	}
	if checked < 12 {
		t.Fatalf("%d places checked", checked)
	}
	// Very early: (4/√π)√u − u, the next term being u^(3/2)/(3√π).
	for _, u := range []float64{1e-8, 1e-6, 1e-4} {
		f, _ := early(u)
		if want := 4/math.Sqrt(math.Pi)*math.Sqrt(u) - u - math.Pow(u, 1.5)/(3*math.Sqrt(math.Pi)); !near.Abs(f, want, u*u) {
			t.Errorf("at u = %g: %.12g, the first terms %.12g", u, f, want)
		}
	}
	// Volume of a slab of water: the share missing falls with α₁² at long times.
	a, _ := late(1)
	b, _ := late(1.5)
	if got, want := math.Log((1-a)/(1-b))/0.5, math.Pow(2.404825557695773, 2); !near.Rel(got, want, 1e-7) {
		t.Errorf("late rate %.9g, α₁² is %.9g", got, want)
	}
}

// lawCases are parameters at which laws are looked at.
func lawCases() map[string][]float64 {
	return map[string][]float64{
		"first-order": {0.4, 300}, "peleg": {0.4, 300}, "weibull": {0.4, 300, 0.7}, "two-pockets": {0.4, 60, 0.6, 9},
		"cylinder": {0.4, 3000}, "square-root": {0.02, 0.01}, "philip": {0.02, 0.01, -3e-5},
	}
}

// What holds for every law: gradient and rate are those of the values; uptake
// rises from nothing to the saturation; the time to a share is where the share is;
// and scaling time or mass scales the answer.
func TestLaws(t *testing.T) {
	checked := 0
	for _, l := range Laws() {
		p := lawCases()[l.Name]
		if err := l.Check(p); err != nil {
			t.Fatal(err)
		}
		g := make([]float64, len(p))
		for _, at := range []float64{5, 60, 200, 900, 5000} {
			l.Gradient(at, p, g)
			for k := range p {
				q := append([]float64(nil), p...)
				h := 1e-5 * math.Abs(p[k])
				q[k] = p[k] + h
				up := l.Value(at, q)
				q[k] = p[k] - h
				if want := (up - l.Value(at, q)) / (2 * h); !near.Abs(g[k], want, 1e-7*(math.Abs(want)+math.Abs(l.Value(at, p)/p[k]))) {
					t.Errorf("%s at %g s: derivative %d is %.9g, by differences %.9g", l.Name, at, k, g[k], want)
				}
				checked++
			}
			h := 1e-5 * at
			if want := (l.Value(at+h, p) - l.Value(at-h, p)) / (2 * h); !near.Abs(l.Rate(at, p), want, 1e-7*want+1e-14) {
				t.Errorf("%s at %g s: rate %.9g, by differences %.9g", l.Name, at, l.Rate(at, p), want)
			}
		}
		if !l.Saturates() {
			if !math.IsInf(l.TimeTo(0.5, p), 1) || !math.IsInf(l.Saturation(p), 1) {
				t.Errorf("%s has an end", l.Name)
			}
			continue
		}
		if l.Value(0, p) != 0 || !near.Rel(l.Value(1e12, p), p[0], 1e-6) {
			t.Errorf("%s goes from %g to %g", l.Name, l.Value(0, p), l.Value(1e12, p))
		}
		for _, share := range []float64{0.1, 0.5, 0.9, 0.95, 0.999} {
			if got := l.Value(l.TimeTo(share, p), p) / p[0]; !near.Abs(got, share, 1e-12) {
				t.Errorf("%s: at the time to %g it is at %.14g", l.Name, share, got)
			}
			checked++
		}
		twice := append([]float64{2 * p[0], 3 * p[1]}, p[2:]...)
		if !near.Rel(l.Value(3*70, twice), 2*l.Value(70, p), 1e-13) {
			t.Errorf("%s does not scale", l.Name)
		}
	}
	if checked < 100 {
		t.Fatalf("%d checks", checked)
	}
}

// The trade's own parameters give the curve back, and their gradients are right.
func TestTerms(t *testing.T) {
	checked := 0
	for _, l := range Laws() {
		p := lawCases()[l.Name]
		for i, term := range l.Terms(p) {
			for k := range p {
				q := append([]float64(nil), p...)
				h := 1e-6 * math.Abs(p[k])
				q[k] += h
				up := l.Terms(q)[i].Value
				q[k] -= 2 * h
				want := (up - l.Terms(q)[i].Value) / (2 * h)
				if !near.Abs(term.gradient[k], want, 1e-6*math.Abs(term.Value/p[k])) {
					t.Errorf("%s: d %s/d parameter %d is %g, by differences %g", l.Name, term.Name, k, term.gradient[k], want)
				}
				checked++
			}
		}
	}
	terms := TwoPockets().Terms([]float64{0.4, 60, 0.6, 9})
	if got := fmt.Sprintf("%.3f %.3f %.0f %.3f %.0f", terms[0].Value, terms[1].Value, terms[2].Value, terms[3].Value, terms[4].Value); got != "0.400 0.240 60 0.160 540" {
		t.Errorf("two pockets: %s", got)
	}
	if checked < 30 {
		t.Fatalf("%d derivatives checked", checked)
	}
}

func TestLawRefusals(t *testing.T) {
	for _, p := range [][]float64{{0.4}, {0, 300}, {0.4, -1}, {math.NaN(), 300}, {0.4, math.Inf(1)}} {
		if err := FirstOrder().Check(p); problem.KindOf(err) != problem.Invalid {
			t.Errorf("%v: %v", p, err)
		}
	}
	if err := TwoPockets().Check([]float64{0.4, 60, 0.6, 0.5}); err == nil {
		t.Error("a slow pocket that is the faster is taken")
	}
	if !math.IsNaN(FirstOrder().TimeTo(1, []float64{0.4, 300})) {
		t.Error("there is a time to all of it")
	}
	if _, err := LawNamed("wiebull"); err == nil || problem.All(err)[0].Hints[0] != "write --law weibull" {
		t.Errorf("%v", err)
	}
}
