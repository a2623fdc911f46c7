package rope_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/rope"
	"fallwright.example/rope/ropetest"
)

var sliding = rope.Sliding{
	Stiffening: rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 3000, Relaxation: 0.1},
	Contact:    30000, Ease: 20, Friction: 0.25,
}

// laws are those of the reference falls (fall/tower_test.go), a stiffening one,
// and each at an extreme.
var laws = map[string]rope.Law{
	"linear":                rope.Linear{Modulus: 20000},
	"linear, soft":          rope.Linear{Modulus: 500},
	"Kelvin-Voigt":          rope.KelvinVoigt{Modulus: 20000, Viscosity: 423.32},
	"Kelvin-Voigt, thick":   rope.KelvinVoigt{Modulus: 20000, Viscosity: 20000},
	"Zener":                 rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1},
	"Zener, slow":           rope.Zener{Equilibrium: 8000, Branch: 20000, Relaxation: 3},
	"Zener, quick":          rope.Zener{Equilibrium: 8000, Branch: 20000, Relaxation: 0.004},
	"stiffening":            rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 6000, Relaxation: 0.12},
	"sliding":               sliding,
	"sliding, much":         rope.Sliding{Stiffening: rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 3000, Relaxation: 0.1}, Contact: 30000, Ease: 5, Friction: 0.7},
	"sliding, hardly":       rope.Sliding{Stiffening: rope.Stiffening{Equilibrium: 5000, Growth: 4, Branch: 3000, Relaxation: 0.1}, Contact: 30000, Ease: 1},
	"knotted":               rope.Knotted{Law: sliding, Slip: 0.06, Force: 1500, Delay: 0.01},
	"knotted, tight":        rope.Knotted{Law: sliding, Slip: 0.06, Force: 1500, Delay: 0.01, Tight: 0.04},
	"stiffening, very much": rope.Stiffening{Equilibrium: 5000, Growth: 60, Branch: 6000, Relaxation: 0.12},
}

func TestLaws(t *testing.T) {
	for name, law := range laws {
		t.Run(name, func(t *testing.T) { ropetest.Exercise(t, law) })
	}
}

// A stiffening law that does not stiffen is the Zener solid, by its formula.
func TestStiffeningWithoutGrowthIsZener(t *testing.T) {
	z := rope.Zener{Equilibrium: 9000, Branch: 12000, Relaxation: 0.2}
	s := rope.Stiffening{Equilibrium: 9000, Branch: 12000, Relaxation: 0.2}
	checked := 0
	dz, ds := make([]float64, 1), make([]float64, 1)
	for _, strain := range []float64{-0.1, 0, 0.02, 0.3} {
		for _, rate := range []float64{-2, 0, 3} {
			for _, q := range []float64{-900, 0, 1500} {
				state := []float64{q}
				z.Rates(strain, rate, state, dz)
				s.Rates(strain, rate, state, ds)
				for what, pair := range map[string][2]float64{
					"tension": {z.Tension(strain, rate, state), s.Tension(strain, rate, state)},
					"rate":    {dz[0], ds[0]},
					"recoil":  {z.Recoil(strain, state), s.Recoil(strain, state)},
					"stored":  {z.Stored(strain, state), s.Stored(strain, state)},
					"lost":    {z.Lost(strain, rate, state), s.Lost(strain, rate, state)},
				} {
					// The two write the same formula in another order: rounding.
					if math.Abs(pair[0]-pair[1]) > 1e-12*math.Abs(pair[0]) {
						t.Errorf("%s: %g and %g", what, pair[0], pair[1])
					}
					checked++
				}
			}
		}
	}
	if checked != 180 {
		t.Fatalf("checked %d, want 180", checked)
	}
}

// Exact algebra: held at a strain from a sudden pull the Zener force is
// E₁·ε + E₂·ε·e^(-t/τ); the instantaneous and the resting modulus are its ends.
func TestZenerModuli(t *testing.T) {
	z := rope.Zener{Equilibrium: 9000, Branch: 12000, Relaxation: 0.2}
	if got := z.Tension(0.1, 0, []float64{0.1 * z.Branch}); got != 2100 {
		t.Errorf("at once %g N, want 2100", got)
	}
	if got := z.Tension(0.1, 0, []float64{0}); got != 900 {
		t.Errorf("at rest %g N, want 900", got)
	}
	d := make([]float64, 1)
	z.Rates(0.1, 0, []float64{1200}, d)
	if want := -1200 / 0.2; d[0] != want {
		t.Errorf("relaxes at %g N/s, want %g", d[0], want)
	}
}

