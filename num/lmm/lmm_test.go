package lmm_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// drops makes a drop test as rope labs run them: specimens of conditions, falls
// on each, condition by fall in the fixed effects, a random intercept a
// specimen. between and within are standard deviations; the conditions do not
// differ.
func drops(seed uint64, conditions, specimens, falls int, between, within float64) (lmm.Model, *lmm.Design) {
	random := rand.New(rand.NewPCG(seed, 11))
	n := conditions * specimens * falls
	condition := lmm.Factor{Name: "condition", Code: make([]int, n)}
	fall := lmm.Factor{Name: "fall", Code: make([]int, n)}
	for c := range conditions {
		condition.Levels = append(condition.Levels, fmt.Sprint("c", c))
	}
	for f := range falls {
		fall.Levels = append(fall.Levels, fmt.Sprint(f+1))
	}
	m := lmm.Model{Random: []lmm.Term{{Name: "specimen", Level: make([]int, n)}}}
	i := 0
	for c := range conditions {
		for s := range specimens {
			b := between * random.NormFloat64()
			for f := range falls {
				condition.Code[i], fall.Code[i] = c, f
				m.Random[0].Level[i] = c*specimens + s
				m.Y = append(m.Y, 8000+250*float64(f)+b+within*random.NormFloat64())
				i++
			}
		}
	}
	d, err := lmm.Variables{Rows: n, Factors: []lmm.Factor{condition, fall}}.Design("condition", "fall", "condition:fall")
	if err != nil {
		panic(err)
	}
	m.X, m.Names = d.X, d.Names
	return m, d
}

func fitted(t testing.TB, m lmm.Model) *lmm.Fit {
	t.Helper()
	f, err := lmm.New(m, lmm.REML)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func ones(n int) *mat.Dense {
	x := mat.NewDense(n, 1, nil)
	for i := range n {
		x.Set(i, 0, 1)
	}
	return x
}

// In balanced groups REML is the analysis of variance: σ² = MS within,
// variance between = (MS between − MS within)/k, SE of the mean = √(MS
// between/(gk)) on g − 1 degrees of freedom, and
//
//	deviance = (g−1)·log(MSB) + g(k−1)·log(MSW) + log(gk) + (gk−1)(1 + log 2π)
//
// Tolerance: rounding, the gradient being exact.
func TestBalancedGroupsAreTheAnalysisOfVariance(t *testing.T) {
	checked := 0
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 2))
		g, k := 3+int(seed%5), 2+int(seed%4)
		m := lmm.Model{X: ones(g * k), Names: []string{"mean"}, Random: []lmm.Term{{Name: "group"}}}
		var means []float64
		within := 0.0
		for i := range g {
			b := random.NormFloat64()
			values := make([]float64, k)
			sum := 0.0
			for j := range values {
				values[j] = 10 + b + 0.5*random.NormFloat64()
				sum += values[j]
				m.Random[0].Level = append(m.Random[0].Level, i)
			}
			for _, v := range values {
				within += (v - sum/float64(k)) * (v - sum/float64(k))
			}
			means = append(means, sum/float64(k))
			m.Y = append(m.Y, values...)
		}
		grand, between := 0.0, 0.0
		for _, v := range means {
			grand += v / float64(g)
		}
		for _, v := range means {
			between += float64(k) * (v - grand) * (v - grand)
		}
		msb, msw := between/float64(g-1), within/float64(g*(k-1))
		if msb <= msw {
			continue
		}
		checked++
		f := fitted(t, m)
		n := float64(g * k)
		h := &held{T: t, name: fmt.Sprint(g, " groups of ", k)}
		h.rel("residual", f.ResidualVariance, msw, 1e-8)
		h.rel("between", f.Components[0].Covariance[0][0], (msb-msw)/float64(k), 1e-8)
		h.abs("deviance", f.Deviance, float64(g-1)*math.Log(msb)+float64(g*(k-1))*math.Log(msw)+math.Log(n)+(n-1)*(1+math.Log(2*math.Pi)), 1e-9)
		for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
			c, err := f.Contrast([]float64{1}, by)
			if err != nil {
				t.Fatal(err)
			}
			h.rel(by.String()+" mean", c.Estimate, grand, 1e-12)
			h.rel(by.String()+" SE", c.SE, math.Sqrt(msb/n), 1e-8)
			h.rel(by.String()+" df", c.DF, float64(g-1), 1e-7)
		}
	}
	if checked < 12 {
		t.Fatalf("%d data sets looked at", checked)
	}
}

