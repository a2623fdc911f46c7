package campaign

import "time"

// Days are when and with what the drops are made: what a timetable needs.
// The zero value: no timetable is wanted.
type Days struct {
	Dates    []string      // "2026-12-05"
	From, To time.Duration // of the day: working hours
	Breaks   []Hours

	Towers  int  // 0 for one
	People  int  // 0 for two
	Remount bool // a specimen may leave the tower in a rest and be hung again

	Weigh, Hang, Drop, TakeDown time.Duration
	PutIn                       time.Duration // into a bath or onto a rack, and as long to take out
	Settle                      time.Duration // from hung to the first fall, at the least
	Checks                      int           // drops of the reference rope that open and close a day, on each tower
}

// Hours are from one time of day to another.
type Hours struct{ From, To time.Duration }

// Asked reports whether a timetable is wanted.
func (d Days) Asked() bool { return len(d.Dates) > 0 }

// PreparationKind is what is done to a specimen before its first fall.
type PreparationKind string

const (
	Soak PreparationKind = "soak"
	Dry  PreparationKind = "dry"
)

// PreparationKinds lists every PreparationKind.
func PreparationKinds() []PreparationKind { return []PreparationKind{Soak, Dry} }

// Preparation is one thing that is done to the specimens of some conditions
// before they are hung; several for one condition follow each other in the
// order of the plan.
type Preparation struct {
	Do         PreparationKind
	Conditions []string
	In         string // which bath or rack; one of that name is shared
	Holds      int    // specimens at once; 0 for as many as there are
	Time       Rest   // how long
	ToDrop     Rest   // from out of the bath to the first fall; zero: not controlled
}

// Overnight is a long rest within a series: after so many falls. The zero value
// is none.
type Overnight struct {
	After int // falls
	Rest  Rest
}

// RestBefore is the rest that is set before fall n of a series: the long one
// after its falls, the common one else; none before the first.
func (s Series) RestBefore(n int) Rest {
	switch {
	case n < 2:
		return Rest{}
	case s.Overnight.After > 0 && n == s.Overnight.After+1:
		return s.Overnight.Rest
	}
	return s.Rest
}