func TestRefusals(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		piece rope.Piece
		want  string
	}{
		{rope.Piece{}, "rope: has no law"},
		{rope.Piece{Law: laws["linear"]}, "length: 0 m, the law needs a number above 0 m"},
		{rope.Piece{Law: laws["linear"], Length: inf}, "length: +Inf m, the law needs a number above 0 m"},
		{rope.Piece{Law: rope.Linear{Modulus: -1}, Length: 1}, "modulus: -1 N, the law needs a number above 0 N"},
		{rope.Piece{Law: rope.KelvinVoigt{Modulus: 1}, Length: 1}, "viscosity: 0 N s, the law needs a number above 0 N s"},
		{
			rope.Piece{Law: rope.Zener{Equilibrium: 1, Branch: nan, Relaxation: 1}, Length: 1},
			"branch modulus: NaN N, the law needs a number above 0 N",
		},
		{
			rope.Piece{Law: rope.Zener{Equilibrium: 1, Branch: 1}, Length: 1},
			"relaxation time: 0 s, the law needs a number above 0 s",
		},
		{
			rope.Piece{Law: rope.Stiffening{Equilibrium: 1, Growth: -0.5, Branch: 1, Relaxation: 1}, Length: 1},
			"growth: -0.5, the law needs 0 or more",
		},
	} {
		err := c.piece.Check()
		if err == nil || err.Error() != c.want {
			t.Errorf("got %v, want %q", err, c.want)
		}
		if problem.KindOf(err) != problem.Invalid {
			t.Errorf("%v is of kind %d", err, problem.KindOf(err))
		}
	}
	if err := (rope.Piece{Law: laws["Zener"], Length: 2.8}).Check(); err != nil {
		t.Errorf("a sound piece is refused: %v", err)
	}
}

// spoilt is a Zener solid with one fault planted.
type spoilt struct {
	rope.Zener
	fault string
}

func (s spoilt) Tension(strain, rate float64, state []float64) float64 {
	f := s.Zener.Tension(strain, rate, state)
	switch s.fault {
	case "pulls at ease":
		return f + 5
	case "not a number":
		if strain > 0.5 {
			return math.NaN()
		}
	case "softens":
		return f - 40000*strain*strain
	case "never lets go":
		return math.Abs(f) + 1e-6*strain
	}
	return f
}

func (s spoilt) Recoil(strain float64, state []float64) float64 {
	if s.fault == "stays long" {
		return 0
	}
	if s.fault == "springs back" {
		return 40 * s.Zener.Recoil(strain, state)
	}
	return s.Zener.Recoil(strain, state)
}

func (s spoilt) Stored(strain float64, state []float64) float64 {
	switch s.fault {
	case "forgets the branch":
		return s.Equilibrium * strain * strain / 2
	case "negative store":
		return -s.Zener.Stored(strain, state)
	}
	return s.Zener.Stored(strain, state)
}

func (s spoilt) Lost(strain, rate float64, state []float64) float64 {
	switch s.fault {
	case "loses 1 % less":
		return 0.99 * s.Zener.Lost(strain, rate, state)
	case "cools itself":
		return s.Zener.Lost(strain, rate, state) - 1
	}
	return s.Zener.Lost(strain, rate, state)
}

func (s spoilt) Quickest() float64 {
	if s.fault == "no time constant" {
		return 0
	}
	return s.Zener.Quickest()
}

// The exam itself is examined: each planted fault must bring a complaint of the
// kind named.
func TestExamSeesFaults(t *testing.T) {
	sound := rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1}
	if complaints, _ := ropetest.Examine(spoilt{Zener: sound}); len(complaints) != 0 {
		t.Fatalf("the law without a fault: %q", complaints)
	}
	for fault, kind := range map[string]string{
		"pulls at ease":      "at ease",
		"not a number":       "force",
		"softens":            "order",
		"never lets go":      "let go",
		"stays long":         "recoil",
		"springs back":       "books",
		"forgets the branch": "books",
		"negative store":     "stored",
		"loses 1 % less":     "books",
		"cools itself":       "lost",
		"no time constant":   "quickest",
	} {
		complaints, _ := ropetest.Examine(spoilt{Zener: sound, fault: fault})
		if !strings.Contains(fmt.Sprint(complaints), kind+": ") {
			t.Errorf("%s: the exam said %q, nothing of kind %q", fault, complaints, kind)
		}
	}
}

// Exact algebra: a force in a branch is worth itself, a strain of knots the
// tangent of the law there, E·(1 + 3·B·ε²).
func TestStateSizes(t *testing.T) {
	law := rope.Knotted{Law: sliding, Slip: 0.06, Force: 1500, Delay: 0.01}
	sizes := make([]float64, 3)
	rope.StateSizes(law, 100, make([]float64, 3), sizes)
	tangent := sliding.Equilibrium * (1 + 3*sliding.Growth*0.1*0.1)
	// The strain is moved by a thousandth, over which the tangent bends.
	if !(math.Abs(sizes[0]*tangent/100-1) < 0.01) || !(math.Abs(sizes[1]-100) < 1e-6) || !(math.Abs(sizes[2]-100) < 1e-6) {
		t.Errorf("sizes %v, want %g, 100, 100", sizes, 100/tangent)
	}
}
