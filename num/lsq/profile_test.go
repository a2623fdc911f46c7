package lsq_test

import (
	"errors"
	"math"
	"testing"

	"fallwright.example/num/lsq"
	"fallwright.example/refdata"
)

// saturating are three curves with their profile intervals by R 4.2.2
// (refdata/lsq/make_reference.R), ends printed to nine digits. Puromycin
// (treated) and BOD are the examples of [BatesWatts1988].
func saturating() []struct {
	set  refdata.NLS
	ends map[float64][2][2]float64 // by level: of a, of b
} {
	hyperbola := func(x float64, p []float64) float64 { return p[0] * x / (p[1] + x) }
	first := func(x float64, p []float64) float64 { return p[0] * (1 - math.Exp(-p[1]*x)) }
	return []struct {
		set  refdata.NLS
		ends map[float64][2][2]float64
	}{
		{
			refdata.NLS{
				Name: "Puromycin", Starts: [2][]float64{{200, 0.05}}, Model: hyperbola,
				X: []float64{0.02, 0.02, 0.06, 0.06, 0.11, 0.11, 0.22, 0.22, 0.56, 0.56, 1.1, 1.1},
				Y: []float64{76, 47, 97, 107, 123, 139, 159, 152, 191, 201, 207, 200},
			},
			map[float64][2][2]float64{
				0.95: {{197.301933, 229.289055}, {0.046920342, 0.0861569134}},
				0.80: {{203.080228, 222.749657}, {0.0530318173, 0.0770355015}},
			},
		},
		{
			refdata.NLS{
				Name: "BOD", Starts: [2][]float64{{20, 0.5}}, Model: first,
				X: []float64{1, 2, 3, 4, 5, 7}, Y: []float64{8.3, 10.3, 19, 16, 15.6, 19.8},
			},
			map[float64][2][2]float64{
				0.95: {{14.0493642, 38.456198}, {0.131397747, 1.80816959}},
				0.80: {{16.0161209, 24.8184171}, {0.279248474, 0.967757759}},
			},
		},
		{
			refdata.NLS{
				Name: "BoxBOD", Starts: [2][]float64{{100, 0.75}}, Model: first,
				X: []float64{1, 2, 3, 5, 7, 10}, Y: []float64{109, 149, 149, 191, 213, 224},
			},
			map[float64][2][2]float64{
				0.95: {{180.967005, 258.567777}, {0.302589623, 1.0730532}},
				0.80: {{194.868331, 236.032626}, {0.395543435, 0.774036363}},
			},
		},
	}
}

