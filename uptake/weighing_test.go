package uptake

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// Arithmetic worked by hand: 62 g dry, 77.5 g wet is a quarter; a scale of 0.1 g
// steps has 0.1/√12 = 0.028868 g, with 0.05 g repeatability 0.057735 g; over 62 g
// that is 0.00093121, and the dry mass's share 77.5/62 times as much.
func TestUptakes(t *testing.T) {
	scale := Scale{Resolution: 1e-4, Repeatability: 5e-5}
	points, notes, err := Uptakes([]Weighing{{Row: "line 2", Specimen: "S-01", Time: 60, Mass: 0.0775, Dry: 0.062}}, scale)
	if err != nil || len(notes) != 0 || len(points) != 1 {
		t.Fatal(points, notes, err)
	}
	p := points[0]
	if !near.Rel(p.Uptake, 0.25, 1e-12) || !near.Rel(p.U, 0.00093121, 1e-5) || !near.Rel(p.UDry, 1.25*0.00093121, 1e-5) {
		t.Errorf("%+v", p)
	}
}

// Every slip of a bath side is refused with its row, or taken with a remark.
func TestWeighingsRefused(t *testing.T) {
	good := Weighing{Row: "line 2", Specimen: "S-01", Time: 60, Mass: 0.08, Dry: 0.062}
	fine := Scale{Resolution: 1e-4}
	for _, c := range []struct {
		name, row, says string
		change          func(w *Weighing)
	}{
		{"zero dry mass", "line 3", "the dry mass is 0 g", func(w *Weighing) { w.Dry = 0 }},
		{"no dry mass", "line 3", "the dry mass is NaN g", func(w *Weighing) { w.Dry = math.NaN() }},
		{"mass below zero", "line 3", "the mass is -80 g", func(w *Weighing) { w.Mass = -0.08 }},
		{"grams among kilograms", "line 3", "1290 times", func(w *Weighing) { w.Mass = 80 }},
		{"both in grams", "line 3", "most of the table's are near", func(w *Weighing) { w.Mass, w.Dry = 80, 62 }},
		{"wet below dry", "line 3", "2 g below the dry mass", func(w *Weighing) { w.Mass = 0.060 }},
		{"time below zero", "line 3", "the time is -60 s", func(w *Weighing) { w.Time = -60 }},
		{"twice at a time", "line 3", "S-01 has two values at 1 min, the other in line 2", func(w *Weighing) { w.Specimen = "S-01"; w.Time = 60 }},
		{"two dry masses", "line 3", "the dry mass of S-01 is 63 g, and 62 g in line 2", func(w *Weighing) { w.Specimen, w.Dry = "S-01", 0.063 }},
	} {
		w := good
		w.Row, w.Specimen, w.Time = "line 3", "S-02", 120
		c.change(&w)
		third := good
		third.Row, third.Specimen = "line 4", "S-03"
		_, _, err := Uptakes([]Weighing{good, w, third}, fine)
		all := problem.All(err)
		if len(all) != 1 || all[0].Where != c.row || !strings.Contains(all[0].What, c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// Within the scale's scatter a wet mass below the dry one is taken and said; times
// out of order are put in order and said.
func TestWeighingsTaken(t *testing.T) {
	points, notes, err := Uptakes([]Weighing{
		{Row: "line 2", Specimen: "S-01", Time: 120, Mass: 0.08, Dry: 0.062},
		{Row: "line 3", Specimen: "S-01", Time: 1, Mass: 0.0619, Dry: 0.062},
	}, Scale{Resolution: 1e-4})
	if err != nil || len(points) != 2 || points[0].Row != "line 3" || points[1].Row != "line 2" {
		t.Fatalf("%v %v", points, err)
	}
	if text := strings.Join(notes, "\n"); !strings.Contains(text, "line 3: the wet mass is 0.1 g below") || !strings.Contains(text, "S-01: its times were not in order") {
		t.Errorf("%q", notes)
	}
	// The same label in two conditions is two specimens; none is one each.
	if _, _, err := Ordered([]Point{{Specimen: "1", Condition: "a", Time: 60}, {Specimen: "1", Condition: "b", Time: 60}, {Time: 60}, {Time: 60}}); err != nil {
		t.Error(err)
	}
}

func TestProtocols(t *testing.T) {
	a := Protocol{Gained, "24 h at 50 °C", 120, "one turn in a towel", "tap", 20, "sealed", 0.3}
	b := a
	b.Drain, b.Bath, b.Depth, b.Blot = 126, 21.5, 0.35, "One turn in a towel"
	if marks, err := Comparable(a, b, false); err != nil || len(marks) != 0 {
		t.Errorf("alike within the tolerances: %v %v", marks, err)
	}
	for field, change := range map[Field]func(p *Protocol){
		FieldDefinition: func(p *Protocol) { p.Definition = Whole },
		FieldDryState:   func(p *Protocol) { p.DryState = "as bought" },
		FieldDrain:      func(p *Protocol) { p.Drain = math.NaN() },
		FieldBlot:       func(p *Protocol) { p.Blot = "none" },
		FieldWater:      func(p *Protocol) { p.Water = "sea" },
		FieldBath:       func(p *Protocol) { p.Bath = 8 },
		FieldEnds:       func(p *Protocol) { p.Ends = "open" },
		FieldDepth:      func(p *Protocol) { p.Depth = 1 },
	} {
		b := a
		change(&b)
		if _, err := Comparable(a, b, false); problem.KindOf(err) != problem.Conflict || !strings.Contains(err.Error(), string(field)) {
			t.Errorf("%s: %v", field, err)
		}
		if marks, err := Comparable(a, b, true); err != nil || len(marks) != 1 {
			t.Errorf("%s, forced: %v %v", field, marks, err)
		}
		if marks, err := Comparable(a, b, false, field); err != nil || len(marks) != 0 {
			t.Errorf("%s asked about: %v %v", field, marks, err)
		}
	}
	if got := len(Unstated().Missing()); got != 8 || len(a.Missing()) != 0 {
		t.Errorf("%d things are missing of nothing stated, %v of all", got, a.Missing())
	}
	if d := Unstated().Against(Unstated()); len(d) != 0 {
		t.Errorf("what neither states is a difference: %v", d)
	}
}
