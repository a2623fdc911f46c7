package lmm

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fallwright.example/internal/near"
)

// invented makes a drop test: specimens of conditions, falls on each, a day
// across, a slope over falls; some rows left out.
func invented(seed uint64, specimens, falls, every int) (Model, []float64) {
	random := rand.New(rand.NewPCG(seed, 1))
	var m Model
	var rows [][]float64
	specimen, day := Term{Name: "specimen", SlopeName: "fall"}, Term{Name: "day"}
	for s := range specimens {
		b := 0.3 * random.NormFloat64()
		c := 0.1 * random.NormFloat64()
		for fall := range falls {
			if (s*falls+fall)%every == 2 {
				continue
			}
			x := float64(fall)
			rows = append(rows, []float64{1, one(s%3 == 1), one(s%3 == 2), x})
			specimen.Level = append(specimen.Level, s)
			specimen.Slope = append(specimen.Slope, x)
			day.Level = append(day.Level, (s+fall)%4)
			m.Y = append(m.Y, 8+0.3*x+b+c*x+0.15*random.NormFloat64()+0.05*float64((s+fall)%4))
		}
	}
	x := mat.NewDense(len(rows), 4, nil)
	for i, r := range rows {
		x.SetRow(i, r)
	}
	m.X, m.Names, m.Random = x, []string{"intercept", "a", "b", "fall"}, []Term{specimen, day}
	return m, specimen.Slope
}

// engines of the same model: swept and, forced, clustered.
func engines(t *testing.T, m Model, method Method) (*frame, engine, engine) {
	t.Helper()
	f, err := newFrame(m, method)
	if err != nil {
		t.Fatal(err)
	}
	rest := append([]float64(nil), m.Y...)
	f.basis.project(rest)
	a := newSwept(f)
	a.response(rest)
	if f.large, err = newClusters(f); err != nil {
		t.Fatal(err)
	}
	b := newClustered(f)
	b.response(rest)
	return f, a, b
}

// The two engines and the definition, −2 log of the (restricted) normal
// density with V written out, share no step.
func TestEnginesAgreeWithTheDefinition(t *testing.T) {
	checked := 0
	for _, method := range []Method{REML, ML} {
		for _, terms := range []int{1, 2} {
			for _, independent := range []bool{false, true} {
				m, _ := invented(3, 9, 5, 7)
				m.Random = m.Random[:terms]
				m.Random[0].Independent = independent
				f, a, b := engines(t, m, method)
				x := []float64{1.3, 0.4, 0.7, 0.6}[:f.theta]
				ga, gb := make([]float64, f.theta), make([]float64, f.theta)
				va, vb, want := a.at(x, ga), b.at(x, gb), byDefinition(f, m.Y, x)
				if !near.Abs(va, want, 1e-9) || !near.Abs(vb, want, 1e-9) {
					t.Errorf("%v, %d terms: deviance %.12g swept, %.12g clustered, %.12g by definition", method, terms, va, vb, want)
				}
				for i := range x {
					if n := slope(a, x, i); !near.Abs(ga[i], n, 1e-6) || !near.Abs(gb[i], n, 1e-6) {
						t.Errorf("%v, %d terms: ∂/∂θ%d %.9g swept, %.9g clustered, %.9g by differences", method, terms, i, ga[i], gb[i], n)
					}
					checked++
				}
				sameSolution(t, a, b, x)
			}
		}
	}
	if checked < 20 {
		t.Fatalf("%d slopes looked at", checked)
	}
}

func sameSolution(t *testing.T, a, b engine, x []float64) {
	t.Helper()
	betaA, covA, bA, rA := a.solution(x)
	betaB, covB, bB, rB := b.solution(x)
	if !near.Rel(rA, rB, 1e-10) {
		t.Errorf("r² %g and %g", rA, rB)
	}
	for i := range betaA {
		if !near.Abs(betaA[i], betaB[i], 1e-10) {
			t.Errorf("β%d: %g and %g", i, betaA[i], betaB[i])
		}
	}
	for i := range covA {
		if !near.Abs(covA[i], covB[i], 1e-10) {
			t.Errorf("covariance %d: %g and %g", i, covA[i], covB[i])
		}
	}
	for i := range bA {
		if !near.Abs(bA[i], bB[i], 1e-10) {
			t.Errorf("b%d: %g and %g", i, bA[i], bB[i])
		}
	}
}