// Where groups differ less than their residuals would make them, the variance
// is zero, said, and the mean has the standard error of independent values.
func TestVarianceOfZeroIsSaid(t *testing.T) {
	m := lmm.Model{
		Y: []float64{1, 2, 3, 1.1, 2.1, 2.9, 0.9, 2.2, 3.1}, X: ones(9), Names: []string{"mean"},
		Random: []lmm.Term{{Name: "batch", Level: []int{0, 0, 0, 1, 1, 1, 2, 2, 2}}},
	}
	f := fitted(t, m)
	if f.Theta[0] != 0 || f.Components[0].Covariance[0][0] != 0 || !slices.Equal(f.Record.Boundary, []string{"batch: the variance of the intercept is zero"}) {
		t.Errorf("θ %v, %+v, %q", f.Theta, f.Components, f.Record.Boundary)
	}
	c, err := f.Contrast([]float64{1}, lmm.Satterthwaite)
	if err != nil || !near.Rel(c.DF, 8, 1e-9) || !near.Rel(c.SE, math.Sqrt(f.ResidualVariance/9), 1e-12) {
		t.Errorf("%+v, %v", c, err)
	}
}

// A slope that follows the intercept exactly has correlation 1, and says so.
func TestCorrelationOfOneIsSaid(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 5))
	var m lmm.Model
	term := lmm.Term{Name: "specimen", SlopeName: "fall"}
	for s := range 8 {
		b := random.NormFloat64()
		for x := range 5 {
			term.Level = append(term.Level, s)
			term.Slope = append(term.Slope, float64(x))
			m.Y = append(m.Y, 8+b+0.5*b*float64(x)+0.05*random.NormFloat64())
		}
	}
	m.X, m.Names, m.Random = ones(40), []string{"mean"}, []lmm.Term{term}
	f := fitted(t, m)
	if c := f.Components[0]; math.Abs(c.Correlation) < 1-1e-6 && len(f.Record.Boundary) > 0 || c.Correlation > 1-1e-6 && !slices.Equal(f.Record.Boundary, []string{"specimen: the correlation of intercept and fall is +1"}) {
		t.Errorf("correlation %.9f, %q", c.Correlation, f.Record.Boundary)
	}
}

// Order of rows, numbers of levels, units and origin change nothing that they
// should not. Tolerance: rounding of values 1e6 away from zero, and the
// optimiser's.
func TestInvariance(t *testing.T) {
	m, _ := drops(1, 3, 3, 5, 200, 100)
	m.Random[0].Slope, m.Random[0].SlopeName = make([]float64, len(m.Y)), "fall"
	for i := range m.Y {
		m.Random[0].Slope[i] = float64(i % 5)
		m.Y[i] += 40 * float64(m.Random[0].Level[i]*i%7) * float64(i%5)
	}
	base := fitted(t, m)
	l := make([]float64, len(m.Names))
	l[1] = 1
	want, err := base.Contrast(l, lmm.KenwardRoger)
	if err != nil {
		t.Fatal(err)
	}
	change := map[string]func(*lmm.Model){
		"rows in another order": func(c *lmm.Model) {
			order := rand.New(rand.NewPCG(9, 9)).Perm(len(c.Y))
			x := mat.NewDense(len(c.Y), len(c.Names), nil)
			r := c.Random[0]
			r.Level, r.Slope, c.Y = make([]int, len(order)), make([]float64, len(order)), make([]float64, len(order))
			for to, from := range order {
				c.Y[to], r.Level[to], r.Slope[to] = m.Y[from], 100-3*m.Random[0].Level[from], m.Random[0].Slope[from]
				x.SetRow(to, mat.Row(nil, from, m.X))
			}
			c.X, c.Random = x, []lmm.Term{r}
		},
		"1e6 on top": func(c *lmm.Model) {
			c.Y = slices.Clone(c.Y)
			for i := range c.Y {
				c.Y[i] += 1e6
			}
		},
		"slope counted from 1000 in other units": func(c *lmm.Model) {
			r := c.Random[0]
			r.Slope = slices.Clone(r.Slope)
			for i := range r.Slope {
				r.Slope[i] = 1000 + 7*r.Slope[i]
			}
			c.Random = []lmm.Term{r}
		},
	}
	for name, f := range change {
		c := m
		f(&c)
		other := fitted(t, c)
		got, err := other.Contrast(l, lmm.KenwardRoger)
		if err != nil {
			t.Fatal(err)
		}
		h := &held{T: t, name: name}
		h.abs("deviance", other.Deviance, base.Deviance, 1e-7)
		h.abs("estimate", got.Estimate, want.Estimate, 1e-6)
		h.rel("SE", got.SE, want.SE, 1e-7)
		h.rel("df", got.DF, want.DF, 1e-6)
		h.rel("residual", other.ResidualVariance, base.ResidualVariance, 1e-7)
	}
	c := m
	c.Y = slices.Clone(c.Y)
	for i := range c.Y {
		c.Y[i] *= 1e-3
	}
	n, p := m.X.Dims()
	if d := base.Deviance - fitted(t, c).Deviance; !near.Abs(d, 2*float64(n-p)*math.Log(1e3), 1e-7) {
		t.Errorf("deviance in kN instead of N is lower by %.9f, want 2(n − p)·log 1000 = %.9f", d, 2*float64(n-p)*math.Log(1e3))
	}
}

