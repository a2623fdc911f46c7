package timetable

import (
	"slices"
	"time"
)

// Kind is what is done.
type Kind string

// The kinds of an Op; each is also a duty of a Person.
const (
	Weigh    Kind = "weigh"
	PutIn    Kind = "put in"   // into a bath or onto a rack
	TakeOut  Kind = "take out" // of it
	Hang     Kind = "hang"
	Drop     Kind = "drop"
	TakeOff  Kind = "take off" // during a rest
	PutBack  Kind = "put back" // after it
	TakeDown Kind = "take down"
)

// The kinds of a Prep beside Weigh. They are done by the place; putting in and
// taking out are somebody's.
const (
	Soak Kind = "soak"
	Dry  Kind = "dry"
)

// Duties lists what a Person can do, in the order of the job.
func Duties() []Kind {
	return []Kind{Weigh, PutIn, TakeOut, Hang, Drop, TakeOff, PutBack, TakeDown}
}

// Turn tells the two check drops of a day apart; it is empty for a Job's Op.
type Turn string

// The turns of a Reference.
const (
	Opening Turn = "opening"
	Closing Turn = "closing"
)

// Op is one thing that somebody does.
type Op struct {
	Job       string // its name; the reference's specimen for a check drop
	Specimen  string
	Condition string
	Turn      Turn
	Kind      Kind
	Fall      int    // of a Drop, from 1; otherwise 0
	Tower     string // where the specimen is hung, or empty
	Place     string // the bath or rack, or empty
	Slot      int    // which of its places, from 1
	People    []string
	Start     time.Time
	End       time.Time
	Done      bool // it happened; only in what Replan keeps
}

// Stay is a specimen in one place: on a tower, in a bath, on a rack.
type Stay struct {
	Job, Specimen, Condition string
	Turn                     Turn
	Tower, Place             string // one of them
	Slot                     int
	From, To                 time.Time
}

// Table is a timetable.
type Table struct {
	Ops  []Op // in order of start
	Days []DayUse

	Finish   time.Time
	Makespan time.Duration // of the days' open time, breaks included, up to Finish
	Bound    time.Duration // no timetable of this Ask has a shorter Makespan
	BoundBy  string        // what sets it: "towers", "people", "bath sea", "specimen W-07", ...
	Waiting  time.Duration // settling and rests, summed over the series: what the trade calls waiting
	Working  time.Duration // of people, summed
	Broken   []Fault       // tolerances that were broken before now; only from Replan
	Steps    int           // that the search took
}

// DayUse is what one day comes to.
type DayUse struct {
	Day         int // from 1
	Open, Close time.Time
	First, Last time.Time // of its Ops; zero when there are none
	Falls       int       // that count
	Series      int       // begun
	Waiting     time.Duration
	Working     time.Duration
	TowerIdle   time.Duration // between First and Last, summed over towers in use: no specimen hung
}

// Used is the time from the day's first Op to its last.
func (d DayUse) Used() time.Duration { return d.Last.Sub(d.First) }

// Of returns the Ops of one job in order.
func (t *Table) Of(job string) []Op {
	var out []Op
	for _, o := range t.Ops {
		if o.Job == job && o.Turn == "" {
			out = append(out, o)
		}
	}
	return out
}

// Stays lists where specimens are between Ops, in order of From. A specimen that
// was put somewhere and not taken from there is there until the last Op's end.
func (t *Table) Stays() []Stay { return stays(t.Ops) }

func stays(ops []Op) []Stay {
	type key struct {
		job   string
		turn  Turn
		tower string
		day   string
	}
	open := map[key]int{}
	var out []Stay
	for _, o := range ops {
		k := key{o.Job, o.Turn, o.Tower, ""}
		if o.Turn != "" {
			k.day = o.Start.Format(time.DateOnly)
		}
		switch o.Kind {
		case Hang, PutBack, PutIn:
			open[k] = len(out)
			out = append(out, Stay{o.Job, o.Specimen, o.Condition, o.Turn, o.Tower, o.Place, o.Slot, o.Start, ops[len(ops)-1].End})
		case TakeDown, TakeOff, TakeOut:
			if i, ok := open[k]; ok {
				out[i].To = o.End
				delete(open, k)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Stay) int { return a.From.Compare(b.From) })
	return out
}

// Fault is a rule that a timetable breaks.
type Fault struct {
	Rule string // "rest", "soak", "tower", ...
	Job  string
	At   time.Time
	What string
}
