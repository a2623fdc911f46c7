// Package overlay is the page of traces laid over each other from first
// contact.
package overlay

import (
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
}

// Row is one trace with what was read of it.
type Row struct {
	Name      string // "M-07, fall 3"
	Href      string
	Condition mark.Condition
	Of        string // what its marks in the picture are named
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
