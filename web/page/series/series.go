// Package series is the page that follows one specimen from fall to fall.
package series

import (
	"fmt"
	"math"

	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is one series.
type View struct {
	Frame     frame.View
	Series    *study.Series
	Condition mark.Condition
	Falls     []Fall
	Units     []figure.Unit // of the values, in their order
	Loops     frame.Picture // no Wide without a loop
	Pictures  []frame.Picture
	Law       Law
	Overlay   string // address that lays the traces over each other; empty with fewer than two
}

// Fall is one fall with the address of its trace; empty without one.
type Fall struct {
	study.SeriesFall
	Href string
}

// UnitOf is how a value of a series is shown.
func UnitOf(v study.SeriesValue) figure.Unit {
	switch v.Unit {
	case "N":
		return figure.Unit{Name: "kN", Scale: 1e-3, Decimals: 2}
	case "N/m":
		return figure.Unit{Name: "kN/m", Scale: 1e-3, Decimals: 2}
	case "m":
		return figure.Unit{Name: "m", Scale: 1, Decimals: 3}
	}
	return figure.Unit{Scale: 1, Decimals: 3}
}

// facts are what the specimen is, in a line.
func (v View) facts() string {
	sp := v.Series.Specimen
	words := " · " + sp.Lot
	if sp.To > 0 {
		words += fmt.Sprintf(", %s to %s m", say.Number(sp.From, 2), say.Number(sp.To, 2))
	}
	return words + " · " + figure.Counted(len(v.Falls), "fall")
}

// known are the values that some fall has, by their place.
func (v View) known() []int {
	var out []int
	for i := range study.SeriesValues() {
		for _, f := range v.Falls {
			if f.Values[i].Known() {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

func (v View) value(f Fall, i int) string { return v.Units[i].Write(float64(f.Values[i])) }

func (v View) change(f Fall, i int) string {
	if !f.Change[i].Known() {
		return ""
	}
	u := v.Units[i]
	return figure.Signed(float64(f.Change[i])*u.Scale, u.Decimals)
}

func (f Fall) rest() string {
	if f.Row.Rest == 0 {
		return say.None
	}
	return say.Duration(f.Row.Rest)
}

// trend says how a value goes from fall to fall: "+0.21 ± 0.03 kN a fall".
func (v View) trend(t study.Trend) string {
	u := v.Units[t.Value]
	digits := u.Decimals + 1
	text := figure.Signed(t.Slope*u.Scale, digits) + " ± " + figure.Fixed(t.SE*u.Scale, digits)
	if u.Name != "" {
		text += "\u202f" + u.Name
	}
	return text + " a fall"
}

// perCent is the slope in per cent of the line's first value.
func (v View) perCent(t study.Trend) string {
	if t.Level == 0 {
		return say.None
	}
	return figure.Percent(100 * t.Slope / t.Level)
}

func (v View) name(i int) string { return study.SeriesValues()[i].Name }

func (v View) over(t study.Trend) string {
	return fmt.Sprintf("%d falls, %d to %d", t.Points, t.From, t.To)
}

func (v View) signed(i int, x float64) string { return v.Units[i].Signed(x) }

// against says how far a value after a long rest is from where the falls before
// it were leading.
func (v View) against(r study.Recovery) string {
	after := v.after(r)
	if math.IsNaN(r.Expected) || math.IsNaN(after) {
		return say.None
	}
	u := v.Units[r.Value]
	text := u.Signed(after - r.Expected)
	if !math.IsNaN(r.SE) {
		text += " ± " + figure.Fixed(r.SE*u.Scale, u.Decimals)
	}
	return text
}

func (v View) after(r study.Recovery) float64 {
	for _, f := range v.Falls {
		if f.Row.Drop.Fall == r.Fall {
			return float64(f.Values[r.Value])
		}
	}
	return math.NaN()
}

func (v View) recoveredAt(fall int) string {
	for _, f := range v.Falls {
		if f.Row.Drop.Fall == fall {
			return say.Duration(f.Row.Rest)
		}
	}
	return say.None
}
