package trace

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"fallwright.example/num/dsp"
	"fallwright.example/problem"
)

// take carries one reading from step to step.
type take struct {
	rec     *Recording
	set     Settings
	r       Reading
	sig     *Signal
	raw     []float64 // rope force: tared, turned over, edge put right; not filtered
	wide    extent    // of the force as recorded
	over    extent    // of raw
	jitter  float64   // N as recorded, differenceNoise
	lean    bool      // the motion is not kept past the first contact
	rooms   *rooms
	scale   float64 // N of rope force per unit of the recording, without its sign
	zero    zero
	pace    pace
	gravity float64
	filter  *dsp.CFC // nil when unfiltered
	limit   thresholds
	calm    []float64 // running means of raw, in which contacts are looked for
	best    int       // the contact with the largest force
	speed   start     // from which the motion starts
	first   *motion   // of the first contact; nil when it was not integrated
	rest    rest      // the speed at the end of the recording
	top     top       // of the largest contact
	// of the first contact; none when that is cut off
	firstTop top
	swing    swing
	last     Contact    // in which the mass comes to hang, to where it is taken off
	still    stay       // in which it hangs before that
	hangs    float64    // s, when the mass hangs: its hang weight is from then
	rise     [2]float64 // s, where the first contact reaches a tenth and nine tenths of its peak
	jerk     jerk

	gateDoubt     float64 // relative, of the gate's speed
	clipped       bool    // a limit was found
	lost          bool    // the true peak is not in the trace
	mains         float64 // Hz, of hum that was found; 0 for none
	tangentDoubt  float64 // N/m, from the scatter about the line
	share, change float64 // of the filter's response: see response
	quiet         *unrest // of the signal's quiet stretch; nil until it is asked for
}

// Take takes the reading of a recording: zero and sign, filter, contacts,
// motion, values, their uncertainties, and notes on quality. The recording is
// not changed.
//
// The filter acts on the peaks only. Contacts, impulse, motion and energy come
// from the force before it: integrals smooth by themselves, and a phaseless
// filter would move the moment of contact forward.
//
// Take refuses (*problem.Problem) settings that cannot be and a class that the
// sampling rate does not carry. A value that cannot be had is None, and a note
// says why.
func Take(rec *Recording, set Settings) (*Reading, *Signal, error) {
	return (&take{rec: rec, set: set}).all()
}

// Read is Take for those who want no Signal: the motion is then not kept, which
// spares two numbers a sample.
func Read(rec *Recording, set Settings) (*Reading, error) {
	t := &take{rec: rec, set: set, lean: true, rooms: spare.Get().(*rooms)}
	defer spare.Put(t.rooms)
	r, _, err := t.all()
	return r, err
}

// rooms hold a number each a sample.
type rooms [4][]float64

// What each room is for.
const (
	rawRoom    = iota // take.raw
	smoothRoom        // Signal.Force
	calmRoom          // take.calm
	calmedRoom        // where swings are looked for
)

// spare are the rooms of readings that are done.
var spare = sync.Pool{New: func() any { return new(rooms) }}

// room is memory for a number a sample: of its own for a Signal, else used before.
func (t *take) room(k int) []float64 {
	n := len(t.rec.Force)
	if t.rooms == nil {
		return make([]float64, n)
	}
	if cap(t.rooms[k]) < n {
		t.rooms[k] = make([]float64, n)
	}
	return t.rooms[k][:n]
}

func (t *take) all() (*Reading, *Signal, error) {
	rec, set := t.rec, t.set
	if err := t.check(); err != nil {
		return nil, nil, err
	}
	t.gravity, t.sig = set.Gravity, &Signal{Time: rec.Time}
	if t.gravity == 0 {
		t.gravity = StandardGravity
	}
	t.r = Unread()
	t.r.Samples, t.r.Unit, t.r.Class = len(rec.Force), rec.Unit, set.Class
	t.r.Notes = append(t.r.Notes, rec.Notes...)
	t.pace = paceOf(rec.Time, rec.Steps)
	t.r.SampleRate = Value(t.pace.rate)

	t.setZero()
	found := ahead(len(t.raw), t.findContacts)
	err := t.smooth()
	found()
	if err != nil {
		return nil, nil, err
	}
	t.readContacts()
	swings := ahead(len(t.raw), t.findSwings(slices.Clone(t.r.Contacts)))
	t.readSpeeds()
	t.readMotion()
	t.readLoop()
	swings()
	t.readSwings()
	t.readWork()
	t.judge()
	t.readDoubt()
	t.r.Steps = t.sig.Steps
	return &t.r, t.sig, nil
}

// mostForce is more than any cell measures: beyond it the column or its unit is
// mistaken.
const mostForce = 1e8

