// Package pick chooses the force, the time, a stretch and a light gate's level
// among the columns or channels of a file, from their titles and units and from
// what was asked, so that every format follows the same rules and refuses in the
// same words. docs/FORMATS.md says the rules, under "How a file is understood".
//
// It reads no file: a format says what its columns are (Column), where it found
// them (Source), and reads the cells of what was chosen (Choice).
package pick

import (
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Source is a file, or the part of it that has one table.
type Source struct {
	Name   string // of the file, as refusals say that nothing was read from it
	Where  string // of what is wrong with the columns: "fall.csv:7", `fall.xlsx, sheet "Run 1"`
	Header bool   // the file names its columns

	// A line above a table without header that is no header either; "" without.
	Unnamed, UnnamedAt string

	// Stated is the rate in Hz that the file states apart from its columns, 0 when
	// it states none, and StatedBy what states it: `line 3, "Sample rate: 2000 Hz"`.
	// Clock says that this is how the format tells the time, so that no column is
	// taken for it unless --time asks for one.
	Stated   float64
	StatedBy string
	Clock    bool

	// StatedUnit is the unit of force that the file states apart from its columns,
	// "" when it states none, and UnitBy what states it. OtherUnitBy is what states
	// another, "" where nothing does.
	StatedUnit, UnitBy string
	OtherUnitBy        string
}

// Choice is the columns to read and what was taken for granted in choosing. A
// column that is not read has No 0.
type Choice struct {
	Force, Time, Stretch, Gate Column

	ForceUnit   traceio.Unit // of acceleration where PerMass is set
	TimeUnit    traceio.Unit // the second for Stamps
	StretchUnit traceio.Unit

	Rate    float64 // Hz, of evenly spaced samples; 0 where Time is read
	PerMass bool    // Force is an acceleration, from a sensor in the mass
	// StretchAsked says that the stretch was asked for: a blank in it is then for
	// the format to refuse, and otherwise makes it leave the stretch out.
	StretchAsked bool

	Notes []trace.Note
	Facts []trace.Fact
}

// Choose settles which columns are read, in which units and why. A refusal is a
// *problem.Problem that lists the columns in question and the flag that settles
// it; the Choice beside it holds what was settled before.
func Choose(s Source, columns []Column, ask trace.Ask) (*Choice, error) {
	p := &picker{Source: s, columns: columns, ask: ask, Choice: &Choice{TimeUnit: traceio.Second(), ForceUnit: traceio.Newton()}}
	for _, settle := range []func() error{p.forceColumn, p.timeColumn, p.unitOfForce, p.stretchColumn, p.gateColumn} {
		if err := settle(); err != nil {
			return p.Choice, err
		}
	}
	return p.Choice, nil
}

// Used are the columns that are read: the force first, then the time, the
// stretch and the gate, where there are any.
func (c *Choice) Used() []Column {
	var out []Column
	for _, col := range []Column{c.Force, c.Time, c.Stretch, c.Gate} {
		if col.No > 0 {
			out = append(out, col)
		}
	}
	return out
}

// picker is a choice in the making.
type picker struct {
	Source
	*Choice
	columns []Column
	ask     trace.Ask
}

func (p *picker) note(g trace.Grade, text string) {
	p.Notes = append(p.Notes, trace.Note{Grade: g, Text: text})
}

func (p *picker) fact(what, is, why, flag string) {
	p.Facts = append(p.Facts, trace.Fact{What: what, Is: is, Why: why, Flag: flag})
}

// refuse makes a Problem about the columns, with what is true of every refusal
// here: nothing was read.
func (p *picker) refuse(kind problem.Kind, format string, args ...any) *problem.Problem {
	return problem.New(kind, p.Where, format, args...).In("nothing was read from " + p.Name)
}

// Hertz writes a rate with its unit.
func Hertz(rate float64) string { return strconv.FormatFloat(rate, 'g', -1, 64) + " Hz" }
