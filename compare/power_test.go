package compare

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

// twoGroups is a question between two conditions of one spread and nothing else.
func twoGroups(lower, upper, sd float64) prospect {
	return prospect{lower: lower, upper: upper, variance: 2 * sd * sd, perDF: 2, different: alpha, equivalent: alpha}
}

// Where the margin is next to nothing, higher is a one-tailed share of the t
// test: power.t.test(n, delta, sd, strict = FALSE) of R 4.2.2, exactly the
// noncentral t; testdata/power.R. R's has some ten digits, a margin of 1e-12
// moves the tenth.
func TestPowerOfT(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		n               int
		delta, sd, want float64
	}{
		{3, 2, 1, 0.462608128648},
		{3, 5, 1, 0.992775913628},
		{7, 0.1, 0.06, 0.816266837274},
		{60, 0.3, 1, 0.370636831493},
		{2, 20, 1, 0.999999996772},
	} {
		for _, sign := range []float64{1, -1} {
			if got := twoGroups(-1e-12, 1e-12, c.sd).power(sign*c.delta, c.n); !near.Abs(got, c.want, 1e-9) {
				t.Errorf("n %d, difference %g of %g: %.12f, R has %.12f", c.n, sign*c.delta, c.sd, got, c.want)
			}
			checked++
		}
	}
	if checked != 10 {
		t.Fatalf("%d checked", checked)
	}
	// R: n = 6.76, 8.65; 175.4, 234.5.
	for _, c := range []struct {
		delta, sd float64
		n80, n90  int
	}{{0.1, 0.06, 7, 9}, {0.3, 1, 176, 235}} {
		p := twoGroups(-1e-12, 1e-12, c.sd)
		if a, b := p.smallest(c.delta, 0.8), p.smallest(c.delta, 0.9); a != c.n80 || b != c.n90 {
			t.Errorf("difference %g of %g: %d and %d specimens, want %d and %d", c.delta, c.sd, a, b, c.n80, c.n90)
		}
	}
}

// With a margin, against an adaptive integral over the variance itself, R 4.2.2
// (testdata/power.R). Both integrals stop
// at some 1e-9.
func TestPowerWithMargin(t *testing.T) {
	lo, up := math.Log(0.95), math.Log(1.05)
	checked := 0
	for _, c := range []struct {
		lower, upper, truth, variance, perDF float64
		n                                    int
		alpha, want                          float64
	}{
		{lo, up, 0, 2 * 0.03 * 0.03, 2, 7, 0.05, 0.802779331201},
		{lo, up, 0.02, 2 * 0.03 * 0.03, 6, 5, 0.05, 0.409809621988},
		{-200, 200, -50, 2 * 120 * 120, 2, 3, 0.05, 0.198861167124},
		{lo, up, 0, 2 * 0.03 * 0.03, 2, 7, 0.05 / 3, 0.521110791930},
		{-200, 200, 0, 2 * 150 * 150, 2, 2, 0.05, 0.063881457487},
		{lo, up, 0.09, 2 * 0.03 * 0.03, 2, 4, 0.05, 0.930979681850},
		{lo, up, up, 2 * 0.03 * 0.03, 6, 9, 0.05, 0.5},
		{-200, 200, 230, 2 * 120 * 120, 2, 12, 0.05, 0.729854312651},
		{-200, 200, -400, 2 * 150 * 150, 2, 3, 0.025, 0.505801354728},
	} {
		p := prospect{c.lower, c.upper, c.variance, c.perDF, c.alpha, c.alpha}
		if got := p.power(c.truth, c.n); !near.Abs(got, c.want, 2e-9) {
			t.Errorf("%+v: %.12f", c, got)
		}
		checked++
	}
	if checked != 9 {
		t.Fatalf("%d checked", checked)
	}
}

// With degrees of freedom beyond counting s is σ: Φ(0.03/σ − z) with σ 0.01, and
// the normal distribution between the bounds.
func TestPowerWithoutEnd(t *testing.T) {
	p := twoGroups(-0.001, 0.001, 0.01)
	p.variance, p.perDF = 1e-4*4, 1e7
	z := math.Sqrt2 * math.Erfinv(0.95)
	if got, want := p.power(0.03, 4), normal(3-z); !near.Abs(got, want, 1e-7) {
		t.Errorf("%g, want %g", got, want)
	}
	p.lower, p.upper = -0.02, 0.02
	if got, want := p.power(0, 4), 2*normal(2-math.Sqrt2*math.Erfinv(0.9))-1; !near.Abs(got, want, 1e-7) {
		t.Errorf("%g, want %g", got, want)
	}
}

