package field_test

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/rope"
)

// scipyCase is one catch of refdata/field/reference.json.
type scipyCase struct {
	Name                                                      string
	Mass, Above, Out, Aside, Push, Overhang, Below, Theta, Mu float64
	Slack, Belayer, Slip, E1, E2, Tau, Linear                 float64
	Wall                                                      bool
	Peak, Belay, Lift, Slipped, Catch, Low, Apex              float64
	LowAt                                                     float64 `json:"low_at"`
	WallNormal                                                float64 `json:"wall_normal"`
	WallSpeed                                                 float64 `json:"wall_speed"`
	WallAt                                                    float64 `json:"wall_at"`
}

func (s scipyCase) asCatch() field.Catch {
	var law rope.Law = rope.Linear{Modulus: s.E1}
	if s.E2 > 0 {
		law = rope.Zener{Equilibrium: s.E1, Branch: s.E2, Relaxation: s.Tau}
	}
	return field.Catch{
		Climber: field.Climber{Mass: s.Mass, Above: s.Above, Out: s.Out, Aside: s.Aside, PushOff: s.Push},
		Belayer: field.Belayer{Fixed: s.Belayer == 0, Mass: s.Belayer, Slip: s.Slip},
		Runners: []field.Runner{{Below: s.Below, Turn: s.Theta, Friction: s.Mu}},
		Wall:    field.Wall{None: !s.Wall, Overhang: s.Overhang}, Floor: math.Inf(1),
		Rope: field.Rope{Law: law, Linear: s.Linear}, Gravity: fall.StandardGravity,
	}.WithSlack(s.Slack)
}

// The same catches integrated by SciPy in code of its own
// (refdata/field/make_reference.py). Both work to 1e-11 a step and better, so
// that six more digits are lost to nothing but events; 1e-7 is asked for.
func TestAgainstSciPy(t *testing.T) {
	data, err := os.ReadFile("../refdata/field/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []scipyCase }
	if err := json.Unmarshal(data, &file); err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, s := range file.Cases {
		o := simulate(t, s.asCatch())
		pairs := map[string][2]float64{
			"peak": {o.Climber.Force, s.Peak}, "belay": {o.Belayer.Force, s.Belay}, "lowest": {o.Lowest.Below, s.Low},
			"lowest at": {o.Lowest.At, s.LowAt}, "catch at": {o.CatchAt, s.Catch}, "rebound": {o.Rebound.Height, s.Apex},
		}
		if s.Belayer > 0 {
			pairs["lift"] = [2]float64{o.Lift, s.Lift}
		}
		if s.Slip > 0 {
			pairs["slipped"] = [2]float64{o.Slipped, s.Slipped}
		}
		if (o.Wall != nil) != (s.WallNormal > 0) {
			t.Errorf("%s: wall met: %v, SciPy's speed %g", s.Name, o.Wall != nil, s.WallNormal)
		} else if o.Wall != nil {
			pairs["wall"], pairs["wall, in all"] = [2]float64{o.Wall.Normal, s.WallNormal}, [2]float64{o.Wall.Speed, s.WallSpeed}
			pairs["wall at"] = [2]float64{o.Wall.At, s.WallAt}
		}
		for name, p := range pairs {
			checked++
			if !near.Rel(p[0], p[1], 1e-7) {
				t.Errorf("%s: %s %.10g, SciPy %.10g, %.1g off", s.Name, name, p[0], p[1], p[0]/p[1]-1)
			}
		}
	}
	if checked < 60 {
		t.Fatalf("%d values checked", checked)
	}
}
