package fall_test

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/num/lsq"
	"fallwright.example/rope"
)

// The data of one rope: 80 kg stretch it by 8 %, a fall of 80 kg at a factor of
// 1.77 pulls 9 kN and stretches it by 32 %. Typical of what makers print; one
// modulus would be 9.8 kN by the first, 24.1 kN by the second and 28 kN by the
// third.
const (
	staticStrain, impact, dynamicStrain = 0.08, 9000.0, 0.32
	makersMass, makersFactor            = 80.0, 1.77
)

func makersFall(t *testing.T, law rope.Law) *fall.Run {
	t.Helper()
	w := fall.Tower{Mass: makersMass, Drop: 2.8 * makersFactor, Gravity: fall.StandardGravity, Rope: rope.Piece{Law: law, Length: 2.8}}
	return mustRun(t, w, fall.Watch{Until: 60, Accuracy: 1e-8})
}

// hangs is the strain under a weight in newtons that was let down gently: what
// relaxes has relaxed, and the yarns have slid as far as they give way.
func hangs(l rope.Sliding, weight float64) float64 {
	low, high := 0.0, 2.0
	for range 60 {
		mid := (low + high) / 2
		if pull := l.Stiffening.Tension(mid, 0, []float64{0}); pull+l.Ease+l.Friction*pull < weight {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

func TestOneModulusDoesNotMeetAllThree(t *testing.T) {
	weight := makersMass * fall.StandardGravity
	byImpact, err := fall.ModulusFromPeak(impact, makersMass, makersFactor, fall.StandardGravity)
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "modulus by static elongation", weight/staticStrain, "9806.65")
	printed(t, "modulus by impact", byImpact, "24080.9")
	printed(t, "modulus by dynamic elongation", impact/dynamicStrain, "28125.0")
	// The one that meets the impact is out by more than a half in the hanging
	// strain and by a sixth in the dynamic one.
	run := makersFall(t, rope.Linear{Modulus: byImpact})
	printed(t, "impact", run.Peak, "9000.0")
	if s := weight / byImpact / staticStrain; !(s < 0.5) {
		t.Errorf("it hangs at %.2f of the strain asked for", s)
	}
	if d := run.MaxStretch / 2.8 / dynamicStrain; !(d > 1.15) {
		t.Errorf("it stretches to %.2f of the strain asked for", d)
	}
}

// meetsAll is the sliding law fitted to the same rope by its equilibrium modulus,
// growth and branch; friction and times are such as traces show.
func meetsAll(t *testing.T) rope.Sliding {
	t.Helper()
	law := func(p []float64) rope.Sliding {
		return rope.Sliding{
			Stiffening: rope.Stiffening{Equilibrium: p[0], Growth: p[1], Branch: p[2], Relaxation: 0.15},
			Contact:    40000, Ease: 30, Friction: 0.2,
		}
	}
	fit, err := lsq.Solve(lsq.Problem{
		Observations: 3, Lower: []float64{1000, 0, 1000}, Upper: []float64{30000, 60, 60000},
		Residuals: func(p, r []float64) {
			run := makersFall(t, law(p))
			r[0] = hangs(law(p), makersMass*fall.StandardGravity)/staticStrain - 1
			r[1] = run.Peak/impact - 1
			r[2] = run.MaxStretch/2.8/dynamicStrain - 1
		},
	}, []float64{8000, 4, 12000})
	if err != nil {
		t.Fatal(err)
	}
	return law(fit.P)
}

// The sliding law meets all three; the tolerance is that of the simulation.
func TestSlidingMeetsAllThree(t *testing.T) {
	law := meetsAll(t)
	t.Logf("%+v", law)
	run := makersFall(t, law)
	for what, pair := range map[string][2]float64{
		"static strain":  {hangs(law, makersMass*fall.StandardGravity), staticStrain},
		"impact":         {run.Peak, impact},
		"dynamic strain": {run.MaxStretch / 2.8, dynamicStrain},
	} {
		if !(math.Abs(pair[0]/pair[1]-1) < 1e-6) {
			t.Errorf("%s %.8g, want %g", what, pair[0], pair[1])
		}
	}
}

// Common practice, no source: water that lubricates changes the first peak
// little and the rebound clearly.
func TestLessFrictionReboundsMore(t *testing.T) {
	wet := rope.Same()
	wet.Friction, wet.Ease = 0.4, 0.4
	dry := sliding
	for _, factor := range []float64{0.4, 0.6} {
		law, err := wet.Apply(dry)
		if err != nil {
			t.Fatal(err)
		}
		drop := func(l rope.Law) *fall.Run {
			return mustRun(t, fall.Tower{
				Mass: 80, Drop: 2.6 * factor, Gravity: fall.StandardGravity, Rope: rope.Piece{Law: l, Length: 2.6},
			}, fall.Watch{Until: 4, Rate: 100})
		}
		was, is := drop(dry), drop(law)
		peak, rebound := is.Peak/was.Peak-1, is.ReboundSpeed/was.ReboundSpeed-1
		t.Logf("factor %g: peak %+.3f, rebound %+.3f", factor, peak, rebound)
		if !(math.Abs(peak) < 0.06 && rebound > 0.15 && rebound > 4*math.Abs(peak)) {
			t.Errorf("factor %g: peak %+.3f, rebound %+.3f", factor, peak, rebound)
		}
	}
}