// The rule itself, applied to estimates and variances that are drawn. Tolerance:
// four standard errors of a share of 20 000.
func TestPowerAgainstTrials(t *testing.T) {
	const trials = 20_000
	r := rand.New(rand.NewPCG(5, 9))
	checked := 0
	for _, c := range []struct {
		truth float64
		n     int
		want  Verdict
	}{{0, 4, NoDifference}, {0.02, 6, NoDifference}, {0.05, 3, Higher}, {0.09, 3, Higher}, {-0.06, 5, Lower}} {
		p := twoGroups(math.Log(0.95), math.Log(1.05), 0.025)
		p.perDF = 3
		sigma, df := math.Sqrt(p.variance/float64(c.n)), 3*(c.n-1)
		count := 0
		verdict := p.judge(float64(df))
		for range trials {
			squares := 0.0
			for range df {
				z := r.NormFloat64()
				squares += z * z
			}
			if verdict(c.truth+sigma*r.NormFloat64(), sigma*math.Sqrt(squares/float64(df))) == c.want {
				count++
			}
		}
		want := p.power(c.truth, c.n)
		if got := float64(count) / trials; !near.Abs(got, want, 4*math.Sqrt(want*(1-want)/trials)) {
			t.Errorf("%+v: in %.4f of the trials, computed %.4f", c, got, want)
		}
		checked++
	}
	if checked != 5 {
		t.Fatalf("%d checked", checked)
	}
}

// judge is the verdict on estimates, by the intervals.
func (p prospect) judge(df float64) func(estimate, se float64) Verdict {
	apart, alike := studentQuantile(p.different/2, df), studentQuantile(p.equivalent, df)
	return func(estimate, se float64) Verdict {
		v := view{n: 2, estimate: estimate, margin: p.upper, p: 1, equivalenceP: 1}
		if estimate < 0 {
			v.margin = -p.lower
		}
		if math.Abs(estimate) > apart*se {
			v.p = 0
		}
		if estimate-alike*se > p.lower && estimate+alike*se < p.upper {
			v.equivalenceP = 0
		}
		return v.verdict()
	}
}

// More specimens never do worse where the chance is 3 % or more, so that halving
// finds the smallest number: for truths on and beside the margin, few and many
// degrees of freedom, wide and narrow margins. The integral is good to 1e-8.
func TestPowerOnlyGrows(t *testing.T) {
	checked := 0
	for _, sd := range []float64{0.004, 0.03, 0.2} {
		for _, perDF := range []float64{0.7, 2, 30} {
			for _, share := range []float64{-1.5, -1, -0.99, -0.3, 0, 0.5, 0.95, 1, 1.01, 3} {
				p := twoGroups(math.Log(0.95), math.Log(1.05), sd)
				p.perDF = perDF
				truth := share * p.upper
				if share < 0 {
					truth = -share * p.lower
				}
				last := 0.0
				for n := 2; n <= 100; n += 1 + n/5 {
					now := p.power(truth, n)
					if last > 0.03 && !(now >= last-1e-8) || !(now < 1+1e-8) {
						t.Errorf("spread %g, truth %g, %g degrees of freedom each: %d specimens %.10f, fewer %.10f", sd, truth, perDF, n, now, last)
					}
					last = now
					checked++
				}
				for _, power := range []float64{0.8, 0.9} {
					n := p.smallest(truth, power)
					if n == Unknown && p.power(truth, most) >= power || n > 2 && p.power(truth, n-1) >= power || n > 0 && p.power(truth, n) < power {
						t.Errorf("spread %g, truth %g: %d specimens for %g", sd, truth, n, power)
					}
				}
			}
		}
	}
	if checked < 800 {
		t.Fatalf("%d checked", checked)
	}
	if n := twoGroups(-0.05, 0.05, 0.001).smallest(0.05, 0.8); n != Unknown {
		t.Errorf("a truth at the margin is settled by %d", n)
	}
}
