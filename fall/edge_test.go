package fall_test

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// Source: the capstan equation over half a turn, evaluated, and the length that
// a linear rope over one runner acts by: 5 m + 15 m·e^(-0.25π) = 11.8391 m.
func TestCapstan(t *testing.T) {
	for friction, want := range map[float64]string{0.1: "1.369", 0.15: "1.602", 0.2: "1.874", 0.25: "2.193", 0.3: "2.566", 0.35: "3.003"} {
		printed(t, "ratio", fall.Edge{Friction: friction, Angle: math.Pi}.Ratio(), want)
	}
	printed(t, "length", fall.Edge{Friction: 0.25, Angle: math.Pi}.EffectiveLength(5, 15), "11.8391")
}

// What the cell reads behind an edge, sample by sample against the rope's own
// force in the same fall: less by e^(-μθ) up to the peak, then held until the
// rope's force has come down by e^(2μθ), then more by e^(+μθ).
func TestCellBehindAnEdge(t *testing.T) {
	w := reference(rope.Zener{Equilibrium: 10000, Branch: 15000, Relaxation: 0.1})
	watch := fall.Watch{FromContact: true, Until: 0.36, Rate: 1000}
	bare := mustRun(t, w, watch)
	w.Edge = fall.Edge{Friction: 0.2, Angle: math.Pi / 2}
	cell := mustRun(t, w, watch)
	if cell.Peak != bare.Peak || cell.MaxStretch != bare.MaxStretch {
		t.Errorf("the edge changed the fall: peak %g and %g", cell.Peak, bare.Peak)
	}
	by := math.Exp(0.2 * math.Pi / 2)
	up, held, down := 0, 0, 0
	for i, f := range bare.Force {
		at, want := float64(i)/1000, 0.0
		switch {
		case at <= bare.TimeToPeak:
			want = f / by
			up++
		case f*by > bare.Peak/by:
			want = bare.Peak / by
			held++
		default:
			want = f * by
			down++
		}
		if !(math.Abs(cell.Force[i]-want) <= 1e-9*bare.Peak) {
			t.Fatalf("at %g s the cell reads %.6f N, want %.6f", at, cell.Force[i], want)
		}
	}
	if up < 100 || held < 20 || down < 30 {
		t.Fatalf("%d, %d and %d samples", up, held, down)
	}
	w.Edge.Angle = -1
	if _, err := w.Simulate(watch); err == nil || err.Error() != "angle of the edge: -1 rad, must be 0 rad or more" {
		t.Errorf("got %v", err)
	}
}
