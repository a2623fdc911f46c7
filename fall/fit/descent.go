package fit

import (
	"cmp"
	"math"
	"slices"

	"fallwright.example/num/lsq"
)

// best follows each start through the first contact, where it leaves the guide's
// friction alone, and the nearest of them through all that is looked at. The
// others are followed as well where that one leaves more than noise, unless the
// first contact shows already that the law fails.
func (f *fitting) best() *lsq.Fit {
	var firsts []*lsq.Fit
	for _, start := range f.starts() {
		if found, err := f.solve(start, f.record.end, len(f.form.terms)+friction); err == nil {
			firsts = append(firsts, found)
		}
	}
	slices.SortStableFunc(firsts, func(a, b *lsq.Fit) int { return cmp.Compare(a.S, b.S) })
	var best *lsq.Fit
	for _, first := range firsts {
		found := f.whole(first.P)
		if found == nil {
			continue
		}
		if best == nil || found.S < best.S {
			best = found
		}
		if f.white(best) || firsts[0].SD > hopeless*f.record.noise {
			break
		}
	}
	return best
}

// whole goes on from the first contact to all that is looked at, by way of a part
// of the bounces: when the guide at last holds the mass is a matter of whole turns,
// so that over all of it there are several minima, and the early bounces lead to
// the right one. What leaves more than noise is tried from other frictions.
func (f *fitting) whole(p []float64) *lsq.Fit {
	end, used, k := f.record.end, f.record.used(), len(f.form.terms)+friction
	if used > end {
		if found, err := f.solve(f.inside(f.scanned(p, end+(used-end)/3)), end+(used-end)/3, -1); err == nil {
			p = found.P
		}
	}
	best, err := f.solve(f.inside(p), used, -1)
	if err != nil || used == end {
		return best
	}
	for _, by := range []float64{1.5, 0.6, 2.5} {
		if f.white(best) || best.SD > hopeless*f.record.noise {
			break
		}
		start := append([]float64(nil), best.P...)
		start[k] += math.Log(by)
		if found, err := f.solve(f.inside(start), used, -1); err == nil && found.S < best.S {
			best = found
		}
	}
	return best
}

// white reports whether a fit leaves no more than the noise of the baseline.
func (f *fitting) white(found *lsq.Fit) bool {
	return found.SD < plenty*f.record.noise && together(found.Residuals()) < plenty
}

// scanned is p with the guide's friction that leaves least over the first n
// blocks, of p's own and of a thousandth to a tenth of the weight.
func (f *fitting) scanned(p []float64, n int) []float64 {
	k := len(f.form.terms) + friction
	weight := math.Log(f.record.setting.Mass * f.record.setting.Gravity)
	best, at := append([]float64(nil), p...), append([]float64(nil), p...)
	least := f.misfit(p, n)
	for step := range 20 {
		at[k] = weight + math.Log(1e-3) + float64(step)/19*math.Log(100)
		if sum := f.misfit(at, n); sum < least {
			least, best[k] = sum, at[k]
		}
	}
	return best
}

// misfit is the sum of squares over the first n blocks.
func (f *fitting) misfit(p []float64, n int) float64 {
	out := make([]float64, n)
	f.model(p, out)
	sum := 0.0
	for i, v := range out {
		sum += (f.record.force[i] - v) * (f.record.force[i] - v)
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// inside is p with the law's parameters moved away from the ends of their ranges,
// where a descent would begin with no room.
func (f *fitting) inside(p []float64) []float64 {
	out := append([]float64(nil), p...)
	for i, t := range f.form.terms {
		out[i] = min(max(p[i], math.Log(3*t.lower)), math.Log(t.most/3))
	}
	return out
}

// solve minimises over the first n blocks. There are no bounds, at which a step
// would stop short: beyond its range a law has no value, and steps get shorter.
func (f *fitting) solve(start []float64, n, held int) (*lsq.Fit, error) {
	f.n, f.held = n, held
	f.least, f.small, f.enough, f.tries, f.slopesAt = math.Inf(1), 0, false, 0, nil
	f.plus, f.minus = make([]float64, n), make([]float64, n)
	return lsq.Solve(lsq.Problem{
		Residuals: f.residuals, Jacobian: f.jacobian, Observations: n, MostEvaluations: 4 * patience,
	}, start)
}
