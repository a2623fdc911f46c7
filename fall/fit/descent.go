package fit

import (
	"cmp"
	"math"
	"slices"

	"fallwright.example/num/lsq"
)

// best follows each start roughly through the first contact, and the nearest of
// them through all that is looked at. The others are followed as well where that
// one leaves more than noise, unless the first contact shows already that the law
// fails.
func (f *fitting) best() *lsq.Fit {
	var firsts []*lsq.Fit
	for _, start := range f.starts() {
		f.axes = nil // what one start has learnt misleads the next
		if found, err := f.solve(start, f.record.end, barely); err == nil && !slices.ContainsFunc(firsts, same(found)) {
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
		again := best != nil && alike(found, best)
		if best == nil || found.S < best.S {
			best = found
		}
		if again || f.white(best) || firsts[0].SD > hopeless*f.record.noise {
			break
		}
	}
	if best == nil {
		return nil
	}
	if near, err := f.solve(best.P, f.record.used(), closely); err == nil {
		return near
	}
	return best
}

// same reports whether two descents have ended in one place.
func same(one *lsq.Fit) func(*lsq.Fit) bool {
	return func(other *lsq.Fit) bool {
		for k, v := range one.P {
			if math.Abs(v-other.P[k]) > 0.02*max(1, math.Abs(v)) {
				return false
			}
		}
		return true
	}
}

// whole goes on from the first contact to all that is looked at, by way of a part
// of the bounces: when the guide at last holds the mass is a matter of whole turns,
// so that over all of it there are several minima, and the early bounces lead to
// the right one. What leaves more than noise is tried from other frictions.
func (f *fitting) whole(p []float64) *lsq.Fit {
	end, used, k := f.record.end, f.record.used(), len(f.form.terms)+friction
	f.axes = nil
	if used > end {
		part := end + (used-end)/3
		if found, err := f.solve(f.inside(f.scanned(p, part)), part, roughly); err == nil {
			p = found.P
		}
	}
	best, err := f.solve(f.inside(p), used, roughly)
	if err != nil || used == end {
		return best
	}
	again := 0 // descents that led back to where the best one has
	for _, by := range []float64{1.5, 0.6, 2.5} {
		if again > 1 || f.white(best) || best.SD > short*f.record.noise {
			break
		}
		start := append([]float64(nil), best.P...)
		start[k] *= by
		found, err := f.solve(f.inside(start), used, roughly)
		if err != nil {
			continue
		}
		if alike(found, best) {
			again++
		}
		if found.S < best.S {
			best = found
		}
	}
	return best
}

// alike reports whether two descents have reached the same squares.
func alike(a, b *lsq.Fit) bool { return math.Abs(a.S-b.S) < 1e-3*b.S }

// white reports whether a fit leaves no more than the noise of the baseline.
func (f *fitting) white(found *lsq.Fit) bool {
	return found.SD < plenty*f.record.noise && together(found.Residuals()) < plenty
}

// scanned is p with the guide's friction that leaves least over the first n
// blocks, of p's own and of a thousandth to a tenth of the weight.
func (f *fitting) scanned(p []float64, n int) []float64 {
	k := len(f.form.terms) + friction
	weight := f.record.setting.Mass * f.record.setting.Gravity
	f.look(n, roughly)
	best, at := append([]float64(nil), p...), append([]float64(nil), p...)
	least := f.misfit(p, n)
	for step := range 20 {
		at[k] = weight * 1e-3 * math.Pow(100, float64(step)/19)
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

// inside is p with parameters moved away from the ends of their ranges, where
// a descent would begin with no room.
func (f *fitting) inside(p []float64) []float64 {
	out := append([]float64(nil), p...)
	weight := f.record.setting.Mass * f.record.setting.Gravity
	k := len(f.form.terms) + friction
	out[k] = min(max(p[k], 1e-3*weight), 0.3*weight)
	for i, t := range f.form.terms {
		out[i] = min(max(p[i], math.Log(3*t.lower)), math.Log(t.most/3))
	}
	return out
}
