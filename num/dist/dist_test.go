package dist

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fallwright.example/internal/near"
)

// Closed forms: t on 1, 2 and 4 degrees of freedom, F on 2 and anything, χ² on
// 2, the normal at zero and by its own tail. The tolerance is rounding.
func TestClosedForms(t *testing.T) {
	checked := 0
	check := func(what string, got, want float64) {
		t.Helper()
		checked++
		if near.Digits(got, want) < 12 {
			t.Errorf("%s = %.15g, want %.15g", what, got, want)
		}
	}
	for _, p := range []float64{0.4, 0.1, 0.025, 0.005, 1e-4, 1e-8} {
		check("t 1", T(p, 1), 1/math.Tan(math.Pi*p))
		check("t 2", T(p, 2), (1-2*p)/math.Sqrt(2*p*(1-p)))
		check("t tail 2", TTail(T(p, 2), 2), p)
		for _, d := range []float64{3, 7, 40} {
			check("F 2", F(p, 2, d), d/2*(math.Pow(p, -2/d)-1))
			check("F tail", FTail(F(p, 2, d), 2, d), p)
			if p > 0.001 { // 1 − p holds p no better
				check("F turned", F(1-p, d, 2), 1/F(p, 2, d))
			}
		}
		check("χ² 2", ChiSquared(p, 2), -2*math.Log(p))
		check("F to χ²", F(p, 2, math.Inf(1)), -math.Log(p))
		check("normal", Normal(-NormalQuantile(p)), p)
		check("t to normal", T(p, math.Inf(1)), NormalQuantile(p))
	}
	if T(0.5, 7) > 1e-7 || !near.Abs(T(0.9, 3), -T(0.1, 3), 1e-12) {
		t.Error("t is not even")
	}
	for _, bad := range []float64{T(0, 3), T(0.1, 0), F(0.1, 0, 3), F(2, 1, 1), ChiSquared(0.1, -1), FTail(math.NaN(), 1, 1)} {
		checked++
		if !math.IsNaN(bad) {
			t.Errorf("an argument out of range gave %g", bad)
		}
	}
	if checked < 80 {
		t.Fatalf("%d checks ran", checked)
	}
}

// The largest of a sample: where the events exclude each other, which is above
// T = √((n−1)(n−2)/(2n)), the tail is n times that of one residual and the
// quantile the formula of [Grubbs1950] with t at tail/n, exactly. 2e-5 is
// what the step leaves at the corners of the smallest samples.
func TestLargestAgainstFormula(t *testing.T) {
	checked := 0
	for _, n := range []int{3, 4, 5, 6, 8, 10, 16, 30} {
		k, e := float64(n), NewExtreme(n)
		for _, tail := range []float64{0.025, 0.005} {
			q := T(tail/k, k-2)
			want := (k - 1) / math.Sqrt(k) * math.Sqrt(q*q/(k-2+q*q))
			if want < math.Sqrt((k-1)*(k-2)/(2*k)) {
				continue
			}
			checked++
			if got := e.LargestQuantile(tail); !near.Abs(got, want, 2e-5) {
				t.Errorf("n %d, tail %g: %.7f, formula %.7f", n, tail, got, want)
			}
		}
		if all := e.Largest(k); all != 1 || e.tables[n].p[0] > 3e-5 {
			t.Errorf("n %d: below everything lies %g", n, e.tables[n].p[0])
		}
	}
	if checked < 8 {
		t.Fatalf("%d checks ran", checked)
	}
}

// Two largest or two smallest, [ISO57252] table 5 at 1 % and 5 % in both
// directions, so 0.5 % and 2.5 % in one ([Grubbs1972]; the figures here from
// memory). They are printed to four digits and were found by integration and
// simulation, so two in the last digit are allowed.
func TestPairQuantileTable(t *testing.T) {
	checked := 0
	for n, want := range map[int][2]float64{
		5: {0.0018, 0.0090}, 6: {0.0116, 0.0349}, 7: {0.0308, 0.0708}, 8: {0.0563, 0.1101},
		9: {0.0851, 0.1492}, 10: {0.1150, 0.1864},
	} {
		e := NewExtreme(n)
		for i, tail := range []float64{0.005, 0.025} {
			checked++
			if got := e.PairQuantile(tail); !near.Abs(got, want[i], 2.01e-4) {
				t.Errorf("n %d, tail %g: %.5f, printed %.4f", n, tail, got, want[i])
			}
		}
	}
	if checked != 12 {
		t.Fatalf("%d checks ran", checked)
	}
}

// The same by drawing samples, at sizes that the table does not have: the share
// that falls below is within four of its standard errors.
func TestPairQuantileSimulated(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{4, 6, 12, 25} {
		const draws, tail = 20000, 0.05
		limit, below := NewExtreme(n).PairQuantile(tail), 0
		x := make([]float64, n)
		for range draws {
			for i := range x {
				x[i] = random.NormFloat64()
			}
			slices.Sort(x)
			if squares(x[:n-2])/squares(x) < limit {
				below++
			}
		}
		if share := float64(below) / draws; math.Abs(share-tail) > 4*math.Sqrt(tail*(1-tail)/draws) {
			t.Errorf("n %d: %.4f fall below, want %.2f", n, share, tail)
		}
	}
}

func squares(x []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return sum
}

func BenchmarkPairQuantile(b *testing.B) {
	for b.Loop() {
		NewExtreme(12).PairQuantile(0.025)
	}
}