func TestColumnsThatOthersMakeUp(t *testing.T) {
	m, _ := drops(1, 2, 3, 2, 200, 100)
	n, p := m.X.Dims()
	x := mat.NewDense(n, p+1, nil)
	for i := range n {
		for j := range p {
			x.Set(i, j, m.X.At(i, j))
		}
		x.Set(i, p, 1-m.X.At(i, 1))
	}
	full := fitted(t, m)
	m.X, m.Names = x, append(slices.Clone(m.Names), "the other condition")
	f := fitted(t, m)
	if !slices.Equal(f.Dropped, []string{"the other condition"}) || len(f.Beta) != p || !near.Abs(f.Deviance, full.Deviance, 1e-9) {
		t.Fatalf("dropped %q, deviance %g, %g without", f.Dropped, f.Deviance, full.Deviance)
	}
	l := make([]float64, p+1)
	l[p] = 1
	if _, err := f.Contrast(l, lmm.KenwardRoger); !errors.Is(err, lmm.ErrNotEstimable) || !strings.Contains(err.Error(), "the other condition") {
		t.Errorf("the dropped column alone: %v", err)
	}
	l[0], l[p] = 1, 0 // the intercept alone means nothing beside both conditions
	if _, err := f.Contrast(l, lmm.KenwardRoger); !errors.Is(err, lmm.ErrNotEstimable) {
		t.Errorf("not estimable: %v", err)
	}
	l[0], l[1], l[p] = 1, 0, 1 // a row of the baseline as X has it
	got, err := f.Contrast(l, lmm.KenwardRoger)
	if err != nil {
		t.Fatal(err)
	}
	l2 := make([]float64, p)
	l2[0] = 1
	want, _ := full.Contrast(l2, lmm.KenwardRoger)
	if !near.Rel(got.Estimate, want.Estimate, 1e-10) || !near.Rel(got.SE, want.SE, 1e-8) {
		t.Errorf("baseline %+v, want %+v", got, want)
	}
}

func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*lmm.Model)
		want   error
	}{
		"values all the same":  {func(m *lmm.Model) { fill(m.Y, 7) }, lmm.ErrNoSpread},
		"fitted exactly":       {func(m *lmm.Model) { copyColumn(m, 1, 1e6) }, lmm.ErrNoSpread},
		"no spread within":     {func(m *lmm.Model) { byLevel(m) }, lmm.ErrNoSpread},
		"not a number":         {func(m *lmm.Model) { m.Y[3] = math.NaN() }, lmm.ErrNotFinite},
		"infinite column":      {func(m *lmm.Model) { m.X.(*mat.Dense).Set(2, 1, math.Inf(1)) }, lmm.ErrNotFinite},
		"one level":            {func(m *lmm.Model) { clear(m.Random[0].Level) }, lmm.ErrTooFew},
		"a level a row":        {func(m *lmm.Model) { count(m.Random[0].Level) }, lmm.ErrConfounded},
		"levels too few":       {func(m *lmm.Model) { m.Random[0].Level = m.Random[0].Level[1:] }, lmm.ErrShape},
		"negative level":       {func(m *lmm.Model) { m.Random[0].Level[0] = -1 }, lmm.ErrRange},
		"the same term twice":  {func(m *lmm.Model) { m.Random = append(m.Random, m.Random[0]) }, lmm.ErrConfounded},
		"term in the fixed":    {func(m *lmm.Model) { halfOf(m) }, lmm.ErrConfounded},
		"no fixed effects":     {func(m *lmm.Model) { m.X = nil }, lmm.ErrShape},
		"slope without spread": {func(m *lmm.Model) { m.Random[0].Slope = make([]float64, len(m.Y)) }, lmm.ErrNoSpread},
		"a group of one row": {func(m *lmm.Model) {
			m.Spread = &lmm.Spread{Groups: []string{"a", "b"}, Group: make([]int, len(m.Y))}
			m.Spread.Group[0] = 1
		}, lmm.ErrTooFew},
	} {
		m, _ := drops(1, 2, 3, 2, 200, 100)
		c.change(&m)
		if _, err := lmm.New(m, lmm.REML); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
	m, _ := drops(1, 2, 3, 2, 200, 100)
	ml, err := lmm.New(m, lmm.ML)
	if err != nil {
		t.Fatal(err)
	}
	l := make([]float64, len(m.Names))
	l[0] = 1
	if _, err := ml.Contrast(l, lmm.KenwardRoger); !errors.Is(err, lmm.ErrMethod) {
		t.Errorf("Kenward-Roger after ML: %v", err)
	}
	if _, err := ml.Contrast(make([]float64, len(l)), lmm.Satterthwaite); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("contrast of zeros: %v", err)
	}
	if _, err := ml.Contrast(l[1:], lmm.Satterthwaite); !errors.Is(err, lmm.ErrShape) {
		t.Errorf("contrast of another length: %v", err)
	}
}

