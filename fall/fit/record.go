package fit

import (
	"math"
	"slices"

	"fallwright.example/fall"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

// Setting is what is known of a fall besides its trace.
type Setting struct {
	Mass    float64 // kg
	Drop    float64 // m
	Length  float64 // m, unstretched
	Gravity float64 // m/s²
	Edge    fall.Edge
	LowPass float64 // Hz, of the cell's amplifier, as fall.Logger has it; 0 for none

	// FirstContact leaves the bounces out.
	FirstContact bool
}

func (s Setting) tower(friction float64, law rope.Law) fall.Tower {
	return fall.Tower{
		Mass: s.Mass, Drop: s.Drop, Friction: friction, Gravity: s.Gravity,
		Edge: s.Edge, Rope: rope.Piece{Law: law, Length: s.Length},
	}
}

// record is a trace made ready: means over blocks of samples, fast enough for
// the force and its filter, and what is seen in it without a law.
type record struct {
	setting Setting
	force   []float64 // N
	rate    float64   // Hz
	middle  float64   // s, of a block after its first sample
	zero    float64   // N, mean of the baseline
	noise   float64   // N, of a block, by the differences of neighbours in the baseline
	start   float64   // s, where the force leaves the baseline
	peak    float64   // N above the baseline
	peakAt  int
	end     int // block at which the first contact is over
	last    int // block from which the swing is small
}

const (
	blocks  = 1000.0 // Hz that a block is no shorter than
	fewest  = 20     // blocks of baseline
	corners = 10     // rate over the filter's corner
)

// ready takes means over blocks and finds the first contact.
func ready(samples []float64, rate float64, s Setting) (*record, error) {
	if err := s.tower(0, rope.Linear{Modulus: 1}).Check(); err != nil {
		return nil, err
	}
	if !(rate > 0) || math.IsInf(rate, 1) || !(s.Drop > 0) || !(s.LowPass >= 0) {
		return nil, problem.New(problem.Invalid, "trace", "a rate of %g Hz, a drop of %g m, a filter of %g Hz", rate, s.Drop, s.LowPass).
			Hint("a fit needs a rate and a drop above 0")
	}
	by := max(1, int(rate/max(blocks, corners*s.LowPass)))
	r := &record{setting: s, rate: rate / float64(by), middle: float64(by-1) / 2 / rate}
	for i := 0; i+by <= len(samples); i += by {
		sum := 0.0
		for _, v := range samples[i : i+by] {
			sum += v
		}
		if math.IsNaN(sum) || math.IsInf(sum, 0) {
			return nil, problem.New(problem.Invalid, "trace", "sample %d or one of the %d after it is not a number", i, by-1)
		}
		r.force = append(r.force, sum/float64(by))
	}
	if len(r.force) < 4*fewest {
		return nil, problem.New(problem.Invalid, "trace", "%d samples at %g Hz are too short for a fit", len(samples), rate)
	}
	return r, r.look()
}

// look finds baseline, peak, start and end of the first contact: the start by
// the crossing of a line through the flank, which noise moves least.
func (r *record) look() error {
	most := slices.Max(r.force)
	first := slices.IndexFunc(r.force, func(f float64) bool { return f > most/2 })
	base := r.force[:max(first*3/4, 0)]
	for k := first; k > 0 && r.force[k] > most/20; k-- {
		base = r.force[:max(0, k-2-int(r.rate/200))]
	}
	if len(base) < fewest {
		return problem.New(problem.Invalid, "trace", "%d ms of it lie before the rope pulls, a fit needs %d", int(float64(len(base))*1000/r.rate), int(fewest*1000/r.rate)).
			Hint("record with a pre-trigger, and give the trace from before the contact")
	}
	for _, f := range base {
		r.zero += f / float64(len(base))
	}
	r.noise = spread(base)
	r.peakAt = first
	for k := first; k < len(r.force) && r.force[k]-r.zero > (most-r.zero)/4; k++ {
		if r.force[k] > r.force[r.peakAt] {
			r.peakAt = k
		}
	}
	r.peak = r.force[r.peakAt] - r.zero
	if !(r.peak > 20*r.noise) {
		return problem.New(problem.Invalid, "trace", "a peak of %.3g N stands in a noise of %.3g N, a fit needs 20 times as much", r.peak, r.noise)
	}
	low, high := r.reaches(0.05*r.peak), r.reaches(0.15*r.peak)
	r.start = max(low-(high-low)/2, 1/r.rate)
	r.end = r.peakAt
	for r.end < len(r.force)-1 && r.force[r.end]-r.zero > max(4*r.noise, 0.002*r.peak) {
		r.end++
	}
	r.last = r.swings()
	return nil
}

// swings is the block from which the force stays within a twentieth of the
// weight. What comes later says little of the law, and when the guide holds the
// mass is a matter of whole turns, which no slope foretells.
func (r *record) swings() int {
	weight := r.setting.Mass * r.setting.Gravity
	last := r.end
	for i := r.end; i+5 <= len(r.force); i++ {
		mean := 0.0
		for _, f := range r.force[i : i+5] {
			mean += f / 5
		}
		if math.Abs(mean-r.zero-weight) > max(weight/20, 3*r.noise) {
			last = i + 5
		}
	}
	return last
}

// reaches is when the flank of the first contact first passes a force for good.
func (r *record) reaches(force float64) float64 {
	k := r.peakAt
	for k > 0 && r.force[k]-r.zero > force {
		k--
	}
	return float64(k) / r.rate
}

// spread is the standard deviation of white noise by the differences of
// neighbours, which slow drift leaves alone.
func spread(f []float64) float64 {
	sum := 0.0
	for i := 1; i < len(f); i++ {
		sum += (f[i] - f[i-1]) * (f[i] - f[i-1])
	}
	return math.Sqrt(sum / 2 / float64(len(f)-1))
}

// used is how many blocks the fit looks at.
func (r *record) used() int {
	if r.setting.FirstContact {
		return r.end
	}
	return r.last
}

// model writes what the trace would be, in out, for a law, a guide's friction, a
// start and a zero. Before the start there is the zero alone.
func (r *record) model(s *fall.Simulator, law rope.Law, friction, start, zero, accuracy float64, out []float64) error {
	first := max(0, int(math.Ceil(start*r.rate)))
	n := len(out) - first
	if n < 1 {
		return problem.New(problem.Invalid, "start", "%g s is past the trace", start)
	}
	phase := max(0, float64(first)/r.rate-start)
	run, err := s.Simulate(r.setting.tower(friction, law), fall.Watch{
		FromContact: true, First: phase, Until: phase + (float64(n)-0.5)/r.rate, Rate: r.rate, Accuracy: accuracy,
	})
	if err != nil {
		return err
	}
	clear(out[:first])
	copy(out[first:], run.Force)
	if r.setting.LowPass > 0 {
		if err := fall.LowPass(out, r.rate, r.setting.LowPass); err != nil {
			return err
		}
	}
	for i := range out {
		out[i] += zero
	}
	return nil
}
