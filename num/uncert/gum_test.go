package uncert

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fallwright.example/internal/near"
)

// endGauge is the calibration of an end gauge, lengths in nm:
// l = l_s + d − l_s·(δα·θ + α_s·δθ), with d in three parts and θ = θ̄ + Δ.
func endGauge() (Model, []Input) {
	model := func(x []float64) float64 {
		ls, d, alphaS, dAlpha, theta, dTheta := x[0], x[1]+x[2]+x[3], x[4], x[5], x[6]+x[7], x[8]
		return ls + d - ls*(dAlpha*theta+alphaS*dTheta)
	}
	return model, []Input{
		{Name: "l_s", Value: 50_000_623, Standard: 25, Freedom: 18},
		{Name: "d", Value: 215, Standard: 5.8, Freedom: 24},
		{Name: "d1", Standard: 3.9, Freedom: 5},
		{Name: "d2", Standard: 6.7, Freedom: 8},
		{Name: "alpha_s", Value: 11.5e-6, Standard: 1.2e-6, Shape: Rectangular},
		{Name: "d_alpha", Standard: 0.58e-6, Freedom: 50, Shape: Rectangular},
		{Name: "theta", Value: -0.1, Standard: 0.2},
		{Name: "Delta", Standard: 0.35, Shape: Arcsine},
		{Name: "d_theta", Standard: 0.029, Freedom: 2, Shape: Rectangular},
	}
}

// Source: [JCGM100] H.1. Published 50 000 838 nm, u_c 32, ν_eff 16, k₉₉ 2.92,
// U₉₉ 93, second order 34; the further digits from the same inputs by an
// independent program, to which the tolerances belong.
func TestEndGauge(t *testing.T) {
	model, inputs := endGauge()
	r, err := Propagate(model, inputs, nil)
	if err != nil {
		t.Fatal(err)
	}
	k, err := r.Coverage(0.99)
	if err != nil {
		t.Fatal(err)
	}
	u, err := r.Expanded(0.99)
	if err != nil {
		t.Fatal(err)
	}
	rounded := slices.Clone(inputs)
	rounded[6].Standard, rounded[7].Standard = 0.41, 0
	second, err := SecondOrder(model, rounded, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"value", r.Value, 50_000_838, 1e-6},
		{"standard uncertainty", r.Standard, 31.705, 0.5e-3},
		{"degrees of freedom", r.Freedom, 16.64, 0.5e-2},
		{"coverage factor", k, 2.9208, 0.5e-4},
		{"expanded uncertainty", u, 92.6, 0.05},
		// With θ in one part of u = 0.41, as the publication rounds it.
		{"second order", second.Standard, 33.906, 0.5e-3},
		// Exact: −l_s·δα·θ and −l_s·α_s·δθ have no square terms.
		{"shift", second.Shift, 0, 1e-3},
		// Exact: ∂l/∂δα = −l_s·θ and ∂l/∂δθ = −l_s·α_s; the rest by the model.
		{"c of l_s", r.Budget[0].Sensitivity, 1, 1e-9},
		{"c of δα", r.Budget[5].Sensitivity, 50_000_623 * 0.1, 1},
		{"c of δθ", r.Budget[8].Sensitivity, -50_000_623 * 11.5e-6, 1e-4},
		{"c of θ", r.Budget[6].Sensitivity, 0, 1e-6},
		{"c of α_s", r.Budget[4].Sensitivity, 0, 1e-1},
		{"part of l_s", r.Budget[0].Part, 25, 1e-6},
	} {
		if !near.Abs(c.got, c.want, c.tol) {
			t.Errorf("%s is %.10g, want %.10g", c.what, c.got, c.want)
		}
	}
	// d alone: u(d) = 9.682 nm on 25.4, published 9.7 and 25.
	d, err := FromShares(215, []Share{
		{Name: "d", Input: 5.8, Freedom: 24, Sensitivity: 1},
		{Name: "d1", Input: 3.9, Freedom: 5, Sensitivity: 1},
		{Name: "d2", Input: 6.7, Freedom: 8, Sensitivity: -1},
	})
	if err != nil || !near.Abs(d.Standard, 9.682, 0.5e-3) || !near.Abs(d.Freedom, 25.4, 0.05) {
		t.Errorf("d: %+v, %v", d, err)
	}
}

