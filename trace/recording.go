// Package trace turns force against time, as a cell recorded it, into
// readings: the values taken from one drop, with notes on what cannot be had.
//
// The recording is never altered. Every operation on a copy of it is a Step
// with its parameters, so that a reading can be had again from the bytes.
//
// Inside the package everything is SI: newtons, metres, seconds, kilograms.
// Stretch, speed and displacement count downward; time counts from first
// contact wherever an event is named.
package trace

// Recording is force against time as a logger wrote it, in SI, with its sign
// and its offset untouched. Readers of files make it; nothing changes it.
type Recording struct {
	Time  []float64 // s, strictly increasing, on the logger's own clock
	Force []float64 // N, as recorded; same length as Time

	Unit        string // force unit the file was read in: "N", "kN", "lbf", "kgf", "mN"
	ForceColumn string // the column's own name, or "column 2"
	TimeColumn  string // likewise; empty when only a rate was given
	Notes       []Note // what the reader of the file had to assume

	Part    string    // which drop of its file; empty when the file holds one
	Stretch []float64 // m, a recorded displacement of the mass or the end, as recorded; nil when none
	Gate    []float64 // a light gate's level, any unit; nil when none
	Pull    Pull      // which way a pull goes, where the file or its side-car says so
	PerMass bool      // Force is in m/s2, from a sensor in the mass: times the mass it is the rope's force

	Steps [2]float64 // s, the shortest and the longest from one time to the next, where the reader has looked; else 0
}

// SeeSteps looks at the steps of the time, so that nobody has to again.
func (r *Recording) SeeSteps() { r.Steps[0], r.Steps[1] = intervals(r.Time) }

// Note is one remark that travels with the values to every end.
type Note struct {
	Grade Grade  `json:"grade"`
	Text  string `json:"text"` // what, how bad, what to do; lower case, no full stop
}

// Grade says how far a remark goes.
type Grade string

const (
	Said     Grade = "said"     // for the record: nothing is wrong
	Doubtful Grade = "doubtful" // the value stands, a careful reader should look
	Missing  Grade = "missing"  // a value cannot be had, or should not be used
)

// Step is one operation on a copy of the recording, in the order done.
type Step struct {
	Name   string  `json:"name"` // "tare", "turn over", "resample", "filter"
	Detail string  `json:"detail"`
	Params []Param `json:"params"`
}

// Param is one number that a Step used.
type Param struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}
