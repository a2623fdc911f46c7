package trace

import (
	"math"
	"slices"
)

// zero is where the unloaded cell stands in a trace, and which way a pull goes.
type zero struct {
	sign   float64 // +1 when a pull is positive in the recording, −1 when not
	tare   float64 // N as recorded; 0 when none was found
	known  bool    // a quiet unloaded stretch was found
	loaded bool    // the recording begins under load
	guess  bool    // the sign could as well be the other
	noise  float64 // N, standard deviation of the quiet stretch, or from differences
	from   int     // the quiet stretch
	to     int
}

const (
	quietFewest  = 10     // samples that make a quiet stretch
	quietSeconds = 0.04   // of it, two periods of the mains, below which it is doubtful
	quietTrim    = 0.2    // share of it left out next to the event
	quietBand    = 0.05   // share of the range by which the event leaves the quiet stretch
	stayBand     = 0.02   // share of the range that a stay at the lowest level may wander
	loadedShare  = 0.05   // share of the range that tells load from a shift of zero
	quietSlope   = 0.0025 // share of the range by which the halves of a quiet stretch may differ
)

// findZero looks for the quiet stretch before the event. A trace that later
// stays well below its beginning began under load, and one without a quiet
// beginning may still come to rest unloaded: then zero is the level at which it
// stays. Without a quiet beginning the pull is the larger side of the recorder's
// own zero, and a guess when the two sides are alike.
func findZero(force []float64) zero {
	low, high := slices.Min(force), slices.Max(force)
	span, jitter := high-low, differenceNoise(force)
	z := zero{sign: 1, noise: jitter}

	end := quietEnd(force, max(8*jitter, quietBand*span))
	level := force[0]
	if end > 0 {
		level = mean(force[:end])
	}
	trimmed := end - int(math.Ceil(quietTrim*float64(end)))
	begins := trimmed >= quietFewest && !sloped(force[:trimmed], jitter, span)
	if begins {
		z.set(force, 0, trimmed)
	}
	if level-low > high-level && begins || !begins && -low > high {
		z.sign = -1
	}
	z.guess = !begins && min(high, -low) > 0.5*max(high, -low)
	bottom := low
	if z.sign < 0 {
		bottom = -high
	}
	below := longestStay(force, z.sign, bottom+stayBand*span, jitter, span)
	if below.len() == 0 {
		return z
	}
	under := z.sign * (level - mean(force[below.from:below.to]))
	clear := under > max(8*jitter, loadedShare*span)
	if clear || !begins {
		z.loaded = clear
		z.set(force, below.from, below.to)
	}
	return z
}

func (z *zero) set(force []float64, from, to int) {
	z.known, z.from, z.to = true, from, to
	z.tare = mean(force[from:to])
	z.noise = deviation(force[from:to], z.tare)
}

// differenceNoise is the standard deviation of white noise as the second
// differences of the first samples show it: median |x[i−1] − 2x[i] + x[i+1]|
// over 0.6745·√6. It does not see a slope, and a median does not see an event
// in fewer than half of the samples.
func differenceNoise(force []float64) float64 {
	n := min(len(force), 400)
	if n < 3 {
		return 0
	}
	d := make([]float64, 0, n)
	for i := 1; i < n-1; i++ {
		d = append(d, math.Abs(force[i-1]-2*force[i]+force[i+1]))
	}
	slices.Sort(d)
	return d[len(d)/2] / (0.6745 * math.Sqrt(6))
}

// quietEnd is the first sample that leaves the running mean by more than band.
func quietEnd(force []float64, band float64) int {
	sum := 0.0
	for i, f := range force {
		if i > 0 && math.Abs(f-sum/float64(i)) > band {
			return i
		}
		sum += f
	}
	return len(force)
}

// stay is a run of samples; an empty one is none.
type stay struct{ from, to int }

func (s stay) len() int { return s.to - s.from }

// longestStay is the longest run of samples at or below a level, seen in the
// direction of the pull, with a fifth trimmed off each end; none when it is
// short, or when it slopes and so is the toe of a slow rise.
func longestStay(force []float64, sign, level, jitter, span float64) stay {
	var best stay
	start := -1
	for i := 0; i <= len(force); i++ {
		if i < len(force) && sign*force[i] <= level {
			if start < 0 {
				start = i
			}
			continue
		}
		if start >= 0 && i-start > best.len() {
			best = stay{start, i}
		}
		start = -1
	}
	trim := int(quietTrim * float64(best.len()))
	best.from, best.to = best.from+trim, best.to-trim
	if best.len() < quietFewest || sloped(force[best.from:best.to], jitter, span) {
		return stay{}
	}
	return best
}

// sloped reports whether the halves of a run differ by more than noise and a
// small share of the range.
func sloped(run []float64, jitter, span float64) bool {
	half := len(run) / 2
	return math.Abs(mean(run[:half])-mean(run[half:])) > max(3*jitter, quietSlope*span)
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// deviation is the sample standard deviation about a mean.
func deviation(x []float64, mean float64) float64 {
	if len(x) < 2 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(x)-1))
}