func (t *take) check() error {
	rec, set := t.rec, t.set
	if len(rec.Force) < 3 || len(rec.Force) != len(rec.Time) {
		return problem.New(problem.TooFew, "", "%d samples of force, a reading needs at least 3", len(rec.Force))
	}
	if rec.PerMass && set.Mass == 0 {
		return problem.New(problem.Invalid, "", "the recording is an acceleration in %s: it is a force only times the mass that the sensor rides on", rec.Unit).
			Hint("give the falling mass: --mass KG")
	}
	t.wide = extentOf(rec.Force)
	if largest := t.wide.largest(); largest > mostForce {
		return problem.New(problem.Invalid, "", "the force reaches %.3g N, no cell reads more than %.0g N", largest, mostForce).
			Hint("look at the column and its unit: --force COLUMN, --unit UNIT")
	}
	for _, s := range []struct {
		name string
		v    float64
		unit string
	}{
		{"mass", set.Mass, " kg"},
		{"drop", set.Drop, " m"},
		{"length", set.Length, " m"},
		{"gravity", set.Gravity, " m/s2"},
		{"edge friction", set.Edge.Friction, ""},
		{"edge angle", set.Edge.Angle, " rad"},
		{"guide's share", set.Guide, ""},
		{"gate flag", set.Gate.Flag, " m"},
		{"gate time", set.Gate.Time, " s"},
		{"uncertainty of the cell", set.Doubt.Cell, ""},
		{"uncertainty of the mass", set.Doubt.Mass, " kg"},
		{"uncertainty of the drop", set.Doubt.Drop, " m"},
		{"uncertainty of gravity", set.Doubt.Gravity, " m/s2"},
		{"uncertainty of the edge friction", set.Doubt.Friction, ""},
		{"uncertainty of the gate", set.Doubt.Gate, ""},
		{"uncertainty of the guide's share", set.Doubt.Guide, ""},
	} {
		if s.v < 0 || math.IsNaN(s.v) || math.IsInf(s.v, 0) {
			return problem.New(problem.Invalid, s.name, "%g%s, it must be a number above zero", s.v, s.unit).
				Hint("leave it out when it is not known")
		}
	}
	if set.Guide >= mostGuide {
		return problem.New(problem.Invalid, "guide's share", "%g of the drop's energy: no mass falls that loses so much", set.Guide).
			Hint("it is a share, 0.02 for 2 %%")
	}
	if set.Trials != 0 && (set.Trials < trialsFewest || set.Trials > trialsMost) {
		return problem.New(problem.Invalid, "trials", "%d: a 95 %% interval wants %d to %d", set.Trials, trialsFewest, trialsMost).
			Hint("20000 gives two digits of an interval, 1000000 three")
	}
	if lift := math.Exp(set.Edge.Friction * set.Edge.Angle); lift > mostEdge {
		return problem.New(problem.Invalid, "edge", "a friction of %g over %g rad makes the rope's force %.3g times the cell's", set.Edge.Friction, set.Edge.Angle, lift).
			Hint("the angle is in radians: half a turn is 3.14")
	}
	return nil
}

// mostEdge is more than any edge keeps back: friction 0.7 over half a turn is 9.
const mostEdge = 20

// mostGuide is more than any guide takes of a fall.
const mostGuide = 0.5

// smooth fills the signal's force. A class on uneven samples first needs them
// even: by straight lines between them, at the usual interval.
func (t *take) smooth() error {
	t.sig.Force = t.raw
	p := t.pace
	if !p.even {
		t.note(Said, "the time stamps are uneven: intervals run from %.4g to %.4g ms, %.4g ms is usual", 1e3*p.shortest, 1e3*p.longest, 1e3*p.usual)
	}
	if t.set.Class == 0 {
		return nil
	}
	f, err := dsp.NewCFC(t.set.Class, p.rate)
	if err != nil {
		return problem.New(problem.Invalid, "", "CFC %d on %.6g samples a second: it takes CFC 60, 180, 600 or 1000 and at least %d samples a second for each unit of class", t.set.Class, p.rate, dsp.RatePerClass).
			Hint("read it unfiltered, --cfc none, or record at %d Hz or more", dsp.RatePerClass*t.set.Class)
	}
	t.filter = &f
	x := t.raw
	if !p.even {
		if need := (t.rec.Time[len(t.rec.Time)-1] - t.rec.Time[0]) * p.rate; need > evenMost*float64(len(x)) {
			return problem.New(problem.Invalid, "", "the intervals between samples run from %.4g to %.4g s: made even for a filter they would be %.3g samples, of %d recorded", p.shortest, p.longest, need, len(x)).
				Hint("read it unfiltered, --cfc none, or cut the file at its gaps")
		}
		x = resample(t.rec.Time, t.raw, 1/p.rate)
		t.step("resample", "straight lines between samples, for the filter", Param{"rate", p.rate, "Hz"})
	}
	pad := f.Padding()
	var smooth []float64
	if p.even {
		smooth = t.room(smoothRoom)
		f.PhaselessInto(smooth, x, pad)
	} else {
		smooth = f.Phaseless(x, pad)
	}
	t.step("filter", fmt.Sprintf("CFC %d, forward and backward, ends reflected", t.set.Class),
		Param{"class", float64(t.set.Class), ""}, Param{"a0", f.A0, ""}, Param{"a1", f.A1, ""}, Param{"a2", f.A2, ""},
		Param{"b1", f.B1, ""}, Param{"b2", f.B2, ""}, Param{"padding", float64(min(pad, len(x)-1)), "samples"})
	if !p.even {
		smooth = at(t.rec.Time, smooth, 1/p.rate)
	}
	t.sig.Force = smooth
	return nil
}

func (t *take) note(g Grade, format string, args ...any) {
	t.r.Notes = append(t.r.Notes, Note{g, fmt.Sprintf(format, args...)})
}

func (t *take) step(name, detail string, params ...Param) {
	t.sig.Steps = append(t.sig.Steps, Step{Name: name, Detail: detail, Params: params})
}
