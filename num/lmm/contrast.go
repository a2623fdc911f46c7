package lmm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// DF is the way degrees of freedom, and with them standard errors, are had.
type DF int

const (
	// KenwardRoger adjusts the covariance for the variances being estimated and
	// matches the mean and variance of F; REML only.
	KenwardRoger DF = iota
	// Satterthwaite leaves the covariance as it is and matches the variance of
	// the variance.
	Satterthwaite
)

// String gives the name for readers.
func (d DF) String() string {
	if d == Satterthwaite {
		return "Satterthwaite"
	}
	return "Kenward-Roger"
}

// Contrast is an estimate of ℓ'β with its t test against zero, two-sided.
type Contrast struct {
	Estimate, SE, DF, T, P float64
}

// Interval returns the two-sided interval at a level such as 0.95,
// estimate ± t·SE with t the (1 + level)/2 quantile.
func (c Contrast) Interval(level float64) (lower, upper float64) {
	h := c.SE * studentQuantile(0.5+level/2, c.DF)
	return c.Estimate - h, c.Estimate + h
}

// Greater is the one-sided p: the chance of a T as large or larger when the
// contrast is zero.
func (c Contrast) Greater() float64 {
	if both := studentBeyond(c.T, c.DF); c.T < 0 {
		return 1 - both/2
	} else {
		return both / 2
	}
}

// FTest is a test of m contrasts at once.
type FTest struct {
	F        float64 // scaled by Scaling
	DF1, DF2 float64
	Scaling  float64 // λ of Kenward and Roger; 1 otherwise
	P        float64
}

func studentQuantile(p, df float64) float64 {
	if df > 1e7 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(p)
}

// studentBeyond is the probability that |T| is larger than |t|, by the
// incomplete beta function, which keeps the digits of small ones.
func studentBeyond(t, df float64) float64 {
	switch {
	case math.IsNaN(t):
		return math.NaN()
	case df > 1e7:
		return math.Erfc(math.Abs(t) / math.Sqrt2)
	}
	return mathext.RegIncBeta(df/2, 0.5, df/(df+t*t))
}

// coordinates takes ℓ, over the columns of X as given, to those of Q:
// ℓ'β = (R⁻ᵀℓ)'(Rβ). It returns ErrNotEstimable when ℓ asks for a dropped
// column otherwise than in the way the kept ones make it up.
func (f *Fit) coordinates(l []float64) ([]float64, error) {
	b := f.frame.basis
	if len(l) != b.given {
		return nil, fmt.Errorf("%w: a contrast of %d coefficients for %d columns of fixed effects", ErrShape, len(l), b.given)
	}
	out, size := make([]float64, b.p), 0.0
	for _, v := range l {
		if !finite(v) {
			return nil, fmt.Errorf("%w: a coefficient of the contrast is %g", ErrNotFinite, v)
		}
		size = max(size, math.Abs(v))
	}
	if size == 0 {
		return nil, fmt.Errorf("%w: all coefficients of the contrast are zero", ErrRange)
	}
	for k, j := range b.kept {
		out[k] = l[j]
	}
	for j, v := range l {
		made := 0.0
		for k := range b.p {
			made += out[k] * b.combined[k*b.given+j]
		}
		if math.Abs(v-made) > 1e-8*size*float64(b.p) {
			return nil, fmt.Errorf("%w: the data do not hold the effect of column %q apart from the others", ErrNotEstimable, f.frame.model.Names[j])
		}
	}
	for i := range b.p { // R' is lower triangular
		for j := range i {
			out[i] -= b.r[j*b.p+i] * out[j]
		}
		out[i] /= b.r[i*b.p+i]
	}
	return out, nil
}

// along are the estimates in the coordinates of Q, R·β.
func (f *Fit) along() []float64 {
	b := f.frame.basis
	out := make([]float64, b.p)
	for i := range out {
		out[i] = dot(b.r[i*b.p+i:i*b.p+b.p], f.Beta[i:])
	}
	return out
}

