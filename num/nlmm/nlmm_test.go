package nlmm_test

import (
	"errors"
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/nlmm"
	"fallwright.example/refdata"
)

// firstOrder is exp(φ₀)·(1 − exp(−t/exp(φ₁))); with a third parameter the time is
// raised to exp(φ₂).
func firstOrder(times [][]float64) func(int, []float64, []float64, []float64) bool {
	return func(group int, phi, f, g []float64) bool {
		p := len(phi)
		w, scale, b := math.Exp(phi[0]), math.Exp(phi[1]), 1.0
		if p > 2 {
			b = math.Exp(phi[2])
		}
		for j, t := range times[group] {
			u := math.Pow(t/scale, b)
			e := math.Exp(-u)
			f[j] = w * (1 - e)
			if g == nil {
				continue
			}
			g[j*p], g[j*p+1] = f[j], -w*e*u*b
			if p > 2 {
				g[j*p+2] = w * e * u * math.Log(t/scale) * b
			}
		}
		return true
	}
}

func table(t *testing.T, name string) (y, times [][]float64) {
	t.Helper()
	ref := reference(t)
	values, at, of := ref.Soak.Uptake, ref.Soak.Minutes, ref.Soak.Specimen
	if name == "loblolly" {
		values, at, of = ref.Loblolly.Height, ref.Loblolly.Age, nil
		for _, s := range ref.Loblolly.Seed {
			of = append(of, string(rune(s)))
		}
	}
	index := map[string]int{}
	for i, s := range of {
		k, have := index[s]
		if !have {
			k = len(y)
			index[s] = k
			y, times = append(y, nil), append(times, nil)
		}
		y[k], times[k] = append(y[k], values[i]), append(times[k], at[i])
	}
	return y, times
}

func reference(t *testing.T) refdata.UptakeReference {
	t.Helper()
	ref, err := refdata.Uptake()
	if err != nil {
		t.Fatal(err)
	}
	return ref
}

// Values of nlme 3.1-162, refdata/uptake/make_reference.R. Its alternation stops
// by a tolerance of 1e-8 or worse in its own measure: estimates hold to some 1e-5
// of a standard error, variances to 1e-3 of themselves, the likelihood, flat
// there, to 1e-5.
func TestAgainstNlme(t *testing.T) {
	ref := reference(t)
	for _, c := range ref.Mixed {
		y, times := table(t, c.Name)
		p := len(c.Beta)
		m := nlmm.Model{Y: y, Value: firstOrder(times), Parameters: p, Random: []int{0, 1}, Diagonal: c.Diagonal}
		start := []float64{math.Log(40), math.Log(10), 0}
		if c.Name == "loblolly" {
			start = []float64{math.Log(80), math.Log(20), 0.1}
		}
		method := nlmm.ML
		if c.Method == "REML" {
			method = nlmm.REML
		}
		f, err := nlmm.New(m, start[:p], method)
		if err != nil {
			t.Errorf("%s %s: %v", c.Name, c.Method, err)
			continue
		}
		t.Logf("%s %s: %d steps, log likelihood %.9g, nlme %.9g; sigma %.7g, nlme %.7g; omega %.6g, nlme %.6g", c.Name, c.Method, f.Steps, f.LogLikelihood(), c.LogLik, f.Sigma, c.Sigma, f.Omega, c.Omega)
		if !near.Abs(f.LogLikelihood(), c.LogLik, 1e-5) {
			t.Errorf("%s %s: log likelihood %.9g, nlme %.9g", c.Name, c.Method, f.LogLikelihood(), c.LogLik)
		}
		for k := range p {
			se := math.Sqrt(c.Covariance[k*p+k])
			if !near.Abs(f.Beta[k], c.Beta[k], 1e-4*se) {
				t.Errorf("%s %s: parameter %d is %.9g, nlme %.9g (SE %.3g)", c.Name, c.Method, k, f.Beta[k], c.Beta[k], se)
			}
			if !near.Rel(f.SE(k), se, 1e-3) {
				t.Errorf("%s %s: SE %d is %.9g, nlme %.9g", c.Name, c.Method, k, f.SE(k), se)
			}
		}
		for i := range f.Omega {
			for j := range f.Omega {
				if scale := math.Sqrt(f.Omega[i][i] * f.Omega[j][j]); !near.Abs(f.Omega[i][j], c.Omega[2*i+j], 2e-3*scale) {
					t.Errorf("%s %s: covariance %d %d is %.7g, nlme %.7g", c.Name, c.Method, i, j, f.Omega[i][j], c.Omega[2*i+j])
				}
			}
		}
	}
	if len(ref.Mixed) != 8 {
		t.Fatalf("%d models checked", len(ref.Mixed))
	}
}

// Held where it is, nothing moves; held elsewhere, the deviance rises; and it is
// that of a straight line between: a profile is followed from where it was.
func TestHold(t *testing.T) {
	y, times := table(t, "soak")
	m := nlmm.Model{Y: y, Value: firstOrder(times), Parameters: 2, Random: []int{0, 1}, Diagonal: true}
	f, err := nlmm.New(m, []float64{math.Log(40), math.Log(10)}, nlmm.ML)
	if err != nil {
		t.Fatal(err)
	}
	same, err := f.Hold(m, map[int]float64{0: f.Beta[0]}, nlmm.ML)
	if err != nil {
		t.Fatal(err)
	}
	if !near.Abs(same.Deviance, f.Deviance, 1e-7) || same.SE(0) != 0 {
		t.Errorf("held at its estimate: deviance %.10g, free %.10g, SE %g", same.Deviance, f.Deviance, same.SE(0))
	}
	// Between specimens only, a profile of the deviance is n·ln(1 + t²/(n−1)).
	off := 2 * f.SE(0)
	held, err := f.Hold(m, map[int]float64{0: f.Beta[0] + off}, nlmm.ML)
	if err != nil {
		t.Fatal(err)
	}
	n := float64(f.Groups())
	if want := n * math.Log(1+4/n); !near.Rel(held.Deviance-f.Deviance, want, 0.05) {
		t.Errorf("the deviance rose by %g, by the normal approximation %g", held.Deviance-f.Deviance, want)
	}
}

func TestRefusals(t *testing.T) {
	y, times := table(t, "soak")
	good := nlmm.Model{Y: y, Value: firstOrder(times), Parameters: 2, Random: []int{0, 1}}
	for _, c := range []struct {
		name   string
		change func(m *nlmm.Model)
		start  []float64
		want   error
	}{
		{"one group", func(m *nlmm.Model) { m.Y = m.Y[:1] }, []float64{3, 2}, nlmm.ErrTooFew},
		{"few values", func(m *nlmm.Model) { m.Y = [][]float64{{1}, {2}} }, []float64{3, 2}, nlmm.ErrTooFew},
		{"short start", func(*nlmm.Model) {}, []float64{3}, nlmm.ErrShape},
		{"nothing random", func(m *nlmm.Model) { m.Random = nil }, []float64{3, 2}, nlmm.ErrShape},
		{"no value", func(m *nlmm.Model) { m.Value = func(int, []float64, []float64, []float64) bool { return false } }, []float64{3, 2}, nlmm.ErrNotFinite},
	} {
		m := good
		c.change(&m)
		if _, err := nlmm.New(m, c.start, nlmm.REML); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