func fill(y []float64, v float64) {
	for i := range y {
		y[i] = v
	}
}

func copyColumn(m *lmm.Model, j int, offset float64) {
	for i := range m.Y {
		m.Y[i] = offset + m.X.At(i, j)/3
	}
}

func byLevel(m *lmm.Model) {
	for i, l := range m.Random[0].Level {
		m.Y[i] = float64(l*l%5) / 3
	}
}

func count(level []int) {
	for i := range level {
		level[i] = i
	}
}

// halfOf makes the term the condition itself.
func halfOf(m *lmm.Model) {
	for i := range m.Random[0].Level {
		m.Random[0].Level[i] = int(m.X.At(i, 1))
	}
}

// The design of the package comment, by hand: 2 conditions by 2 falls and a
// covariate.
func TestDesign(t *testing.T) {
	v := lmm.Variables{
		Rows: 4, Factors: []lmm.Factor{{"condition", []string{"dry", "salt"}, []int{0, 1, 0, 1}}, {"fall", []string{"1", "2"}, []int{0, 0, 1, 1}}},
		Covariates: []lmm.Covariate{{"mass", []float64{1, 2, 3, 6}}},
	}
	d, err := v.Design("condition", "fall", "condition:fall", "mass", "condition:mass")
	if err != nil {
		t.Fatal(err)
	}
	names := []string{"intercept", "condition salt", "fall 2", "condition salt:fall 2", "mass", "condition salt:mass"}
	if !slices.Equal(d.Names, names) {
		t.Errorf("columns %q", d.Names)
	}
	if want := []float64{1, 1, 1, 1, 6, 6}; !slices.Equal(mat.Row(nil, 3, d.X), want) {
		t.Errorf("row 4 %v", mat.Row(nil, 3, d.X))
	}
	got, err := d.Row(map[string]string{"condition": "salt"}, nil)
	if want := []float64{1, 1, 0.5, 0.5, 3, 3}; err != nil || !slices.Equal(got, want) {
		t.Errorf("salt on average %v, %v", got, err)
	}
	got, err = d.Slope("mass", map[string]string{"condition": "salt"})
	if want := []float64{0, 0, 0, 0, 1, 1}; err != nil || !slices.Equal(got, want) {
		t.Errorf("slope of salt %v, %v", got, err)
	}
	for _, bad := range []map[string]string{{"condition": "wet"}, {"day": "1"}, {"mass": "1"}} {
		if _, err := d.Row(bad, nil); !errors.Is(err, lmm.ErrRange) {
			t.Errorf("%v: %v", bad, err)
		}
	}
	if _, err := v.Design("condition:day"); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("an unknown factor: %v", err)
	}
	if _, err := d.Test("condition"); !errors.Is(err, lmm.ErrNotEstimable) {
		t.Errorf("six columns on four rows: %v", err)
	}
}

