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

	// Pulled is the largest force (N) that the specimen's knots have held before;
	// 0 for fresh ones. It is for knotted forms only; Series finds it itself.
	Pulled float64

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
	by      int       // samples a block
	points  int       // of the simulated force that stand for a block
	zero    float64   // N, mean of the baseline
	noise   float64   // N, of a block, by the differences of neighbours in the baseline
	start   float64   // s, where the force leaves the baseline
	peak    float64   // N above the baseline
	peakAt  int
	end     int // block at which the first contact is over
	last    int // block from which the swing is small

	filtered []float64 // scratch of model
}

const (
	blocks  = 1000.0 // Hz that a block is no shorter than
	fewest  = 20     // blocks of baseline
	corners = 10     // rate over the filter's corner
	points  = 2      // of the simulation a block, its samples being two or more
	closeBy = 12     // blocks from the contact on with a point for each sample
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
	r := &record{setting: s, rate: rate / float64(by), by: by, points: min(by, points)}
	if s.LowPass > 0 {
		r.points = by // the filter is that of the samples
	}
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
	early := slices.Clone(r.force[:first*3/4+1])
	slices.Sort(early)
	r.zero = early[len(early)/20]
	foot := first
	for foot > 0 && r.force[foot]-r.zero > (most-r.zero)/20 {
		foot--
	}
	if err := r.baseline(foot - 2 - int(r.rate/200)); err != nil {
		return err
	}
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
	if n := int(r.start*r.rate) - 3; n >= fewest { // clear of the foot, now that it is known
		if err := r.baseline(n); err != nil {
			return err
		}
	}
	r.end = r.over()
	r.last = r.swings()
	return nil
}

// baseline takes zero and noise from the first n blocks.
func (r *record) baseline(n int) error {
	if n < fewest {
		return problem.New(problem.Invalid, "trace", "%d ms of it lie before the rope pulls, a fit needs %d", int(float64(max(n, 0))*1000/r.rate), int(fewest*1000/r.rate)).
			Hint("record with a pre-trigger, and give the trace from before the contact")
	}
	base := r.force[:n]
	if rise := mean(base[n*3/4:]) - mean(base[:n/4]); !(math.Abs(rise) < slices.Max(r.force)/50) {
		return problem.New(problem.Invalid, "trace", "it changes by %.3g N before the rope pulls", rise).
			Hint("record with a pre-trigger, and give the trace from before the contact")
	}
	r.zero, r.noise = mean(base), spread(base)
	return nil
}

func mean(f []float64) float64 {
	sum := 0.0
	for _, v := range f {
		sum += v / float64(len(f))
	}
	return sum
}

// sigma is what a block may be out by, at the least a ten thousandth of the peak,
// so that a trace without noise has one too.
func (r *record) sigma() float64 { return max(r.noise, 1e-4*r.peak) }

// over is the block at which the first contact is over: the force is gone, or
// grows again in a rope that stays taut.
func (r *record) over() int {
	lowest := r.peakAt
	for k := r.peakAt; k < len(r.force); k++ {
		force, low := r.force[k]-r.zero, r.force[lowest]-r.zero
		switch {
		case force <= max(4*r.noise, 0.002*r.peak):
			return k
		case force < low:
			lowest = k
		case low < r.peak/2 && force > low+max(8*r.noise, 0.03*r.peak):
			return lowest
		}
	}
	return len(r.force) - 1
}

// swings is the block from which the force stays within a twentieth of the
// weight. What comes later says little of the law, and when the guide holds the
// mass is a matter of whole turns, which no slope foretells.
func (r *record) swings() int {
	weight := r.setting.Mass * r.setting.Gravity
	last := r.end
	for i := r.end; i+5 <= len(r.force); i++ {
		if math.Abs(mean(r.force[i:i+5])-r.zero-weight) > max(weight/20, 3*r.noise) {
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
// start and a zero: means over blocks as those of the record, by a few points a
// block, and by all where the rope meets the mass first and friction between its
// yarns may make all but a step. Before the start there is the zero alone.
func (r *record) model(s *fall.Simulator, law rope.Law, friction, start, zero, accuracy float64, out []float64) error {
	tower := r.setting.tower(friction, law)
	if err := r.means(s, tower, start, accuracy, r.points, out); err != nil {
		return err
	}
	from := max(0, int(start*r.rate))
	if near := out[:min(from+closeBy, len(out))]; r.points < r.by && from < len(near) {
		if err := r.means(s, tower, start, accuracy, r.by, near); err != nil {
			return err
		}
	}
	for i := range out {
		out[i] += zero
	}
	return nil
}

// means writes the means of simulated blocks, by a number of points each.
func (r *record) means(s *fall.Simulator, tower fall.Tower, start, accuracy float64, points int, out []float64) error {
	rate := r.rate * float64(points)
	late := (float64(r.by)/float64(points) - 1) / 2 / (r.rate * float64(r.by)) // s, of the first point after the block's first sample
	first := max(0, int(math.Ceil((start-late)*rate)))
	n := len(out)*points - first
	if n < 1 {
		return problem.New(problem.Invalid, "start", "%g s is past the trace", start)
	}
	phase := max(0, float64(first)/rate+late-start)
	run, err := s.Simulate(tower, fall.Watch{
		FromContact: true, First: phase, Until: phase + (float64(n)-0.5)/rate, Rate: rate, Accuracy: accuracy,
	})
	if err != nil {
		return err
	}
	force := run.Force
	if r.setting.LowPass > 0 {
		r.filtered = append(append(r.filtered[:0], make([]float64, first)...), force...)
		if err := fall.LowPass(r.filtered, rate, r.setting.LowPass); err != nil {
			return err
		}
		force, first = r.filtered, 0
	}
	clear(out)
	share := 1 / float64(points)
	for i, v := range force {
		out[(first+i)/points] += v * share
	}
	return nil
}
