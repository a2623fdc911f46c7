package uptake

import (
	"math"
	"slices"

	"fallwright.example/problem"
)

// Pull is a rope drawn through a device at a speed, against a force that holds
// the other strand.
type Pull struct {
	Time, Force []float64 // s, N; the force that pulls
	Speed       float64   // m/s; 0 when not stated
	Held        float64   // N on the strand behind the device; 0 when not stated

	// From and To are the steady part, s; both 0 for what Read finds.
	From, To float64
	Noise    float64 // N, standard deviation of the cell's noise; 0 when not known
}

// PullReading is what a pull trace shows.
type PullReading struct {
	From, To float64 // s, the part that was read
	Mean     float64 // N over that part
	SD       float64 // N
	Drift    float64 // N/s, slope of a straight line

	// Stick and slip: the force climbs while the rope sticks and drops as it
	// slips. Teeth are drops from a peak to the trough behind it that are deeper
	// than Depth.
	Depth     float64 // N, what counts as a tooth
	Teeth     int
	Amplitude float64 // N, mean drop; NaN with no tooth
	Frequency float64 // Hz, of peaks; NaN with fewer than two
	Length    float64 // m of rope from peak to peak, Speed/Frequency; NaN when not known
	Roughness float64 // SD over Mean

	Braking float64 // Mean/Held; NaN when Held is not stated
}

// ReadPull reads a pull. The steady part, where it is not given, is what lies
// between the first and the last crossing of half the force that is exceeded a
// tenth of the time, a tenth of it left out at either end. A tooth counts that is
// deeper than the standard deviation of the force about its straight line, and
// than eight times the noise: a saw-tooth of depth A has A/√12, so that all of its
// teeth count and ripple of less than a third of it does not; our own choice.
//
// It refuses slices of unequal length, times that do not rise and forces that are
// no numbers: Invalid; and a steady part of fewer than 20 samples: TooFew.
func ReadPull(p Pull) (PullReading, error) {
	nan := math.NaN()
	r := PullReading{From: p.From, To: p.To, Amplitude: nan, Frequency: nan, Length: nan, Braking: nan}
	if err := p.check(); err != nil {
		return r, err
	}
	first, end := p.steady()
	if end-first < 20 {
		return r, problem.New(problem.TooFew, "pull", "the steady part has %d samples, and 20 are needed", max(end-first, 0)).Hint("pull for longer, or sample faster")
	}
	t, f := p.Time[first:end], p.Force[first:end]
	r.From, r.To = t[0], t[len(t)-1]
	var level float64
	level, r.Drift = line(t, f)
	rest := make([]float64, len(f))
	middle := (r.From + r.To) / 2
	var sum2, rest2 float64
	for i := range f {
		rest[i] = f[i] - level - r.Drift*(t[i]-middle)
		sum2 += (f[i] - level) * (f[i] - level)
		rest2 += rest[i] * rest[i]
	}
	r.Mean, r.SD = level, math.Sqrt(sum2/float64(len(f)-1))
	r.Roughness = r.SD / r.Mean
	r.Depth = max(math.Sqrt(rest2/float64(len(f)-1)), 8*p.Noise)
	r.teeth(t, rest, p.Speed)
	if p.Held > 0 {
		r.Braking = r.Mean / p.Held
	}
	return r, nil
}

func (p Pull) check() error {
	if len(p.Time) != len(p.Force) {
		return problem.New(problem.Invalid, "pull", "%d times and %d forces", len(p.Time), len(p.Force))
	}
	for i := range p.Time {
		if i > 0 && !(p.Time[i] > p.Time[i-1]) {
			return problem.New(problem.Invalid, "pull", "sample %d is at %g s, not after the one before", i+1, p.Time[i])
		}
		if math.IsNaN(p.Force[i]) || math.IsInf(p.Force[i], 0) {
			return problem.New(problem.Invalid, "pull", "sample %d is %g N", i+1, p.Force[i])
		}
	}
	return nil
}

// steady is the part that is read, by sample.
func (p Pull) steady() (first, end int) {
	if p.From != 0 || p.To != 0 {
		first, _ = slices.BinarySearch(p.Time, p.From)
		end, _ = slices.BinarySearch(p.Time, p.To)
		return first, end
	}
	if len(p.Force) == 0 {
		return 0, 0
	}
	sorted := slices.Sorted(slices.Values(p.Force))
	half := sorted[len(sorted)*9/10] / 2
	first = slices.IndexFunc(p.Force, func(v float64) bool { return v > half })
	if first < 0 {
		return 0, 0
	}
	end = len(p.Force)
	for end > first && p.Force[end-1] <= half {
		end--
	}
	cut := (end - first) / 10
	return first + cut, end - cut
}

// line is the straight line through a force, level in the middle of the time.
func line(t, f []float64) (level, slope float64) {
	n := float64(len(t))
	middle := (t[0] + t[len(t)-1]) / 2
	var st, sf, stt, stf float64
	for i := range t {
		x := t[i] - middle
		st, sf, stt, stf = st+x, sf+f[i], stt+x*x, stf+x*f[i]
	}
	slope = (n*stf - st*sf) / (n*stt - st*st)
	return (sf - slope*st) / n, slope
}

// teeth follows the force from peak to trough to peak, each turn being taken when
// the force has come back by Depth.
func (r *PullReading) teeth(t, f []float64, speed float64) {
	peak, trough := f[0], f[0]
	at := t[0]
	rising := false
	settled := false // a whole rise has been seen, so that the peak is one
	var peaks []float64
	drops := 0.0
	for i := range f {
		switch {
		case rising && f[i] > peak:
			peak, at = f[i], t[i]
		case rising && f[i] < peak-r.Depth: // it slipped
			rising, trough = false, f[i]
			if settled {
				peaks = append(peaks, at)
			}
		case !rising && f[i] < trough:
			trough = f[i]
		case !rising && f[i] > trough+r.Depth: // it sticks again
			if settled && len(peaks) > 0 {
				drops += peak - trough
				r.Teeth++
			}
			rising, settled, peak, at = true, true, f[i], t[i]
		}
	}
	if r.Teeth > 0 {
		r.Amplitude = drops / float64(r.Teeth)
	}
	if n := len(peaks); n > 1 && r.Teeth > 0 {
		r.Frequency = float64(n-1) / (peaks[n-1] - peaks[0])
		if speed > 0 {
			r.Length = speed / r.Frequency
		}
	}
}
