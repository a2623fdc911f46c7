// Package traces is the table of a study's drops with what was read from them.
package traces

import (
	"fmt"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is the table with its filters and order.
type View struct {
	Frame   frame.View
	Path    string // of this page, without a query
	Rows    []Row
	Overlay string // address that lays traces over each other
	Import  string // address that takes a new trace file
	All     int    // drops before filtering
	Filters []Filter
	Columns []Column
	Kept    []Pair // of the query, that the filters' form must carry along
	Range   Range  // of the peak forces shown
}

// Filter is one choice above the table.
type Filter struct {
	Name, Label string
	Chosen      string
	Options     []Pair
}

// Pair is a value and how it is shown, or a name and a value.
type Pair struct{ Value, Text string }

// Column is one heading; it sorts by a link.
type Column struct {
	Label string
	Unit  string
	Text  bool   // a column of words
	Href  string // to sort by it, or to turn the order round
	Order string // "ascending", "descending" or empty: for aria-sort
}

// Row is one drop.
type Row struct {
	study.DropRow
	Href      string // of its trace; empty when it has none
	Condition mark.Condition
}

// Range is from the smallest to the largest peak, in newtons.
type Range struct{ Low, High float64 }

// at is where a peak lies in the range, from 0 to 100.
func (r Range) at(v float64) float64 {
	if !(r.High > r.Low) {
		return 50
	}
	return 6 + 88*(v-r.Low)/(r.High-r.Low)
}

func (r Row) name() string {
	d := r.Drop
	switch {
	case d.Kind == campaign.Fall:
		return d.Specimen
	case d.Specimen != "":
		return d.Specimen
	}
	return string(d.Kind)
}

func (r Row) fall() string {
	if r.Drop.Kind == campaign.Fall {
		return fmt.Sprint(r.Drop.Fall)
	}
	return string(r.Drop.Kind)
}

func (r Row) rest() string {
	if r.Rest == 0 {
		return say.None
	}
	return say.Duration(r.Rest)
}

// value writes one value of the reading, or None without a reading.
func (r Row) value(of func(*trace.Reading) trace.Value, scale float64, decimals int) string {
	if r.Reading == nil {
		return say.None
	}
	return say.Number(float64(of(r.Reading))*scale, decimals)
}

func (r Row) peak() string {
	return r.value(func(x *trace.Reading) trace.Value { return x.PeakForce }, 1e-3, 2)
}

func (r Row) timeToPeak() string {
	return r.value(func(x *trace.Reading) trace.Value { return x.TimeToPeak }, 1e3, 0)
}

func (r Row) stretch() string {
	return r.value(func(x *trace.Reading) trace.Value { return x.MaxStretch }, 1, 3)
}

func (r Row) impact() string {
	return r.value(func(x *trace.Reading) trace.Value { return x.ImpactSpeed }, 1, 2)
}

func (r Row) absorbed() string {
	return r.value(func(x *trace.Reading) trace.Value { return x.EnergyAbsorbed }, 1, 0)
}

func (r Row) known() bool { return r.Reading != nil && r.Reading.PeakForce.Known() }

// remark is why a drop is void, or the note made at the tower.
func (r Row) remark() string {
	if r.Drop.Void != nil {
		return r.Drop.Void.Reason
	}
	return r.Drop.Note
}