// readings returns mean, standard uncertainty of the mean, and the correlation
// of columns observed together.
func readings(columns ...[]float64) (inputs []Input, corr [][]float64) {
	n := float64(len(columns[0]))
	for _, c := range columns {
		in := Input{Freedom: n - 1}
		for _, v := range c {
			in.Value += v / n
		}
		for _, v := range c {
			in.Standard += (v - in.Value) * (v - in.Value) / n / (n - 1)
		}
		in.Standard = math.Sqrt(in.Standard)
		inputs = append(inputs, in)
	}
	corr = make([][]float64, len(columns))
	for i := range corr {
		corr[i] = make([]float64, len(columns))
		corr[i][i] = 1
		for j := range i {
			r := 0.0
			for k := range columns[i] {
				r += (columns[i][k] - inputs[i].Value) * (columns[j][k] - inputs[j].Value) / n / (n - 1)
			}
			corr[i][j] = r / inputs[i].Standard / inputs[j].Standard
			corr[j][i] = corr[i][j]
		}
	}
	return inputs, corr
}

// Source: [JCGM100] H.2, resistance, reactance and impedance from voltage,
// current and phase observed together five times. Digits printed there or, where
// there are more here, from the same data by an independent program; tolerance
// half a unit of the last.
func TestImpedance(t *testing.T) {
	inputs, corr := readings(
		[]float64{5.007, 4.994, 5.005, 4.990, 4.999},
		[]float64{19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3},
		[]float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433},
	)
	var results []Result
	for _, model := range []Model{
		func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] },
	} {
		r, err := Propagate(model, inputs, corr)
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(r.Freedom, 4, 1e-12) { // observed together: all have n − 1
			t.Errorf("%g degrees of freedom, want 4", r.Freedom)
		}
		results = append(results, r)
	}
	between := func(a, b int) float64 {
		r, err := Correlation(results[a], results[b], corr)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"u(V)", inputs[0].Standard, 0.00320936, 0.5e-8},
		{"u(I)", inputs[1].Standard, 0.00947101e-3, 0.5e-11},
		{"u(φ)", inputs[2].Standard, 0.000752064, 0.5e-9},
		{"r(V, I)", corr[0][1], -0.3553, 0.5e-4},
		{"r(V, φ)", corr[0][2], 0.8576, 0.5e-4},
		{"r(I, φ)", corr[1][2], -0.6451, 0.5e-4},
		{"R", results[0].Value, 127.7322, 0.5e-4},
		{"u(R)", results[0].Standard, 0.07107, 0.5e-5},
		{"X", results[1].Value, 219.8465, 0.5e-4},
		{"u(X)", results[1].Standard, 0.29558, 0.5e-5},
		{"Z", results[2].Value, 254.2597, 0.5e-4},
		{"u(Z)", results[2].Standard, 0.23634, 0.5e-5},
		{"r(R, X)", between(0, 1), -0.5884, 0.5e-4},
		{"r(R, Z)", between(0, 2), -0.4853, 0.5e-4},
		{"r(X, Z)", between(1, 2), 0.9925, 0.5e-4},
		{"r(Z, Z)", between(2, 2), 1, 1e-12},
	} {
		if !near.Abs(c.got, c.want, c.tol) {
			t.Errorf("%s is %.8g, want %.8g", c.what, c.got, c.want)
		}
	}
}

// Source: [JCGM100] H.3, the correction of a thermometer at 30 °C from a line
// whose intercept (at 20 °C) and slope are correlated: b(30) −0.1494 °C, u
// 0.0041; digits beyond from the same data by an independent program.
func TestThermometer(t *testing.T) {
	inputs := []Input{
		{Name: "y1", Value: -0.171204, Standard: 0.0028776, Freedom: 9},
		{Name: "y2", Value: 0.00218270, Standard: 0.00066794, Freedom: 9},
	}
	corr := [][]float64{{1, -0.93043}, {-0.93043, 1}}
	r, err := Propagate(func(x []float64) float64 { return x[0] + 10*x[1] }, inputs, corr)
	if err != nil {
		t.Fatal(err)
	}
	if !near.Abs(r.Value, -0.149377, 0.5e-6) || !near.Abs(r.Standard, 0.0041386, 2e-7) || !near.Rel(r.Freedom, 9, 1e-9) {
		t.Errorf("%.7g, u %.7g on %g", r.Value, r.Standard, r.Freedom)
	}
}

// Source: [JCGM100] H.5, ten days of five readings of a voltage (from memory,
// sums by an independent program): u = 18.05 µV of the mean from 42.64 µV
// between days and 84.887 µV within one.
func TestDaysAndRepeats(t *testing.T) {
	r, err := FromShares(10.0000971, []Share{
		{Name: "days", Input: 42.64e-6, Sensitivity: 1 / math.Sqrt(10)},
		{Name: "readings", Input: 84.887e-6, Sensitivity: 1 / math.Sqrt(50)},
	})
	if err != nil || !near.Abs(r.Standard, 18.05e-6, 0.5e-8) || r.Freedom != 0 {
		t.Errorf("%+v, %v", r, err)
	}
}

