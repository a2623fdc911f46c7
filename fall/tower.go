package fall

import (
	"math"

	"fallwright.example/num/ode"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Tower is a mass on a vertical guide above the free end of a piece of rope.
type Tower struct {
	Mass     float64 // kg
	Drop     float64 // m of free fall before the rope goes tight
	Friction float64 // N, of the guide: constant, against the motion; it can hold the mass
	Gravity  float64 // m/s²
	Rope     rope.Piece
	Edge     Edge // between mass and cell; it acts on what the cell reads only

	// RopeMass is the mass of the rope between cell and mass in kg, above 0 for a
	// second mode: see heavy. It matters where it is more than a hundredth of the
	// falling mass. The values of a run are then of the rope at the mass, its
	// samples of the rope at the cell.
	RopeMass float64
}

// Watch says over what time a fall is simulated and where it is sampled. Time
// counts from the release, or from the first contact.
type Watch struct {
	FromContact bool    // begin with the mass touching the rope at ImpactSpeed
	Until       float64 // s
	First       float64 // s, time of the first sample, 0 or more
	Rate        float64 // Hz; 0 takes no samples and ends where the mass is at rest

	// Accuracy is the share by which peak, stretch and energy in of the first
	// contact may be out; the energy absorbed by three times as much, its end and
	// the rebound by ten times, and all of it by three times more on knots that
	// tighten, whose law has a kink. 0 is as fine as there is, 1e-8, with the energy
	// books kept; from 1e-8 to 1e-2 a simulation is quicker the coarser it is, and
	// keeps no books.
	Accuracy float64
}

// Run is a simulated fall: the force as a perfect cell would sample it, behind
// the edge if there is one, and the truth about it, which is of the rope at the
// mass.
type Run struct {
	Watch
	Force []float64 // N, at First + i/Rate up to Until
	Truth
}

// Truth is what a perfect reading of the fall would say. Times are on the
// watch's clock unless they say otherwise. A value that the watch ended too
// early for is NaN.
type Truth struct {
	ImpactSpeed    float64 // m/s at first contact
	Peak           float64 // N, first contact
	TimeToPeak     float64 // s from first contact
	MaxStretch     float64 // m, where the mass first stops
	EnergyIn       float64 // J, work done on the rope up to there
	EnergyAbsorbed float64 // J, work done on the rope over the first contact: its loop
	ReboundSpeed   float64 // m/s, upward, when the force is first back at zero
	RestAt         float64 // s: where the mass first turns with a force within 1 % of its weight, or of what the guide can hold
	Contacts       []Contact

	// Closing is the most that the energy books (kinetic, height, stored in the
	// rope, lost in it, rubbed off at the guide) were out by, as a share of the
	// energy of the fall. It measures the integration, not the rope. NaN where no
	// books were kept.
	Closing float64
}

// Contact is a stretch of time with the rope taut.
type Contact struct {
	Start, End float64 // s
	Peak       float64 // N
	PeakAt     float64 // s
	Open       bool    // still taut when the watch ended
}

// BouncePeaks are the peaks in newtons of every contact after the first.
func (t *Truth) BouncePeaks() []float64 {
	var peaks []float64
	for i, c := range t.Contacts {
		if i > 0 {
			peaks = append(peaks, c.Peak)
		}
	}
	return peaks
}

// ImpactSpeed is the speed in m/s at which the mass meets the rope: friction
// takes its share of gravity, v = √(2·(g - F_f/m)·h).
func (w Tower) ImpactSpeed() float64 {
	return math.Sqrt(2 * (w.Gravity - w.Friction/(w.Mass+endShare*w.RopeMass)) * w.Drop)
}

// Check refuses a tower on which no mass would fall, and whatever its rope
// refuses.
func (w Tower) Check() error {
	if err := refuse(positive("mass", w.Mass, "kg"), zeroOrMore("drop", w.Drop, "m"),
		zeroOrMore("friction", w.Friction, "N"), positive("gravity", w.Gravity, "m/s2")); err != nil {
		return err
	}
	if weight := w.Mass * w.Gravity; w.Friction >= weight {
		return problem.New(problem.Invalid, "friction", "%g N is not below the weight of the mass, %.6g N: it would not fall", w.Friction, weight).
			Hint("measure the guide's friction again, or the mass")
	}
	return refuse(w.Edge.Check(), w.Rope.Check(), w.checkMass())
}

// check refuses a watch over no time, at a rate or an accuracy that there is
// not.
func (w Watch) check() error {
	if err := refuse(positive("until", w.Until, "s"), zeroOrMore("rate", w.Rate, "Hz"), zeroOrMore("first sample", w.First, "s")); err != nil {
		return err
	}
	if w.Accuracy != 0 && !(w.Accuracy >= finest && w.Accuracy <= coarsest) {
		return problem.New(problem.Invalid, "accuracy", "%g, a simulation has 0, or %g to %g", w.Accuracy, finest, coarsest)
	}
	if n := (w.Until - w.First) * w.Rate; n > maxSamples {
		return problem.New(problem.Invalid, "rate", "%g Hz for %g s is %.0f samples, the simulation holds %d", w.Rate, w.Until, n, maxSamples).
			Hint("watch for a shorter time or at a lower rate")
	}
	return nil
}

// samples is how many samples the watch takes.
func (w Watch) samples() int {
	if w.Rate == 0 {
		return 0
	}
	// A sample that falls on the end but for rounding is taken.
	return max(0, int(math.Floor((w.Until-w.First)*w.Rate+1e-9))+1)
}

// Simulate drops the mass and watches it: free fall, contact, flight with a
// slack rope, bounces, rest. The equation of motion is
//
//	m·ẍ = m·g - T(x, ẋ, state) - F_f·sign(ẋ)
//
// with T only while the rope is taut. It goes slack when T falls to zero, then
// recoils by its law, and is taut again when the mass meets it. Where the mass
// stops it turns round, or stays if the guide's friction can hold it.
//
// Steps are chosen so that the values of the first contact are good to the
// watch's accuracy; at the finest, watch over that is kept by the energy books:
// a run whose Closing exceeds 1e-8 is refused.
//
// A 4 s fall takes about 1 ms, and one to rest at an accuracy of 1e-6 0.02 to 0.06 ms
// (BenchmarkTower, BenchmarkToRest, one core).
func (w Tower) Simulate(watch Watch) (*Run, error) { return new(Simulator).Simulate(w, watch) }

// Simulator simulates one fall after another in the same memory, for those who
// need thousands. The zero Simulator is ready; it is not for several goroutines
// at once.
type Simulator struct {
	motion motion
	run    Run
}

// Simulate is Tower.Simulate. The run belongs to the simulator: the next call
// overwrites it.
func (s *Simulator) Simulate(w Tower, watch Watch) (*Run, error) {
	if err := refuse(w.Check(), watch.check()); err != nil {
		return nil, err
	}
	m := &s.motion
	m.run = &s.run
	m.set(w, watch, w.step(watch))
	if err := m.goThrough(); err != nil {
		return nil, m.lost(err)
	}
	if m.ledger && !(m.run.Closing <= mostOpen) {
		return nil, problem.New(problem.Invalid, "rope", "the energy books of the simulated fall are out by %.2g of the fall, limit %g of the simulation",
			m.run.Closing, mostOpen).
			Hint("look at the parameters of the law: one of them is out of all proportion")
	}
	return m.run, nil
}

// step is the error that a step of the integration may have.
func (w Tower) step(watch Watch) float64 {
	share := stepShare
	if _, kinked := w.Rope.Law.(rope.Knotted); kinked {
		share = kinkShare
	}
	if watch.Accuracy == 0 {
		return relative
	}
	return max(watch.Accuracy*share, relative)
}

// tolerance is what a step may be out by: a share of the size that each quantity
// has in this fall, and where the books are kept also of what it is now. Own is
// where the law's states end and the books begin.
func (w Tower) tolerance(small, scratch []float64, own int, relative float64) ode.Tolerance {
	height := w.Drop + w.Rope.Length/10
	energy := w.Mass * w.Gravity * height
	stops := w.Mass * w.Gravity * (1 + w.Drop/(w.Rope.Length/5)) // over a fifth of the rope's length
	rope.StateSizes(w.Rope.Law, relative*stops, scratch[:own-inner], small[inner:own])
	for i := own; i < len(small); i++ {
		small[i] = relative * energy
	}
	small[place], small[length], small[speed] = relative*height, relative*height, relative*math.Sqrt(2*w.Gravity*height)
	if _, ok := w.Rope.Law.(heavy); ok { // no tension goes by ω
		small[own-1] = relative * math.Sqrt(2*w.Gravity*height) / w.Rope.Length
	}
	if own == len(small) {
		return ode.Tolerance{Absolute: small}
	}
	return ode.Tolerance{Relative: relative, Absolute: small}
}

const (
	relative    = 3e-12 // error of a step at the finest
	stepShare   = 0.5   // error of a step as a share of the accuracy, by TestAccuracy
	kinkShare   = 0.02  // the same where the law has a kink
	easedStep   = 1e-4  // the least error of a step after the first contact, in a watch without samples
	turningFrom = 1e-6  // accuracy from which on friction between yarns goes by tables
	longestStep = 0.05  // s
	longStride  = 0.4   // s, the same where no books are kept

	stepAfterEvent   = 1e-4     // s
	maxSamples       = 20000000 // 160 MB
	mostOpen         = 1e-8
	restShare        = 0.01 // of the weight
	finest, coarsest = 1e-8, 1e-2
)
