package rope

import (
	"math"
	"testing"
)

// Drawn out and back between strains, friction by tables is that of its equation,
// ds/dε = E_s·(1 ∓ s/g), integrated here by the classical method in steps so short
// that it is good to 1e-9; so is how fast the tension grows, by differences.
func TestTurningFollowsItsEquation(t *testing.T) {
	checked := 0
	for _, l := range []Sliding{
		{Stiffening{5000, 4, 3000, 0.1}, 30000, 20, 0.25},
		{Stiffening{13759.5, 3.77, 8682, 0.336}, 48526, 23.9, 0.4227},
		{Stiffening{15000, 8, 3000, 0.1}, 20000, 5, 0.5},
		{Stiffening{4000, 0, 3000, 0.1}, 60000, 60, 0.05},
	} {
		var w Turning
		if !w.Wind(l) {
			t.Fatal("does not serve")
		}
		s, strain := 0.0, 0.0
		for turn, to := range []float64{0.3, 0.05, 0.2, 0.12, 0.45, 0.01, 0.02} {
			way := math.Copysign(1, to-strain)
			w.Head(way, strain)
			const steps = 10000
			h := (to - strain) / steps
			slope := func(x, s float64) float64 { return l.Contact * (1 - way*s/l.limit(x)) }
			for i := range steps {
				k1 := slope(strain, s)
				k2 := slope(strain+h/2, s+h/2*k1)
				k3 := slope(strain+h/2, s+h/2*k2)
				k4 := slope(strain+h, s+h*k3)
				s, strain = s+h/6*(k1+2*k2+2*k3+k4), strain+h
				if i%50 != 0 {
					continue
				}
				state := []float64{100}
				if out := (w.Tension(strain, 0, state) - l.Tension(strain, 0, []float64{100, s})) / l.limit(strain); !(math.Abs(out) < 1e-5) {
					t.Fatalf("%+v, turn %d, strain %g: out by %.2g of g", l, turn, strain, out)
				}
				tangent := l.Equilibrium * (1 + 3*l.Growth*strain*strain)
				if got, want := w.Rising(strain, way, 7), way*(tangent+slope(strain, s))+7; !(math.Abs(got-want) < 1e-4*l.Contact) {
					t.Fatalf("%+v, turn %d, strain %g: tension grows at %g, want %g", l, turn, strain, got, want)
				}
				checked++
			}
		}
	}
	if checked != 4*7*200 {
		t.Fatalf("checked %d", checked)
	}
}

// e^(−x) as the tables use it.
func TestDecay(t *testing.T) {
	for x := -0.34; x < 18; x += 0.01 {
		if got := decay(x); !(math.Abs(got/math.Exp(-x)-1) < 3e-7) {
			t.Fatalf("%g: %g, want %g", x, got, math.Exp(-x))
		}
	}
}

// Friction that the pull does not change has no tables.
func TestTurningServes(t *testing.T) {
	var w Turning
	if w.Wind(Sliding{Stiffening{5000, 4, 3000, 0.1}, 30000, 20, 0}) {
		t.Error("serves without friction")
	}
}
