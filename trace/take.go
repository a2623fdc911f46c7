package trace

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/dsp"
	"fallwright.example/problem"
)

// take carries one reading from step to step.
type take struct {
	rec     *Recording
	set     Settings
	r       Reading
	sig     *Signal
	raw     []float64 // tared and turned over, not filtered
	zero    zero
	pace    pace
	gravity float64
}

// Take takes the reading of a recording: zero and sign, filter, contacts,
// values. The recording is not changed.
//
// The filter acts on the peaks only. Contacts, impulse, motion and energy come
// from the force before it: integrals smooth by themselves, and a phaseless
// filter would move the moment of contact forward.
//
// Take refuses (*problem.Problem) settings that cannot be and a class that the
// sampling rate does not carry. A value that cannot be had is None, and a note
// says why.
func Take(rec *Recording, set Settings) (*Reading, *Signal, error) {
	if err := check(rec, set); err != nil {
		return nil, nil, err
	}
	t := &take{rec: rec, set: set, gravity: set.Gravity, sig: &Signal{Time: rec.Time}}
	if t.gravity == 0 {
		t.gravity = StandardGravity
	}
	t.r = Reading{
		Samples: len(rec.Force), Unit: rec.Unit, Class: set.Class, BouncePeaks: []Value{},
		Tare: None(), Noise: None(), PeakForce: None(), TimeToPeak: None(), FirstImpulse: None(),
		ImpactSpeed: None(), MaxStretch: None(), EnergyIn: None(), EnergyAbsorbed: None(), ReboundSpeed: None(),
	}
	t.r.Notes = append(t.r.Notes, rec.Notes...)
	t.pace = paceOf(rec.Time)
	t.r.SampleRate = Value(t.pace.rate)

	t.setZero()
	if err := t.filter(); err != nil {
		return nil, nil, err
	}
	t.readContacts()
	t.readMotion()
	t.judge()
	t.r.Steps = t.sig.Steps
	return &t.r, t.sig, nil
}

// mostForce is more than any cell measures: beyond it the column or its unit is
// mistaken.
const mostForce = 1e8

func check(rec *Recording, set Settings) error {
	if len(rec.Force) < 3 || len(rec.Force) != len(rec.Time) {
		return problem.New(problem.TooFew, "", "%d samples of force, a reading needs at least 3", len(rec.Force))
	}
	if largest := max(slices.Max(rec.Force), -slices.Min(rec.Force)); largest > mostForce {
		return problem.New(problem.Invalid, "", "the force reaches %.3g N, no cell reads more than %.0g N", largest, mostForce).
			Hint("look at the column and its unit: --force COLUMN, --unit UNIT")
	}
	for _, s := range []struct {
		name string
		v    float64
		unit string
	}{
		{"mass", set.Mass, "kg"},
		{"drop", set.Drop, "m"},
		{"length", set.Length, "m"},
		{"gravity", set.Gravity, "m/s2"},
	} {
		if s.v < 0 || math.IsNaN(s.v) || math.IsInf(s.v, 0) {
			return problem.New(problem.Invalid, s.name, "%g %s, it must be a number above zero", s.v, s.unit).
				Hint("leave it out when it is not known")
		}
	}
	return nil
}

func (t *take) setZero() {
	t.zero = findZero(t.rec.Force)
	z := t.zero
	t.r.Noise = Value(z.noise)
	t.raw = make([]float64, len(t.rec.Force))
	for i, f := range t.rec.Force {
		t.raw[i] = z.sign * (f - z.tare)
	}
	if !z.known {
		t.note(Doubtful, "no quiet stretch of %d samples before the event, so the force is used as recorded: record at least 0.2 s before release", quietFewest)
		t.note(Said, "noise is taken from the differences between samples")
	} else {
		t.r.Tare = Value(z.tare)
		t.step("tare", "mean of the quiet stretch is taken off",
			Param{"tare", z.tare, "N"}, Param{"from", t.rec.Time[z.from], "s"}, Param{"to", t.rec.Time[z.to-1], "s"})
	}
	if z.loaded {
		t.note(Doubtful, "the trace begins under load, %.4g N above the lowest level it stays at: zero is taken from there", z.sign*(mean(t.rec.Force[:quietFewest])-z.tare))
	}
	if z.guess {
		t.note(Doubtful, "the trace is as large on one side of zero as on the other and has no quiet beginning: which way a pull goes is a guess")
	}
	if quiet := t.rec.Time[z.to-min(1, z.to)] - t.rec.Time[z.from]; z.known && quiet < quietSeconds {
		t.note(Doubtful, "the quiet stretch is only %.3g ms: mains hum and drift are not averaged out of the tare, record at least 0.2 s before release", 1e3*quiet)
	}
	if wander := differenceNoise(t.rec.Force); z.known && z.noise > 3*wander && z.noise > 0.003*t.span() {
		t.note(Doubtful, "the quiet stretch wanders by %.3g N, from sample to sample by %.3g N: mains hum or drift, which no reading here takes out", z.noise, wander)
	}
	if z.sign < 0 {
		t.step("turn over", "the pull is negative in the recording")
		t.note(Said, "the pull is negative in the recording and was turned over")
	}
}

// filter fills the signal's force. A class on uneven samples first needs them
// even: by straight lines between them, at the usual interval.
func (t *take) filter() error {
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
	smooth := f.Phaseless(x, pad)
	t.step("filter", fmt.Sprintf("CFC %d, forward and backward, ends reflected", t.set.Class),
		Param{"class", float64(t.set.Class), ""}, Param{"a0", f.A0, ""}, Param{"a1", f.A1, ""}, Param{"a2", f.A2, ""},
		Param{"b1", f.B1, ""}, Param{"b2", f.B2, ""}, Param{"padding", float64(min(pad, len(x)-1)), "samples"})
	if !p.even {
		smooth = at(t.rec.Time, smooth, 1/p.rate)
	}
	t.sig.Force = smooth
	return nil
}

// span is the range of the force.
func (t *take) span() float64 { return slices.Max(t.raw) - slices.Min(t.raw) }

func (t *take) note(g Grade, format string, args ...any) {
	t.r.Notes = append(t.r.Notes, Note{g, fmt.Sprintf(format, args...)})
}

func (t *take) step(name, detail string, params ...Param) {
	t.sig.Steps = append(t.sig.Steps, Step{Name: name, Detail: detail, Params: params})
}