// 400 invented drop tests without a difference, 6 conditions of 3 specimens, 5
// falls, five contrasts to the baseline each: 95 % intervals by Kenward-Roger
// hold zero 95 times in 100, within 1.5 (the five share a baseline; twice the
// standard error of 400 tests with one would be 2.2). The full table, of 10 000
// tests a row, is in docs/METHODS.md.
func TestCoverageOfKenwardRoger(t *testing.T) {
	if testing.Short() {
		t.Skip("coverage of Kenward-Roger intervals is not checked")
	}
	const tests = 400
	inside, n := coverage(t, tests, 6, 3, 5, 200, 100)
	if share := float64(inside) / float64(n); share < 0.935 || share > 0.965 {
		t.Errorf("%d of %d intervals hold the truth, %.3f", inside, n, share)
	}
}

func coverage(t testing.TB, tests, conditions, specimens, falls int, between, within float64) (inside, n int) {
	t.Helper()
	m, d := drops(1, conditions, specimens, falls, between, within)
	base := fitted(t, m)
	var contrasts [][]float64
	dry, _ := d.Row(map[string]string{"condition": "c0"}, nil)
	for c := 1; c < conditions; c++ {
		l, _ := d.Row(map[string]string{"condition": fmt.Sprint("c", c)}, nil)
		contrasts = append(contrasts, lmm.Difference(l, dry))
	}
	for i := range tests {
		m, _ := drops(uint64(1000+i), conditions, specimens, falls, between, within)
		f, err := base.Refit(m.Y)
		if err != nil {
			t.Fatal(err)
		}
		set, err := f.Contrasts(contrasts, lmm.KenwardRoger)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range set.Each {
			n++
			if lower, upper := c.Interval(0.95); lower <= 0 && 0 <= upper {
				inside++
			}
		}
	}
	return inside, n
}

// The bootstrap is the same with any number of workers, and its spread is that
// of the model: the standard deviation of a mean over 2,000 draws is its
// standard error to 5 % (3 standard errors of a standard deviation), and of
// Simulate's values the chi-squared of the residual holds.
func TestBootstrap(t *testing.T) {
	m, _ := drops(2, 2, 4, 3, 1500, 100)
	f := fitted(t, m)
	if f.Theta[0] < 1 {
		t.Fatalf("θ %g: nothing to see of the random effects", f.Theta[0])
	}
	first := func(g *lmm.Fit) []float64 { return []float64{g.Beta[0], g.Deviance} }
	one, err := f.Bootstrap(2000, 42, 1, first)
	if err != nil {
		t.Fatal(err)
	}
	three, err := f.Bootstrap(2000, 42, 3, first)
	if err != nil {
		t.Fatal(err)
	}
	sum, square := 0.0, 0.0
	for i := range one.Values {
		if one.Values[i][0] != three.Values[i][0] || one.Values[i][1] != three.Values[i][1] {
			t.Fatalf("draw %d differs between one worker and three", i)
		}
		sum += one.Values[i][0] - f.Beta[0]
		square += (one.Values[i][0] - f.Beta[0]) * (one.Values[i][0] - f.Beta[0])
	}
	se := math.Sqrt(f.Covariance().At(0, 0))
	if sd := math.Sqrt(square / 2000); !near.Rel(sd, se, 0.05) || math.Abs(sum/2000) > 3*se/math.Sqrt(2000) {
		t.Errorf("spread %g and shift %g of the bootstrap, standard error %g", sd, sum/2000, se)
	}
	if again, _ := f.Bootstrap(1, 43, 1, first); again.Values[0][0] == one.Values[0][0] {
		t.Error("another seed gave the same draw")
	}
	if _, err := f.Bootstrap(0, 1, 1, first); !errors.Is(err, lmm.ErrRange) {
		t.Errorf("no draws: %v", err)
	}
	if _, err := f.Refit(m.Y[1:]); !errors.Is(err, lmm.ErrShape) {
		t.Errorf("values of another length: %v", err)
	}
}

// Refit finds what New finds.
func TestRefitAgreesWithNew(t *testing.T) {
	m, _ := drops(1, 3, 3, 4, 200, 100)
	f := fitted(t, m)
	for seed := range uint64(40) {
		m.Y = f.Simulate(seed)
		a, err := f.Refit(m.Y)
		if err != nil {
			t.Fatal(err)
		}
		if b := fitted(t, m); !near.Abs(a.Deviance, b.Deviance, 1e-8) || !near.Abs(a.Theta[0], b.Theta[0], 1e-6) {
			t.Errorf("seed %d: deviance %.10g, θ %.8g by Refit, %.10g, %.8g by New", seed, a.Deviance, a.Theta[0], b.Deviance, b.Theta[0])
		}
	}
}

