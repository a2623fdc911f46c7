package uptake

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// The invented matched pairs of num's own checks, by R 4.2.2 t.test(paired):
// difference 0.341667, t 12.31726 on 5, p 6.24515e-05, 0.270362 to 0.412972.
func TestChanged(t *testing.T) {
	before := []float64{8.91, 9.12, 8.75, 9.03, 8.98, 9.20}
	after := []float64{9.35, 9.41, 9.02, 9.44, 9.30, 9.52}
	var pairs []Pair
	for i := range before {
		pairs = append(pairs, Pair{"M", before[i], after[i]})
	}
	c, err := Changed(pairs)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range [][2]float64{
		{c.Amount.Value, 0.341667}, {c.Amount.Value / c.Amount.SE, 12.31726}, {c.P, 6.24515e-05}, {c.Amount.Lower, 0.270362}, {c.Amount.Upper, 0.412972}, {c.DF, 5},
	} {
		if !near.Rel(x[0], x[1], 3e-6) {
			t.Errorf("%.8g, R %.7g", x[0], x[1])
		}
	}
	if _, err := Changed([]Pair{{"M-01", 0, 1}}); problem.KindOf(err) != problem.Invalid {
		t.Error(err)
	}
	if one, err := Changed(pairs[:1]); err != nil || !math.IsNaN(one.Amount.Lower) || !near.Rel(one.Amount.Value, 0.44, 1e-9) {
		t.Error(one, err)
	}
}

func TestDriedBack(t *testing.T) {
	scale := Scale{Resolution: 1e-4}
	at := func(left ...float64) (pairs []Pair) {
		for _, d := range left {
			pairs = append(pairs, Pair{"S", 0.0620, 0.0620 + d})
		}
		return pairs
	}
	for _, c := range []struct {
		name  string
		pairs []Pair
		want  DryAgain
		says  string
	}{
		{"back", at(0, 2e-5, -2e-5, 1e-5), Dry, "dry again"},
		{"wet", at(2e-3, 2.2e-3, 1.9e-3, 2.1e-3), Wet, "2.05 g of water left"},
		{"scattered", at(0, 6e-4, -3e-4), DryUnknown, "not settled"},
		{"washed out", at(-2e-3, -2.2e-3, -1.9e-3), DryUnknown, "lighter than before"},
		{"one, back", at(1e-5), Dry, "dry again"},
		{"one, wet", at(2e-3), Wet, "not dry yet"},
		{"one, near the limit", at(9e-5), DryUnknown, "not settled"},
	} {
		d, err := DriedBack(c.pairs, scale, 0)
		if err != nil || d.Outcome != c.want || !strings.Contains(d.Said, c.says) {
			t.Errorf("%s: %q %s %v", c.name, d.Outcome, d.Said, err)
		}
	}
	if d, _ := DriedBack(at(2e-3, 2.2e-3, 1.9e-3), scale, 5e-3); d.Outcome != Dry {
		t.Errorf("within a limit that was given: %s", d.Said)
	}
}

// A rope sold as 9.8 mm that gauges 11.3 mm when worn, levels by hand: means
// 11.25, 11.30, 11.35, so 11.30 with SE 0.05/√3 and t = 4.302653 on 2.
func TestGauge(t *testing.T) {
	d := Diameters{Specimen: "W-1", Load: 10, Kind: "single", Contact: 0.05, Levels: [][]float64{{11.2e-3, 11.3e-3}, {11.2e-3, 11.4e-3}, {11.3e-3, 11.4e-3}}}
	g, err := Gauge(d)
	if err != nil || len(g.Notes) != 0 {
		t.Fatal(err, g.Notes)
	}
	h := 4.302653 * 0.05e-3 / math.Sqrt(3)
	if !near.Rel(g.Diameter.Value, 11.3e-3, 1e-12) || !near.Rel(g.Diameter.Upper-g.Diameter.Value, h, 1e-6) || !near.Rel(g.Oval, 0.4e-3/3, 1e-9) {
		t.Errorf("%+v", g)
	}
	over, err := AgainstNominal([]Gauged{g}, 9.8e-3)
	if err != nil || !near.Rel(over.Value, 1.5e-3, 1e-9) || !(over.Lower > 1.3e-3) {
		t.Errorf("%+v %v", over, err)
	}
	wet := g
	wet.Diameter.Value = 11.3e-3 * 1.02
	s, err := Swelled([]Gauged{g}, []Gauged{wet})
	if err != nil || !near.Rel(s.Diameter.Share.Value, 0.02, 1e-9) || !near.Rel(s.Section.Value, 0.0404, 1e-9) {
		t.Errorf("%+v %v", s, err)
	}
	if _, share, err := SheathShift([]float64{3e-3, 5e-3}, 2); err != nil || !near.Rel(share.Value, 0.002, 1e-9) {
		t.Error(share, err)
	}
	d.Levels, d.Load, d.Contact = [][]float64{{9.6e-3}}, 5, 0.02
	if g, err = Gauge(d); err != nil || len(g.Notes) != 4 {
		t.Errorf("%q %v", g.Notes, err)
	}
	d.Levels[0][0] = 9.6
	if _, err = Gauge(d); problem.KindOf(err) != problem.Invalid || !strings.Contains(err.Error(), "9600 mm") {
		t.Error(err)
	}
}

// A line by hand: least squares through (0, 3.0), (0.1, 3.1), (0.2, 3.3), (0.4, 3.5):
// Sxx = 0.0875, Sxy = 0.1125, b = 9/7, a = 3.225 − 0.175·b = 3; SE = √(Σe²/2/Sxx).
func TestDose(t *testing.T) {
	var r []Dosed
	for i, u := range []float64{0, 0.1, 0.2, 0.4} {
		r = append(r, Dosed{Specimen: string(rune('A' + i)), Uptake: u, Value: []float64{3, 3.1, 3.3, 3.5}[i]})
	}
	d, err := DoseOf(r)
	if err != nil {
		t.Fatal(err)
	}
	if !near.Rel(d.Slope.Value, 9.0/7, 1e-9) || !near.Rel(d.PerTenth.Value, 0.9/7, 1e-9) || !near.Rel(d.DF, 2, 1e-9) || !near.Rel(d.AtZero.Value, 3.225-0.175*9/7, 1e-9) {
		t.Errorf("%+v", d)
	}
	ss := 0.0
	for _, x := range r {
		e := x.Value - d.AtZero.Value - d.Slope.Value*x.Uptake
		ss += e * e
	}
	if want := math.Sqrt(ss / 2 / 0.0875); !near.Rel(d.Slope.SE, want, 1e-9) {
		t.Errorf("SE %.8g, by hand %.8g", d.Slope.SE, want)
	}
	// Several falls of a specimen do not make several specimens.
	var again []Dosed
	for _, x := range r {
		for f, rise := range []float64{0, 0.3, 0.5} {
			x.Fall, x.Value = string(rune('1'+f)), x.Value+rise+0.01*math.Cos(float64(7*len(again)))
			again = append(again, x)
		}
	}
	if m, err := DoseOf(again); err != nil || !(m.DF < 3) || math.IsNaN(m.Between) {
		t.Errorf("%+v %v", m, err)
	}
	if _, err := DoseOf(r[:2]); problem.KindOf(err) != problem.TooFew {
		t.Error(err)
	}
	r[0].Uptake = math.NaN()
	if _, err := DoseOf(r); problem.KindOf(err) != problem.Invalid {
		t.Error(err)
	}
}
