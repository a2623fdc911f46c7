// Package overlay is the page of traces laid over each other from first
// contact.
package overlay

import (
	"cmp"
	"math"
	"slices"

	"fallwright.example/figure"
	"fallwright.example/trace"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
)

// View is the traces chosen.
type View struct {
	Frame   frame.View
	Traces  string // address of the list
	Picture frame.Picture
	Rows    []Row
	Drops   []string // as the address names them
	Named   bool     // the wide picture has every name
}

// key are the rows that are drawn, from the highest peak down, as the names in
// the picture stand.
func (v View) key() []Row {
	drawn := slices.DeleteFunc(slices.Clone(v.Rows), func(r Row) bool { return !r.Drawn })
	slices.SortStableFunc(drawn, func(a, b Row) int { return cmp.Compare(peak(b), peak(a)) })
	return drawn
}

// peak is a trace's peak in N, below all where it has none.
func peak(r Row) float64 {
	if r.Reading == nil || math.IsNaN(float64(r.Reading.PeakForce)) {
		return math.Inf(-1)
	}
	return float64(r.Reading.PeakForce)
}

// Row is one trace with what was read of it.
type Row struct {
	Name      string // "M-07, fall 3"
	Href      string
	Condition mark.Condition
	Of        string // what its marks in the picture are named
	ID        string // of the drop
	Sample    string // its stroke and mark, a small picture
	Picked    bool   // drawn over the others
	Drawn     bool   // false when it has no contact to be laid at
	Void      bool
	Reading   *trace.Reading
}

// Column is one value of the table.
type Column struct {
	Label string
	Unit  figure.Unit
	of    func(*trace.Reading) trace.Value
}

// Columns are the values beside the picture.
var Columns = []Column{
	{"peak", figure.Unit{Name: "kN", Scale: 1e-3, Decimals: 2}, func(r *trace.Reading) trace.Value { return r.PeakForce }},
	{"to peak", figure.Unit{Name: "ms", Scale: 1e3, Decimals: 0}, func(r *trace.Reading) trace.Value { return r.TimeToPeak }},
	{"stretch", figure.Unit{Name: "m", Scale: 1, Decimals: 3}, func(r *trace.Reading) trace.Value { return r.MaxStretch }},
	{"absorbed", figure.Unit{Name: "J", Scale: 1, Decimals: 0}, func(r *trace.Reading) trace.Value { return r.EnergyAbsorbed }},
	{"rebound", figure.Unit{Name: "m/s", Scale: 1, Decimals: 2}, func(r *trace.Reading) trace.Value { return r.ReboundSpeed }},
	{"stiffness", figure.Unit{Name: "kN/m", Scale: 1e-3, Decimals: 2}, func(r *trace.Reading) trace.Value { return r.Secant }},
}

func (c Column) value(r Row) string {
	if r.Reading == nil {
		return figure.Missing
	}
	return c.Unit.Write(float64(c.of(r.Reading)))
}
