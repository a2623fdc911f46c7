package dial

import (
	"math"
	"testing"
)

// The polynomials between simulations are as good as simulations.
func TestSurface(t *testing.T) {
	s := &simulator{prior: unknownRope(), gravity: 9.80665}
	f := &surface{mass: 80, length: 2.6}
	if err := s.survey(f, 0.1, 3); err != nil {
		t.Fatal(err)
	}
	worst := 0.0
	checked := 0
	for _, drop := range []float64{0.1, 0.17, 0.33, 0.8, 1.5, 2.4, 3} {
		r := f.at(drop)
		for k := 0; k < len(s.prior.factors); k += 3 {
			log := s.directly(t, Setting{80, drop, 2.6}, s.prior.factors[k])
			worst = max(worst, math.Abs(log-r.log[k]))
			checked++
		}
	}
	if t.Logf("worst %.2g", worst); worst > 2e-3 || checked < 50 {
		t.Errorf("%d checked, worst %.2g", checked, worst)
	}
}

// directly is the mean of ln of the peak over the traits, by simulation alone.
func (s *simulator) directly(t *testing.T, at Setting, factor float64) float64 {
	t.Helper()
	x := s.prior.middles()
	once := func() float64 {
		log, _, err := s.peak(at, factor, &x)
		if err != nil {
			t.Fatal(err)
		}
		return log
	}
	middle := once()
	sum := middle
	for i, tr := range s.prior.traits[:simulated] {
		for _, side := range []float64{-1, 1} {
			x[i] = tr.middle + side*tr.sd
			sum += (once() - middle) / 2
		}
		x[i] = tr.middle
	}
	return sum
}