// Student's t and F meet: one contrast squared.
func TestOneContrastIsTheSquareOfT(t *testing.T) {
	m, _ := drops(3, 3, 3, 4, 200, 100)
	m.Y = m.Y[:len(m.Y)-3] // unbalanced
	n, p := len(m.Y), len(m.Names)
	m.X = m.X.(*mat.Dense).Slice(0, n, 0, p)
	m.Random[0].Level = m.Random[0].Level[:n]
	f := fitted(t, m)
	l := make([]float64, p)
	l[1], l[2] = 1, -1
	for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
		c, err := f.Contrast(l, by)
		if err != nil {
			t.Fatal(err)
		}
		test, err := f.FTest([][]float64{l, l}, by) // the second row adds nothing
		if err != nil {
			t.Fatal(err)
		}
		if !near.Rel(test.F, c.T*c.T, 1e-9) || !near.Rel(test.P, c.P, 1e-8) || !near.Rel(test.DF2, c.DF, 1e-8) || test.DF1 != 1 {
			t.Errorf("%v: %+v against %+v", by, test, c)
		}
		want := 2 * distuv.StudentsT{Sigma: 1, Nu: c.DF}.Survival(math.Abs(c.T))
		if !near.Rel(c.P, want, 1e-12) {
			t.Errorf("p %g, want %g", c.P, want)
		}
	}
}

// A hundred thousand readings of ten thousand specimens take seconds; here a
// tenth of it, held to the analysis of variance, which balanced groups are.
func TestManySpecimens(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	const g, k = 1000, 10
	m := lmm.Model{X: ones(g * k), Names: []string{"mean"}, Random: []lmm.Term{{Name: "specimen"}}}
	within, between, grand := 0.0, 0.0, 0.0
	var means []float64
	for i := range g {
		b, sum, values := random.NormFloat64(), 0.0, make([]float64, k)
		for j := range values {
			values[j] = b + random.NormFloat64()
			sum += values[j] / k
			m.Random[0].Level = append(m.Random[0].Level, i)
		}
		for _, v := range values {
			within += (v - sum) * (v - sum)
		}
		means = append(means, sum)
		grand += sum / g
		m.Y = append(m.Y, values...)
	}
	for _, v := range means {
		between += k * (v - grand) * (v - grand)
	}
	f := fitted(t, m)
	c, err := f.Contrast([]float64{1}, lmm.KenwardRoger)
	if err != nil {
		t.Fatal(err)
	}
	h := &held{T: t, name: "1000 specimens"}
	h.rel("residual", f.ResidualVariance, within/(g*(k-1)), 1e-8)
	h.rel("between", f.Components[0].Covariance[0][0], (between/(g-1)-within/(g*(k-1)))/k, 1e-8)
	h.rel("df", c.DF, g-1, 1e-6)
}

func BenchmarkNew90(b *testing.B) {
	m, _ := drops(1, 6, 3, 5, 200, 100)
	for b.Loop() {
		fitted(b, m)
	}
}

func BenchmarkRefit90(b *testing.B) {
	m, _ := drops(1, 6, 3, 5, 200, 100)
	f := fitted(b, m)
	y := f.Simulate(3)
	for b.Loop() {
		if _, err := f.Refit(y); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkBootstrap1000(b *testing.B) {
	m, _ := drops(1, 6, 3, 5, 200, 100)
	f := fitted(b, m)
	for b.Loop() {
		if _, err := f.Bootstrap(1000, 1, 1, func(g *lmm.Fit) []float64 { return g.Beta }); err != nil {
			b.Fatal(err)
		}
	}
}

// A fit with its 25 contrasts to the baseline by fall; bench/compare_r.sh has it
// beside R.
func BenchmarkKenwardRoger90(b *testing.B) {
	m, d := drops(1, 6, 3, 5, 200, 100)
	var l [][]float64
	for c := 1; c < 6; c++ {
		for fall := 1; fall < 6; fall++ {
			at := map[string]string{"condition": fmt.Sprint("c", c), "fall": fmt.Sprint(fall)}
			a, _ := d.Row(at, nil)
			at["condition"] = "c0"
			dry, _ := d.Row(at, nil)
			l = append(l, lmm.Difference(a, dry))
		}
	}
	for b.Loop() {
		if _, err := fitted(b, m).Contrasts(l, lmm.KenwardRoger); err != nil {
			b.Fatal(err)
		}
	}
}
