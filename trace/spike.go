package trace

import (
	"math"
	"slices"
)

const (
	spikeNoise  = 12   // standard deviations of the noise that a spike stands out by
	spikeShare  = 0.03 // share of the peak, likewise
	spikeWithin = 40   // samples in a contact below which a single sample may be the event
)

// judgeSpikes finds single samples, or two together, that stand out from their
// neighbours while those agree. The largest sample being one makes an unfiltered
// peak unusable.
func (t *take) judgeSpikes() {
	best := t.r.Contacts[t.best]
	if best.To-best.From < spikeWithin {
		return
	}
	clear := max(spikeNoise*t.zero.noise, spikeShare*float64(t.r.PeakForce), 3*float64(t.r.Resolution)*t.edgeLift())
	if t.over.jump < clear {
		return // no sample stands out from its neighbour by as much
	}
	found, first, top := 0, 0, false
	peakAt := t.sampleAt(best.PeakAt)
	raw := t.raw
	before := math.Abs(raw[3] - raw[2])
	for i := 3; i+3 < len(raw); i++ {
		after := math.Abs(raw[i] - raw[i+1])
		quiet := before < clear && after < clear
		if before = after; quiet {
			continue
		}
		around := []float64{t.raw[i-3], t.raw[i-2], t.raw[i+2], t.raw[i+3]}
		if math.Abs(t.raw[i]-t.raw[i-1]) >= clear {
			around[1] = t.raw[i-1]
		}
		if math.Abs(t.raw[i]-t.raw[i+1]) >= clear {
			around[2] = t.raw[i+1]
		}
		low, high := slices.Min(around), slices.Max(around)
		over := max(t.raw[i]-high, low-t.raw[i])
		if over < clear || over < 3*(high-low) {
			continue
		}
		if found == 0 {
			first = i
		}
		found++
		top = top || i >= peakAt-1 && i <= peakAt+1
	}
	switch {
	case found == 0:
	case top:
		t.lost = true
		t.note(Missing, "the largest sample, at %.5g s, stands out from its neighbours as a spike: the peak is not the rope's", best.PeakAt)
	default:
		t.note(Doubtful, "%d samples stand out from their neighbours as spikes, the first at %.5g s", found, t.rec.Time[first])
	}
}