// Contrast estimates Σ l[j]·β[j], j over the columns of X as given.
//
// The standard error is that of Φ_A for KenwardRoger and of Φ for
// Satterthwaite. It returns ErrShape, ErrNotFinite or ErrRange for an l that
// is no contrast, ErrNotEstimable when the data do not hold it, ErrMethod for
// KenwardRoger after ML, and ErrTooFew when no degrees of freedom are left.
func (f *Fit) Contrast(l []float64, by DF) (Contrast, error) {
	set, err := f.Contrasts([][]float64{l}, by)
	if err != nil {
		return Contrast{}, err
	}
	return set.Each[0], nil
}

// Set is several contrasts with the correlation of their estimates.
type Set struct {
	Each        []Contrast
	Correlation *mat.SymDense
}

// Contrasts estimates several contrasts, one a row of l; see Contrast.
func (f *Fit) Contrasts(l [][]float64, by DF) (*Set, error) {
	if len(l) == 0 {
		return nil, fmt.Errorf("%w: no contrast", ErrShape)
	}
	p := f.frame.basis.p
	rows := make([]float64, 0, len(l)*p)
	for _, li := range l {
		q, err := f.coordinates(li)
		if err != nil {
			return nil, err
		}
		rows = append(rows, q...)
	}
	cov, df, err := f.covarianceBy(rows, len(l), by)
	if err != nil {
		return nil, err
	}
	set := &Set{Correlation: mat.NewSymDense(len(l), nil)}
	along, m := f.along(), len(l)
	for i := range m {
		c := Contrast{Estimate: dot(rows[i*p:i*p+p], along), SE: math.Sqrt(cov[i*m+i]), DF: df[i]}
		if !(c.DF > 0) {
			return nil, fmt.Errorf("%w: no degrees of freedom are left for contrast %d", ErrTooFew, i+1)
		}
		c.T = c.Estimate / c.SE
		c.P = studentBeyond(c.T, c.DF)
		set.Each = append(set.Each, c)
		for j := range i + 1 {
			set.Correlation.SetSym(i, j, cov[i*m+j]/math.Sqrt(cov[i*m+i]*cov[j*m+j]))
		}
	}
	return set, nil
}

// covarianceBy gives the covariance of m contrasts and the degrees of freedom
// of each.
func (f *Fit) covarianceBy(rows []float64, m int, by DF) (cov, df []float64, err error) {
	p := f.frame.basis.p
	df = make([]float64, m)
	if by == Satterthwaite {
		s, err := f.satterthwaiteParts()
		if err != nil {
			return nil, nil, err
		}
		cov = sandwich(rows, f.rows.phi, m, p)
		for i := range m {
			df[i] = s.df(rows[i*p:i*p+p], cov[i*m+i])
		}
		return cov, df, nil
	}
	a, err := f.kenwardRoger()
	if err != nil {
		return nil, nil, err
	}
	for i := range m {
		row := append([]float64(nil), rows[i*p:i*p+p]...)
		scale(1/math.Sqrt(sandwich(row, f.rows.phi, 1, p)[0]), row)
		df[i], _ = scaledF(0, a.single(row, p), 1)
	}
	return sandwich(rows, a.phi, m, p), df, nil
}

// single is A₂ of one contrast of unit variance under Φ.
func (a *adjusted) single(row []float64, p int) float64 {
	_, a2 := a.moments(row, 1, p)
	return a2
}

// FTest tests that all the contrasts in l, one a row, are zero. Rows that
// others make up are counted once.
//
// KenwardRoger: F = λ/m·(Lβ)'(LΦ_AL')⁻¹(Lβ), with λ and the denominator degrees
// of freedom of [KenwardRoger1997]. Satterthwaite: the contrasts are turned to
// uncorrelated ones, L = P'L with LΦL' = P·D·P', each with its degrees of
// freedom νᵢ, and
//
//	F = Σ tᵢ²/m,  df = 2E/(E − m),  E = Σ νᵢ/(νᵢ − 2)
//
// as [Kuznetsova2017] have it; df is 2 when a νᵢ is 2 or less. Refusals are
// those of Contrast.
func (f *Fit) FTest(l [][]float64, by DF) (FTest, error) {
	p := f.frame.basis.p
	var rows []float64
	for _, li := range l {
		q, err := f.coordinates(li)
		if err != nil {
			return FTest{}, err
		}
		rows = append(rows, q...)
	}
	if len(l) == 0 {
		return FTest{}, fmt.Errorf("%w: no contrast", ErrShape)
	}
	var t FTest
	var err error
	if by == Satterthwaite {
		t, err = f.satterthwaiteF(rows, len(l), p)
	} else {
		t, err = f.kenwardRogerF(rows, len(l), p)
	}
	if err != nil {
		return FTest{}, err
	}
	if !(t.DF2 > 0) {
		return FTest{}, fmt.Errorf("%w: no degrees of freedom are left for the test", ErrTooFew)
	}
	t.P = fBeyond(t.F, t.DF1, t.DF2)
	return t, nil
}