func slope(e objective, x []float64, i int) float64 {
	const h = 1e-5
	y := append([]float64(nil), x...)
	y[i] += h
	up := e.at(y, nil)
	y[i] -= 2 * h
	return (up - e.at(y, nil)) / (2 * h)
}

// byDefinition profiles β and σ² out of the normal density, V dense.
func byDefinition(f *frame, y, x []float64) float64 {
	n := f.n
	z := mat.NewDense(n, f.q, nil)
	columns, values := f.row()
	for i := range n {
		f.fill(i, columns, values)
		for k, c := range columns {
			z.Set(i, c, values[k])
		}
	}
	lambda := mat.NewDense(f.q, f.q, nil)
	for _, b := range f.blocks {
		for l := range b.levels {
			for e, rc := range b.entries {
				lambda.Set(b.offset+l*b.k+rc[0], b.offset+l*b.k+rc[1], x[b.theta+e])
			}
		}
	}
	var zl, v mat.Dense
	zl.Mul(z, lambda)
	v.Mul(&zl, zl.T())
	sym := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range n {
			sym.SetSym(i, j, v.At(i, j))
		}
		rho := 1.0
		if g := f.group[i]; g > 0 {
			rho = math.Exp(x[f.theta+g-1])
		}
		sym.SetSym(i, i, v.At(i, i)+rho*rho)
	}
	var chol mat.Cholesky
	chol.Factorize(sym)
	given := mat.DenseCopyOf(f.model.X)
	var vx, xvx mat.Dense
	chol.SolveTo(&vx, given)
	xvx.Mul(given.T(), &vx)
	var xy, beta, fitted, r, vr mat.VecDense
	yv := mat.NewVecDense(n, y)
	xy.MulVec(vx.T(), yv)
	beta.SolveVec(&xvx, &xy)
	fitted.MulVec(given, &beta)
	r.SubVec(yv, &fitted)
	chol.SolveVecTo(&vr, &r)
	r2 := mat.Dot(&r, &vr)
	nu := f.degrees()
	dev := chol.LogDet() + nu*(1+math.Log(2*math.Pi*r2/nu))
	if f.method == REML {
		d, _ := mat.LogDet(&xvx)
		dev += d
	}
	return dev
}

// The gradient and value with unequal residual spread, likewise.
func TestUnequalSpreadAgreesWithTheDefinition(t *testing.T) {
	for _, method := range []Method{REML, ML} {
		m, _ := invented(4, 9, 5, 7)
		m.Spread = &Spread{Name: "condition", Groups: []string{"one", "a", "b"}}
		for _, l := range m.Random[0].Level {
			m.Spread.Group = append(m.Spread.Group, l%3)
		}
		f, err := newFrame(m, method)
		if err != nil {
			t.Fatal(err)
		}
		rest := append([]float64(nil), m.Y...)
		f.basis.project(rest)
		s := newSwept(f)
		s.response(rest)
		x := []float64{1.3, 0.4, 0.7, 0.6, 0.3, -0.4}
		g := make([]float64, len(x))
		if got, want := s.at(x, g), byDefinition(f, m.Y, x); !near.Abs(got, want, 1e-9) {
			t.Errorf("%v: deviance %.12g, %.12g by definition", method, got, want)
		}
		for i := range x {
			if n := slope(s, x, i); !near.Abs(g[i], n, 1e-6) {
				t.Errorf("%v: ∂/∂x%d %.9g, %.9g by differences", method, i, g[i], n)
			}
		}
	}
}

// An exact F on m and ν degrees of freedom has A₁ = 2m²/ν, A₂ = 2m/ν, and comes
// back as it is; at ν = 2 the factor is 0/0.
func TestScaledFGivesExactOnesBack(t *testing.T) {
	for _, m := range []float64{1, 2, 5} {
		for _, nu := range []float64{2, 3, 12, 60} {
			df, lambda := scaledF(2*m*m/nu, 2*m/nu, int(m))
			if !near.Abs(df, nu, 1e-9) || !near.Abs(lambda, 1, 1e-9) {
				t.Errorf("%g and %g: df %g, factor %g", m, nu, df, lambda)
			}
		}
	}
}

// The optimiser's inner step allocates nothing.
func TestDevianceAllocatesNothing(t *testing.T) {
	m, _ := invented(3, 9, 5, 7)
	_, a, _ := engines(t, m, REML)
	x, g := []float64{1, 0.2, 0.5, 0.4}, make([]float64, 4)
	if n := testing.AllocsPerRun(100, func() { a.at(x, g) }); n != 0 {
		t.Errorf("%g allocations a deviance with gradient", n)
	}
}