// Closed forms that the second-order sum must meet: a product of normals,
// independent and correlated, is exact with it,
//
//	var(xy) = x²·v² + y²·u² + 2xy·c + u²v² + c²,  E(xy) = xy + c
//
// x·y² has the terms ½·4x²v⁴ + 4y²u²v² + 2y²u²v² after the first two, and
// E = xy² + xv², by the moments of a normal quantity; and e^x has (e^(u²) − 1)·e^(2x + u²), of which the sum is the start: what is
// left falls with u⁶ and more, 64 to 80 times for half of u.
func TestSecondOrderClosedForms(t *testing.T) {
	product := func(x []float64) float64 { return x[0] * x[1] }
	inputs := []Input{{Value: 3, Standard: 0.8}, {Value: -2, Standard: 1.5}}
	for _, r := range []float64{0, 0.6, -0.9, 1} {
		c := r * 0.8 * 1.5
		h, err := SecondOrder(product, inputs, [][]float64{{1, r}, {r, 1}})
		if err != nil {
			t.Fatal(err)
		}
		want := math.Sqrt(9*1.5*1.5 + 4*0.8*0.8 - 12*c + 0.64*2.25 + c*c)
		if !near.Rel(h.Standard, want, 1e-9) || !near.Abs(h.Shift, c, 1e-9) {
			t.Errorf("r = %g: %+v, want %g and %g", r, h, want, c)
		}
	}
	h, err := SecondOrder(func(x []float64) float64 { return x[0] * x[1] * x[1] }, inputs, nil)
	uu, vv := 0.64, 2.25
	want := 16*uu + 4*9*4*vv + 2*9*vv*vv + 6*4*uu*vv
	if err != nil || !near.Rel(h.Standard, math.Sqrt(want), 1e-9) || !near.Rel(h.Shift, 3*vv, 1e-9) {
		t.Errorf("x·y²: %+v, want %g (%v)", h, math.Sqrt(want), err)
	}
	left := func(u float64) float64 {
		h, err := SecondOrder(func(x []float64) float64 { return math.Exp(x[0]) }, []Input{{Standard: u}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		return (math.Exp(u*u)-1)*math.Exp(u*u) - h.Standard*h.Standard
	}
	if fell := left(0.4) / left(0.2); fell < 64 || fell > 80 {
		t.Errorf("half of u, and what is left fell by %g", fell)
	}
}

// Difference quotients have order two: the error of a sensitivity falls by four
// for half the step. With the default it is f‴·u²/600.
func TestSensitivityConverges(t *testing.T) {
	at := func(step float64) float64 {
		r, err := Propagate(func(x []float64) float64 { return math.Exp(x[0]) }, []Input{{Standard: 0.5, Step: step}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		return r.Budget[0].Sensitivity - 1
	}
	if fell := at(0.2) / at(0.1); !near.Abs(fell, 4, 0.05) {
		t.Errorf("half the step, %g of the error", 1/fell)
	}
	if !near.Rel(at(0), 0.25/600, 0.01) {
		t.Errorf("by default a sensitivity of 1 is off by %g, want %g", at(0), 0.25/600)
	}
}

// Linear models are exact, whatever the scale, with and without uncertainty,
// and fully correlated inputs add as they are ([JCGM100] 5.2.2, note 1).
func TestLinearModels(t *testing.T) {
	for _, scale := range []float64{1e-12, 1, 1e9} {
		sum := func(x []float64) float64 { return 2*x[0] - 3*x[1] + 5*x[2] }
		inputs := []Input{{Value: 7 * scale, Standard: scale}, {Value: scale, Standard: 2 * scale}, {Value: 4 * scale}}
		for _, c := range []struct{ r, want float64 }{{0, math.Sqrt(4 + 36)}, {1, 4}, {-1, 8}, {0.5, math.Sqrt(4 + 36 - 12)}} {
			got, err := Propagate(sum, inputs, [][]float64{{1, c.r, 0}, {c.r, 1, 0}, {0, 0, 1}})
			if err != nil {
				t.Fatal(err)
			}
			if !near.Rel(got.Standard, c.want*scale, 1e-9) || !near.Rel(got.Budget[2].Sensitivity, 5, 1e-6) || got.Budget[2].Part != 0 {
				t.Errorf("scale %g, r %g: %+v", scale, c.r, got)
			}
		}
	}
}

// Inputs that hang together count as one with the smallest ν among those that
// matter, whichever comes first, and an input apart as itself. By hand: parts 3
// and 1, r = 1, are 4; with a part of 3 apart on ν = 9, u = 5 and
// ν_eff = 5⁴/(4⁴/5 + 3⁴/9).
func TestFreedomOfCorrelated(t *testing.T) {
	for _, order := range [][4]int{{0, 1, 2, 3}, {1, 0, 3, 2}, {3, 2, 1, 0}} {
		shares := []Share{
			{Input: 3, Freedom: 5, Sensitivity: 1},
			{Input: 1, Freedom: 8, Sensitivity: 1},
			{Input: 3, Freedom: 9, Sensitivity: 1},
			{Input: 7, Freedom: 1, Sensitivity: 0},
		}
		full := [][]float64{{1, 1, 0, 0.5}, {1, 1, 0, 0.5}, {0, 0, 1, 0}, {0.5, 0.5, 0, 1}}
		var sorted []Share
		corr := make([][]float64, 4)
		for i, from := range order {
			sorted = append(sorted, shares[from])
			for _, to := range order {
				corr[i] = append(corr[i], full[from][to])
			}
		}
		r, err := Combine(0, sorted, corr)
		if want := 625.0 / (256.0/5 + 81.0/9); err != nil || !near.Rel(r.Standard, 5, 1e-12) || !near.Rel(r.Freedom, want, 1e-12) {
			t.Errorf("u %g on %g, want 5 on %g (%v)", r.Standard, r.Freedom, want, err)
		}
	}
}

// Parts that cancel leave nothing or next to it, never the root of a negative
// rounding; and inputs without uncertainty still have a sensitivity.
func TestNothingLeft(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	corr := [][]float64{{1, 1, -1}, {1, 1, -1}, {-1, -1, 1}}
	for range 1000 {
		a, b := r.Float64(), r.Float64()
		got, err := Combine(0, []Share{{Input: a, Sensitivity: 1}, {Input: b, Sensitivity: 1}, {Input: a + b, Sensitivity: 1}}, corr)
		if err != nil || !near.Abs(got.Standard, 0, 1e-7) {
			t.Fatalf("%g and %g against their sum: u %g (%v)", a, b, got.Standard, err)
		}
	}
	for _, at := range []float64{0, 2, -3} {
		got, err := Propagate(func(x []float64) float64 { return math.Exp(x[0]) }, []Input{{Value: at}}, nil)
		if err != nil || !near.Rel(got.Budget[0].Sensitivity, math.Exp(at), 1e-9) || got.Standard != 0 || got.Freedom != 0 {
			t.Errorf("e^x at %g: %+v (%v)", at, got, err)
		}
	}
}

// What the stated 95 % covers when spreads are estimated from few readings: two
// means of 5 and 10 of a normal quantity, their difference by Welch and
// Satterthwaite, 20 000 times; between 94 and 97 %, which the method is known
// to keep (exact for equal shares is 95 to 96.5 %, cut degrees of freedom widen).
func TestIntervalsCover(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	const trials = 20_000
	within := 0
	for range trials {
		var shares []Share
		difference := 0.0
		for k, n := range []int{5, 10} {
			column := make([]float64, n)
			for i := range column {
				column[i] = float64(k+1) * r.NormFloat64()
			}
			in, _ := readings(column)
			sign := float64(1 - 2*k)
			difference += sign * in[0].Value
			shares = append(shares, Share{Input: in[0].Standard, Freedom: in[0].Freedom, Sensitivity: sign})
		}
		res, err := FromShares(difference, shares)
		if err != nil {
			t.Fatal(err)
		}
		u, err := res.Expanded(0.95)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(difference) <= u {
			within++
		}
	}
	if share := float64(within) / trials; share < 0.94 || share > 0.97 {
		t.Errorf("95 %% intervals cover %.2f %%", 100*share)
	}
}

// Coverage factors against table G.2 of [JCGM100] (from memory), two decimals.
func TestCoverage(t *testing.T) {
	for _, c := range []struct{ freedom, p, want float64 }{
		{1, 0.95, 12.71},
		{4, 0.95, 2.78},
		{4.99, 0.95, 2.78}, // cut, not rounded
		{3.9999999999999996, 0.95, 2.78},
		{10, 0.99, 3.17},
		{50, 0.95, 2.01},
		{0, 0.95, 1.96},
		{0, 0.99, 2.58},
	} {
		k, err := Result{Standard: 1, Freedom: c.freedom}.Coverage(c.p)
		if err != nil || !near.Abs(k, c.want, 0.5001e-2) {
			t.Errorf("%g degrees of freedom, %g: k = %g, want %g (%v)", c.freedom, c.p, k, c.want, err)
		}
	}
}
