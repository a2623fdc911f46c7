package fit

import (
	"math"
	"slices"
)

// Phase is what is left between trace and law over a part of the fall.
type Phase struct {
	Name string  // loading, top, unloading, bounces
	Mean float64 // N, measured less predicted
	RMS  float64 // N
	N    int     // blocks
}

// phases parts the residuals by where in the fall they stand: the top is
// where the law pulls nine tenths of its peak.
func phases(f *Fit, start float64) []Phase {
	out := []Phase{{Name: "loading"}, {Name: "top"}, {Name: "unloading"}, {Name: "bounces"}}
	zero := f.Parameters[len(f.Form.terms)+zero].Value
	top, where := slices.Max(f.Predicted)-zero, 0
	for i, p := range f.Predicted {
		if float64(i) < start*f.Rate {
			continue
		}
		force := p - zero
		switch {
		case where < 2 && i <= f.from.end && force > 0.9*top:
			where = 1
		case where == 1 && force <= 0.9*top:
			where = 2
		case where == 2 && i > f.from.end:
			where = 3
		}
		r := f.Measured[i] - p
		ph := &out[where]
		ph.Mean, ph.RMS, ph.N = ph.Mean+r, ph.RMS+r*r, ph.N+1
	}
	for i := range out {
		if n := float64(out[i].N); n > 0 {
			out[i].Mean /= n
			out[i].RMS = math.Sqrt(out[i].RMS / n)
		}
	}
	return out
}

// together is τ = 1 + 2·Σρₖ of the residuals, summed as far as 5·τ, no less
// than 1: how many in a row say the same. Source: the automatic window of
// [Sokal1997], from memory.
func together(r []float64) float64 {
	n, mean := len(r), 0.0
	for _, v := range r {
		mean += v / float64(n)
	}
	at := func(k int) float64 {
		sum := 0.0
		for i := k; i < n; i++ {
			sum += (r[i] - mean) * (r[i-k] - mean)
		}
		return sum
	}
	all := at(0)
	if !(all > 0) {
		return 1
	}
	tau := 1.0
	for k := 1; k < n/4 && float64(k) < 5*tau; k++ {
		tau += 2 * at(k) / all
	}
	return max(tau, 1)
}

// aicc is Akaike's criterion with the correction for few, n of them counting as
// the effective number: m·ln(S/n) + 2k + 2k(k+1)/(m−k−1), k with the spread.
func aicc(sum float64, n int, effective float64, parameters int) float64 {
	k := float64(parameters + 1)
	if effective <= k+1 {
		return math.Inf(1)
	}
	return effective*math.Log(sum/float64(n)) + 2*k + 2*k*(k+1)/(effective-k-1)
}
