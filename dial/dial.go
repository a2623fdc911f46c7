// Package dial finds the setting of a drop tower that brings the peak into a
// window, and keeps it there for a whole series of falls, with as few trial
// drops as it takes.
//
// What is known of rope and rig is a distribution (belief): wide before the
// first trial drop, narrower after each. A setting is judged by the chance that
// its peaks land in the window, and the answer says that chance.
//
//	m   mass, kg          h   free fall before the rope goes tight, m
//	L   free length, m    F   peak, N, as the rig's own cell reads it
//
// Nothing here draws at random: the same question has the same answer.
package dial

// Window is where the peak should be, in newtons.
type Window struct{ Low, High float64 }

// Usual is the window of a realistic catch, 3 to 4 kN. Common practice, no
// source.
func Usual() Window { return Window{3000, 4000} }

// Setting is how the rig stands for a drop.
type Setting struct {
	Mass       float64 // kg
	Drop       float64 // m of free fall before the rope goes tight
	FreeLength float64 // m of rope between anchor and mass
}

// Rig is what the tower can do.
type Rig struct {
	Masses      []float64 // kg, at hand, the preferred one first
	FreeLengths []float64 // m, the preferred one first
	LowestDrop  float64   // m
	HighestDrop float64   // m
	DropStep    float64   // m, with which a drop can be set
	Room        float64   // m between anchor and catch bed; 0 when not stated
	Gravity     float64   // m/s²
}

// Published is what a maker states of a rope's first fall.
type Published struct {
	Force      float64 // N
	Mass       float64 // kg
	Drop       float64 // m
	FreeLength float64 // m
}

// Trial is a drop that was made.
type Trial struct {
	Setting
	Peak     float64 // N, as read
	Fall     int     // of that specimen, from 1; 0 is 1
	Specimen string  // trials of one name are of one specimen; empty is a fresh one each
}

// Question is what dialling in starts from.
type Question struct {
	Window    Window
	Rig       Rig
	Published *Published
	Trials    []Trial
	Falls     int     // planned in a series
	Enough    float64 // the chance of the whole series at which to stop, such as 0.9
	Level     float64 // of intervals: 0.9 or 0.95
}

// Answer is the next setting and what is expected of it.
type Answer struct {
	Next     Setting
	Peak     Band    // N, of the next drop, of a fresh specimen, as the cell reads it
	Last     Band    // N, of the last fall of a series there
	Lands    float64 // chance that the next drop is in the window
	Series   float64 // chance that every fall of the series of a fresh specimen is
	Stop     Stop
	OneMore  float64 // Series after one more trial drop that comes as expected
	Per      Slope
	Factor   float64 // of the fall, drop over free length
	Spring   float64 // N, modulus of the spring rope that would have the same peak (fall.ModulusFromPeak); NaN when none would
	Stretch  Band    // m, of rope and knots at the lowest point of the first fall
	Rise     Band    // share by which the peak of the fifth fall is above that of the first
	Trials   []Seen
	Warnings []string
}

// Band is a median with the limits of an interval about it.
type Band struct{ Low, Middle, High float64 }

// Slope says what a small change of the setting does to the median peak.
type Slope struct {
	Centimetre float64 // N, of one centimetre more drop
	Kilogram   float64 // N, of one kilogram more
}

// Seen is a trial drop beside what the other trial drops make of it.
type Seen struct {
	Trial
	Expected Band    // N, for it, were it not known
	Tail     float64 // chance of a peak as far out as the one read, or further
}

// Stop says whether another trial drop is worth its rope.
type Stop string

// What the answer says of going on.
const (
	GoOn    Stop = "go on"   // make the next trial drop
	Reached Stop = "reached" // the chance of the series is enough: begin the series at Next
	NoGain  Stop = "no gain" // it is not, and another fresh specimen in a trial drop would not raise it
	Doubt   Stop = "doubt"   // a trial drop contradicts what else is known: see to that first
)
