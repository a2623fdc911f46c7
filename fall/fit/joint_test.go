package fit

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// fourFalls are first contacts of a rope that stiffens and recovers at rest:
// pace 1.5, recovery 3000 s, a modulus that tends to a third more.
func fourFalls(t *testing.T, seed uint64) []Fall {
	t.Helper()
	s := slow
	s.FirstContact = true
	var falls []Fall
	worn := 0.0
	for n, rest := range []float64{0, 300, 300, 7200} {
		if n > 0 {
			worn = (1 - (1-worn)*math.Exp(-1/1.5)) * math.Exp(-rest/3000)
		}
		law := rope.Zener{Equilibrium: 7000 * math.Pow(4.0/3, worn), Branch: 6000 * math.Pow(0.9, worn), Relaxation: 0.15}
		run, err := s.tower(6, law).Simulate(fall.Watch{FromContact: true, Until: 1, Rate: 2000, Accuracy: 1e-8})
		if err != nil {
			t.Fatal(err)
		}
		l := fall.Logger{PreTrigger: 0.3, Noise: 12, FullScale: 20000, Bits: 16}
		samples, err := l.Record(run.Force, 2000, seed*10+uint64(n))
		if err != nil {
			t.Fatal(err)
		}
		falls = append(falls, Fall{Samples: samples, Rate: 2000, Setting: s, Rest: rest})
	}
	return falls
}

// Errors of the joint fit in its standard errors: over eight series their root
// mean square is 1. 48 numbers, of which about three say what one would, know it
// to 18 %: three of these.
func TestJointErrorsAreAsLargeAsStated(t *testing.T) {
	sum, n := 0.0, 0
	for seed := range uint64(8) {
		c, err := Series(fourFalls(t, 20+seed), Zener)
		if err != nil {
			t.Fatal(err)
		}
		for p, truth := range map[Parameter]float64{
			c.Terms[0].First: 7000, c.Terms[0].Last: 7000 * 4.0 / 3, c.Terms[1].First: 6000, c.Terms[2].First: 0.15, c.Pace: 1.5, c.Recovery: 3000,
		} {
			sum += math.Pow(math.Log(p.Value/truth)*p.Value/p.SE, 2)
			n++
		}
	}
	if rms := math.Sqrt(sum / float64(n)); n != 48 || !(rms > 0.6 && rms < 1.55) {
		t.Errorf("%d errors are %.3g standard errors, rms", n, rms)
	} else {
		t.Logf("%d errors are %.3g standard errors, rms", n, rms)
	}
}

// The slopes of the joint fit, chained from those of single falls, against plain
// differences of all residuals, wide as half a standard error: to a tenth of the
// change. The moment of contact has three tenths: where a sample lies within the
// difference, the two ways of taking it differ by its share.
func TestChainedSlopes(t *testing.T) {
	c, err := Series(fourFalls(t, 1), Zener)
	if err != nil {
		t.Fatal(err)
	}
	parts := c.parts()
	p := c.found.P
	checked := 0
	for n, f := range parts {
		j := make([]float64, f.n*len(p))
		c.chain(p, n, f, j)
		for k := range p {
			h := c.found.SE(k) / 2
			if !(h > 0) {
				continue
			}
			at, sides := append([]float64(nil), p...), [2][]float64{make([]float64, f.n), make([]float64, f.n)}
			for i, side := range []float64{1, -1} {
				at[k] = p[k] + side*h
				f.model(c.ofFall(at, n), sides[i])
			}
			out, size := 0.0, 0.0
			for i := range f.n {
				want := (sides[1][i] - sides[0][i]) / (2 * h) / f.record.sigma()
				out, size = math.Hypot(out, j[i*len(p)+k]-want), math.Hypot(size, want)
			}
			room := 0.1
			if k >= len(c.lower) && (k-len(c.lower))%nuisances == beginning {
				room = 0.3
			}
			if !(out <= room*size+1e-9) {
				t.Errorf("fall %d, parameter %d: slopes are out by %.3g of %.3g", n+1, k, out, size)
			}
			checked++
		}
	}
	if checked < 4*15 {
		t.Fatalf("%d columns", checked)
	}
}

// What a course hands on: by its covariance the error of a sum of parameters is
// that of the joint fit, of the first fall exactly the first values' own.
func TestCourseHandsOnItsCovariance(t *testing.T) {
	c, err := Series(fourFalls(t, 1), Zener)
	if err != nil {
		t.Fatal(err)
	}
	k := c.Known(1)
	gradient, byKnown := make([]float64, len(c.found.P)), 0.0
	for i := range k.Values {
		gradient[i] = k.Values[i] // of p = e^(ln p)
		for j := range k.Values {
			byKnown += k.Covariance[i][j]
		}
		if se := c.Terms[i].First.SE; !(math.Abs(math.Sqrt(k.Covariance[i][i])/se-1) < 1e-6) {
			t.Errorf("%s: %g, the first value has %g", k.Names[i], math.Sqrt(k.Covariance[i][i]), se)
		}
	}
	if want := c.found.SEOf(gradient) * c.wide; !(math.Abs(math.Sqrt(byKnown)/want-1) < 1e-6) {
		t.Errorf("the sum has an error of %g by the covariance, %g by the fit", math.Sqrt(byKnown), want)
	}
	// Wear and recovery between: fall 3 is nearer to the last value than fall 4,
	// before which the rope rested.
	if e2, e4 := c.Known(3).Values[0], c.Known(4).Values[0]; !(e2 > 1.1*k.Values[0] && e4 < e2 && e4 > k.Values[0]) {
		t.Errorf("moduli %g, %g, %g", k.Values[0], e2, e4)
	}
	next := c.KnownNext(300)
	if law := c.Next(300).(rope.Zener); law.Equilibrium != next.Values[0] || next.Law != "zener" || next.Fitted != c.reached {
		t.Errorf("next %+v, law %+v", next, law)
	}
}
