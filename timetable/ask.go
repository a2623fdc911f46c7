// Package timetable says when what is done: specimens with a series of falls on
// one tower or more, with rests, soaks, drying, people, breaks and daylight.
//
// Build makes a timetable, Replan makes the rest of one from now, Check holds any
// against the rules without knowing how it was made. Times are whole seconds;
// the package reads no clock.
package timetable

import "time"

// Ask is what is to be done, with what, and when.
type Ask struct {
	Days   []Day // in order
	Towers []Tower
	People []Person
	Places []Place // baths and racks
	Work   Work
	Jobs   []Job // in the order that was drawn

	// FreeOrder lets the first falls of a day come in any order. Otherwise they
	// come in the order of Jobs; follow-ups come when their lag says.
	FreeOrder bool

	Reference *Reference // check drops; nil for none

	Steps    int                 // of the search; 0 for as many as keep it short
	Seed     uint64              // of the search
	Progress func(done, all int) // told before each step of the search; may be nil
}

// Day is when somebody may work: daylight and the use of the tower.
type Day struct {
	Open, Close time.Time
	Breaks      []Span // nobody works; what soaks, dries or rests goes on
}

// Span is from one time to another.
type Span struct{ From, To time.Time }

// Tower takes one specimen at a time, from hanging to taking down.
type Tower struct {
	Name string
	// Remount is whether a specimen may leave the tower during a rest and be put
	// back: its knots must not move. Otherwise the tower is blocked while it rests.
	Remount bool
}

// Person does what Does lists, everything when it is empty.
type Person struct {
	Name string
	Does []Kind
	Away []Span
}

// Place is a bath or a rack that holds so many specimens at once.
type Place struct {
	Name  string
	Holds int
}

// Work is how long each thing takes and how many people.
type Work struct {
	Weigh, PutIn, TakeOut, Hang, Drop, TakeDown Effort
	TakeOff, PutBack                            Effort // during a rest, where a tower allows it
}

// Effort is what one thing takes. A drop ends with its fall; raising the mass
// belongs to it.
type Effort struct {
	Takes  time.Duration
	People int // at once; 0 stands for 1
}

// Job is one series of falls of one specimen with what goes before and after.
type Job struct {
	Name      string // unique
	Specimen  string // its label; Name when empty
	Condition string
	Before    []Prep // before hanging, in order
	Drain     Lag    // from out of the last soak to the first fall
	Settle    Lag    // from hung to the first fall
	Falls     int
	Had       int    // falls of its specimen in the jobs that it follows; its own are numbered on from there
	Rest      Lag    // from fall to fall
	After     []Prep // after taking down, in order
	Day       int    // the day of its falls, from 1; 0 for any
	Tower     string // empty for any
	Follows   string // the job of the same specimen that it follows
	Since     Lag    // from that job's last fall to the first of this one
}

// Prep is one preparation: Weigh, or Soak or Dry in a place for a time.
type Prep struct {
	Do  Kind
	In  string // the place; empty for Weigh
	For Lag
}

// Lag is a time between two things. A timetable plans it from Set on, and up to
// Most where it must: less than Set, down to Least, is left for the day, because
// nobody can be hurried by a plan.
type Lag struct {
	Least, Set time.Duration
	Most       time.Duration // 0 for no upper limit
}

// About is a set time with a tolerance either way.
func About(set, tolerance time.Duration) Lag {
	return Lag{Least: max(0, set-tolerance), Set: set, Most: set + tolerance}
}

// AtLeast is a time that may be longer.
func AtLeast(d time.Duration) Lag { return Lag{Least: d, Set: d} }

// Between is any time from one to another.
func Between(least, most time.Duration) Lag { return Lag{Least: least, Set: least, Most: most} }

// Reference is a rope that is dropped on each tower to see that the rig stayed
// the same: before the first fall of a day, after the last, or both.
type Reference struct {
	Specimen      string
	Falls         int
	Settle, Rest  Lag
	Opens, Closes bool
}
