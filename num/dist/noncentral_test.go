package dist

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

// R 4.2.2's pt, qt and pf over a wide grid, testdata/noncentral.R. R says of its
// noncentral functions that they hold some 1e-12 of one in the lower tail and no
// more than that in the upper, so the chance is held to 1e-10 absolutely; qt by
// R's own pt, to a share of 1e-7, where R stops halving.
func TestNoncentralAgainstR(t *testing.T) {
	text, err := os.ReadFile("testdata/noncentral.csv")
	if err != nil {
		t.Fatal(err)
	}
	checked := map[string]int{}
	for line := range strings.Lines(string(text)) {
		field := strings.Split(strings.TrimSpace(line), ",")
		if len(field) != 6 || field[0] == "what" {
			continue
		}
		v := make([]float64, 6)
		for i := 1; i < 6; i++ {
			v[i], _ = strconv.ParseFloat(field[i], 64)
		}
		x, d1, d2, ncp, below := v[1], v[2], v[3], v[4], v[5]
		checked[field[0]]++
		switch field[0] {
		case "t":
			low, high := NoncentralTBelow(x, d2, ncp), NoncentralTTail(x, d2, ncp)
			if !near.Abs(low, below, 1e-10) || !near.Abs(low+high, 1, 1e-12) {
				t.Errorf("t %g on %g, ncp %g: %.14f and %.14f, R has %.14f", x, d2, ncp, low, high, below)
			}
		case "qt":
			if got := NoncentralT(1-below, d2, ncp); !near.Abs(got, x, 1e-7*max(1, math.Abs(x))) {
				t.Errorf("quantile %g on %g, ncp %g: %.12g, R has %.12g", below, d2, ncp, got, x)
			}
		case "f":
			low, high := NoncentralFBelow(x, d1, d2, ncp), NoncentralFTail(x, d1, d2, ncp)
			if !near.Abs(low, below, 1.5e-9) || !near.Abs(low+high, 1, 1e-12) {
				t.Errorf("F %g on %g and %g, ncp %g: %.14f and %.14f, R has %.14f", x, d1, d2, ncp, low, high, below)
			}
		}
	}
	if checked["t"] < 500 || checked["qt"] < 300 || checked["f"] < 1200 {
		t.Fatalf("checked %v", checked)
	}
}

// Without noncentrality they are the central ones; t² is F on one degree of
// freedom; with endless degrees of freedom they are the normal and, at one
// numerator degree of freedom, those of its square. 1e-12 absolutely: what the sums
// leave.
func TestNoncentralLimits(t *testing.T) {
	checked := 0
	check := func(what string, got, want float64) {
		t.Helper()
		checked++
		if !near.Abs(got, want, 1e-12) {
			t.Errorf("%s: %.15g, want %.15g", what, got, want)
		}
	}
	for _, df := range []float64{1, 2, 5, 17, 300} {
		for _, x := range []float64{-3, -0.5, 0.1, 1, 4, 30} {
			check("central t", NoncentralTTail(x, df, 0), TTail(x, df))
			if x > 0 {
				check("central F", NoncentralFTail(x, 3, df, 0), FTail(x, 3, df))
				check("t² is F", NoncentralTTail(x, df, 1.7)+NoncentralTBelow(-x, df, 1.7), NoncentralFTail(x*x, 1, df, 1.7*1.7))
			}
		}
	}
	// Far out: P(T > t) on one degree of freedom is Cauchy's, 1/(πt).
	check("far t", NoncentralTTail(1e7, 1, 0), math.Atan(1e-7)/math.Pi)
	check("endless t", NoncentralTTail(2, math.Inf(1), 1.5), Normal(-0.5))
	check("endless F", NoncentralFTail(3.2, 1, math.Inf(1), 4), Normal(2-math.Sqrt(3.2))+Normal(-2-math.Sqrt(3.2)))
	for _, bad := range []float64{NoncentralTTail(1, 0, 1), NoncentralTTail(math.NaN(), 3, 1), NoncentralT(0, 3, 1), NoncentralFTail(1, 1, 1, -1)} {
		checked++
		if !math.IsNaN(bad) {
			t.Errorf("an argument out of range gave %g", bad)
		}
	}
	if checked < 70 {
		t.Fatalf("%d checks ran", checked)
	}
}

// The quantile turns the tail, on both sides and far from the middle.
func TestNoncentralQuantileTurnsTail(t *testing.T) {
	checked := 0
	for _, df := range []float64{1, 2.5, 9, 80} {
		for _, ncp := range []float64{-4, 0, 1, 12} {
			for _, tail := range []float64{1e-6, 0.025, 0.4, 0.8, 0.9999} {
				checked++
				if got := NoncentralTTail(NoncentralT(tail, df, ncp), df, ncp); !near.Rel(got, tail, 1e-10) {
					t.Errorf("tail %g on %g, ncp %g: %g", tail, df, ncp, got)
				}
			}
		}
	}
	if checked != 80 {
		t.Fatalf("%d checks ran", checked)
	}
}