func solve(t *testing.T, p lsq.Problem, start ...float64) *lsq.Fit {
	t.Helper()
	f, err := lsq.Solve(p, start)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestProfile(t *testing.T) {
	checked := 0
	for _, c := range saturating() {
		f := solve(t, problemOf(c.set), c.set.Starts[0]...)
		for level, ends := range c.ends {
			for k, want := range ends {
				lower, upper, err := f.Profile(k, level)
				if err != nil {
					t.Fatal(err)
				}
				for i, got := range []float64{lower, upper} {
					checked++
					if math.Abs(got-want[i]) > 2e-8*math.Abs(want[i]) { // printed to nine digits; R's inner search leaves one
						t.Errorf("%s, parameter %d at %g: end %d is %.9g, R has %.9g", c.set.Name, k, level, i, got, want[i])
					}
				}
			}
		}
	}
	if checked != 24 {
		t.Fatalf("%d ends checked", checked)
	}
}

// line is a straight line, for which the profile is the t interval exactly.
func line() lsq.Problem {
	x, y := []float64{0, 1, 2, 3, 4, 5}, []float64{1.1, 2.9, 5.2, 7.1, 8.8, 11.2}
	return lsq.Problem{Observations: 6, Residuals: func(p, r []float64) {
		for i := range x {
			r[i] = y[i] - p[0] - p[1]*x[i]
		}
	}}
}

func TestProfileOfALineIsItsInterval(t *testing.T) {
	f := solve(t, line(), 0, 0)
	for k := range 2 {
		lower, upper := f.Interval(k, 0.95)
		low, high, err := f.Profile(k, 0.95)
		if err != nil || math.Abs(low-lower) > 1e-8 || math.Abs(high-upper) > 1e-8 {
			t.Errorf("parameter %d: profile %g to %g, interval %g to %g, %v", k, low, high, lower, upper, err)
		}
	}
	// Slope and its error by the textbook sums, x̄ = 2.5, Sxx = 17.5, Sxy = 35.05.
	if want := 35.05 / 17.5; math.Abs(f.P[1]-want) > 1e-12 {
		t.Errorf("slope %.15g, want %.15g", f.P[1], want)
	}
	if want := f.SD / math.Sqrt(17.5); math.Abs(f.SE(1)-want) > 1e-12 {
		t.Errorf("its error %.15g, want %.15g", f.SE(1), want)
	}
	// At x̄ the fitted value has the error s/√6: covariance counts.
	if got, want := f.SEOf([]float64{1, 2.5}), f.SD/math.Sqrt(6); math.Abs(got-want) > 1e-12 {
		t.Errorf("error of the mean %.15g, want %.15g", got, want)
	}
}

// TestUnlimited: times too short to tell a saturation leave its upper end open.
func TestUnlimited(t *testing.T) {
	x, y := []float64{1, 2, 3, 4, 5, 6}, []float64{1.02, 1.97, 3.05, 3.96, 5.04, 5.97}
	p := lsq.Problem{Observations: 6, Lower: []float64{0, 0}, Residuals: func(p, r []float64) {
		for i := range x {
			r[i] = y[i] - p[0]*-math.Expm1(-p[1]/p[0]*x[i])
		}
	}}
	f := solve(t, p, 50, 1)
	lower, upper, err := f.Profile(0, 0.95)
	if err != nil || !math.IsInf(upper, 1) || !(lower > 10) {
		t.Errorf("saturation from %g to %g, %v: want open above", lower, upper, err)
	}
}

func TestBounds(t *testing.T) {
	p := line()
	p.Lower, p.Upper = []float64{math.Inf(-1), 0}, []float64{math.Inf(1), 1.5}
	f := solve(t, p, 0, 1)
	// Held at 1.5 the intercept is ȳ − 1.5·x̄ = 6.05 − 3.75.
	if f.P[1] != 1.5 || math.Abs(f.P[0]-2.3) > 1e-9 || !f.Fixed[1] || f.Fixed[0] {
		t.Errorf("%v, fixed %v: want 2.3, 1.5 and the slope at its bound", f.P, f.Fixed)
	}
	if !math.IsNaN(f.SE(1)) {
		t.Errorf("a parameter at its bound has a standard error of %g", f.SE(1))
	}
	if _, upper, err := f.Profile(1, 0.95); err != nil || upper != 1.5 {
		t.Errorf("its profile ends at %g, %v: want the bound", upper, err)
	}
}

// TestBoundInTheWay: a narrow valley aslant to a bound. The least within it lies
// in a corner of one bound, where a step cut off at each bound by itself would go
// uphill. With y ≤ 1 held, x is the least of (x − 3)² + 100·(x − y − 1)² there.
func TestBoundInTheWay(t *testing.T) {
	for _, start := range [][2]float64{{0, 0}, {5, -3}, {-2, 1}, {2, 0.9}} {
		p := lsq.Problem{
			Observations: 3, Upper: []float64{math.Inf(1), 1},
			Residuals: func(p, r []float64) {
				r[0], r[1], r[2] = p[0]-3, 10*(p[0]-p[1]-1), 1
			},
		}
		f := solve(t, p, start[0], start[1])
		want := (3 + 100*2) / 101.0
		if math.Abs(f.P[0]-want) > 1e-9 || f.P[1] != 1 || !f.Fixed[1] || f.Iterations > 12 {
			t.Errorf("from %v: %.12g after %d steps, want %.12g and 1", start, f.P, f.Iterations, want)
		}
	}
}

// TestOffset: a descent that may end a hundredth of a standard error from the
// minimum ends there, with fewer steps than one to the last digit, and says so.
func TestOffset(t *testing.T) {
	for _, set := range refdata.NISTNLS() {
		exact := solve(t, problemOf(set), set.Starts[0]...)
		p := problemOf(set)
		p.Offset = 0.01
		near := solve(t, p, set.Starts[0]...)
		if !(near.Offset <= 0.01 && exact.Offset < 1e-5) || near.Evaluations >= exact.Evaluations {
			t.Errorf("%s: offset %g after %d evaluations, %g after %d", set.Name, near.Offset, near.Evaluations, exact.Offset, exact.Evaluations)
		}
		for k := range near.P {
			if out := math.Abs(near.P[k]-exact.P[k]) / exact.SE(k); !(out < 0.01*1.2*math.Sqrt(float64(len(near.P)))) {
				t.Errorf("%s: parameter %d is %.3g standard errors out", set.Name, k, out)
			}
		}
	}
}

// TestProfileByTheCallersJacobian: the same ends as by differences.
func TestProfileByTheCallersJacobian(t *testing.T) {
	c := saturating()[0]
	p, calls := problemOf(c.set), 0
	byDifference := solve(t, p, c.set.Starts[0]...)
	p.Jacobian = func(at, j []float64) {
		calls++
		n := len(at)
		for i, x := range c.set.X {
			for k := range at {
				moved := append([]float64(nil), at...)
				h := 1e-6 * at[k]
				moved[k] += h
				up := c.set.Model(x, moved)
				moved[k] -= 2 * h
				j[i*n+k] = -(up - c.set.Model(x, moved)) / (2 * h)
			}
		}
	}
	f := solve(t, p, c.set.Starts[0]...)
	before := calls
	for k := range f.P {
		low, high, err := f.Profile(k, 0.95)
		wantLow, wantHigh, _ := byDifference.Profile(k, 0.95)
		if err != nil || math.Abs(low/wantLow-1) > 1e-8 || math.Abs(high/wantHigh-1) > 1e-8 {
			t.Errorf("parameter %d: %.12g to %.12g, by differences %.12g to %.12g, %v", k, low, high, wantLow, wantHigh, err)
		}
	}
	if calls == before {
		t.Error("the profile took no slopes from the caller")
	}
	if _, _, err := f.Ends(0, -1); err == nil {
		t.Error("ends at -1 standard errors")
	}
}

func TestRefusals(t *testing.T) {
	nowhere := lsq.Problem{Observations: 3, Residuals: func(p, r []float64) {
		for i := range r {
			r[i] = math.Log(p[0])
		}
	}}
	bounded := line()
	bounded.Lower = []float64{5, 5}
	short := line()
	short.Lower = []float64{5}
	slow := problemOf(refdata.NISTNLS()[4])
	slow.MostEvaluations = 20
	for name, c := range map[string]struct {
		problem lsq.Problem
		start   []float64
		want    error
	}{
		"no parameter":          {line(), nil, lsq.ErrShape},
		"too few":               {line(), make([]float64, 7), lsq.ErrTooFew},
		"start is not a number": {line(), []float64{math.NaN(), 0}, lsq.ErrNotFinite},
		"no model at the start": {nowhere, []float64{-1}, lsq.ErrNotFinite},
		"start out of bounds":   {bounded, []float64{0, 6}, lsq.ErrRange},
		"one bound for two":     {short, []float64{6, 6}, lsq.ErrShape},
		"evaluations used up":   {slow, []float64{25, 39, 41.5, 39}, lsq.ErrNoProgress},
	} {
		if _, err := lsq.Solve(c.problem, c.start); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// TestNotToldApart: of a·b only the product can be had, and no error of either.
func TestNotToldApart(t *testing.T) {
	p := lsq.Problem{Observations: 3, Residuals: func(p, r []float64) {
		for i := range r {
			r[i] = float64(i+1) - p[0]*p[1]*float64(i)
		}
	}}
	f := solve(t, p, 1, 1)
	if _, err := f.Covariance(); !errors.Is(err, lsq.ErrRange) || !math.IsNaN(f.SE(0)) {
		t.Errorf("covariance: %v, standard error %g", err, f.SE(0))
	}
}

// TestAICc against AIC(nls) of BoxBOD by R 4.2.2, which keeps the constant
// m·(1 + ln 2π) and lacks 2k(k+1)/(m−k−1) = 12, k = 3, m = 6.
func TestAICc(t *testing.T) {
	const ofR = 54.6550401621
	f := solve(t, problemOf(refdata.NISTNLS()[3]), 100, 0.75)
	want := ofR - 6*(1+math.Log(2*math.Pi)) + 12
	if math.Abs(f.AICc()-want) > 1e-6 { // R stops at 1e-5 of the least
		t.Errorf("AICc %g, want %g", f.AICc(), want)
	}
}

func BenchmarkMisra1a(b *testing.B) {
	set := refdata.NISTNLS()[0]
	p := problemOf(set)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := lsq.Solve(p, set.Starts[1]); err != nil {
			b.Fatal(err)
		}
	}
}