// fBeyond is the probability that F is larger.
func fBeyond(f, df1, df2 float64) float64 {
	switch {
	case !(f > 0):
		return 1
	case df2 > 1e7:
		return distuv.ChiSquared{K: df1}.Survival(f * df1)
	}
	return mathext.RegIncBeta(df2/2, df1/2, df2/(df2+df1*f))
}

func (f *Fit) kenwardRogerF(rows []float64, m, p int) (FTest, error) {
	a, err := f.kenwardRoger()
	if err != nil {
		return FTest{}, err
	}
	rows, m = orthonormal(rows, f.rows.phi, m, p)
	a1, a2 := a.moments(rows, m, p)
	df, lambda := scaledF(a1, a2, m)
	cov := sandwich(rows, a.phi, m, p)
	cholesky(cov, m)
	along, z := f.along(), make([]float64, m)
	for i := range m {
		z[i] = dot(rows[i*p:i*p+p], along)
	}
	forward(cov, m, z)
	return FTest{F: lambda * dot(z, z) / float64(m), DF1: float64(m), DF2: df, Scaling: lambda}, nil
}

// orthonormal makes the rows orthonormal under phi and leaves out those that
// the earlier ones make up.
func orthonormal(rows, phi []float64, m, p int) ([]float64, int) {
	var out []float64
	kept := 0
	image := make([]float64, p)
	for i := range m {
		row := append([]float64(nil), rows[i*p:i*p+p]...)
		before := sandwich(row, phi, 1, p)[0]
		for range 2 {
			for k := range kept {
				prior := out[k*p : k*p+p]
				product(phi, prior, image, p, 1)
				axpy(-dot(image, row), prior, row)
			}
		}
		after := sandwich(row, phi, 1, p)[0]
		if after < 1e-12*before {
			continue
		}
		scale(1/math.Sqrt(after), row)
		out = append(out, row...)
		kept++
	}
	return out, kept
}

func (f *Fit) satterthwaiteF(rows []float64, m, p int) (FTest, error) {
	s, err := f.satterthwaiteParts()
	if err != nil {
		return FTest{}, err
	}
	var e mat.EigenSym
	if !e.Factorize(mat.NewSymDense(m, sandwich(rows, f.rows.phi, m, p)), true) {
		return FTest{}, fmt.Errorf("%w: the contrasts have no principal axes", ErrNotEstimable)
	}
	values := e.Values(nil)
	var vectors mat.Dense
	e.VectorsTo(&vectors)
	along, row := f.along(), make([]float64, p)
	var nu []float64
	sum := 0.0
	for k, v := range values {
		if v <= 1e-8*values[m-1] {
			continue
		}
		clear(row)
		for i := range m {
			axpy(vectors.At(i, k), rows[i*p:i*p+p], row)
		}
		z := dot(row, along)
		sum += z * z / v
		nu = append(nu, s.df(row, v))
	}
	count := float64(len(nu))
	return FTest{F: sum / count, DF1: count, DF2: together(nu), Scaling: 1}, nil
}

// together is the denominator degrees of freedom of several uncorrelated t's.
func together(nu []float64) float64 {
	low, high, e := nu[0], nu[0], 0.0
	for _, v := range nu {
		low, high = min(low, v), max(high, v)
		e += v / (v - 2)
	}
	switch {
	case high-low < 1e-8:
		return mean(nu)
	case low <= 2:
		return 2
	}
	return 2 * e / (e - float64(len(nu)))
}
