package nlmm

import (
	"math"
	"slices"
	"sort"
)

// descend finds a minimum of a function of few variables by the simplex of
// [NelderMead1965], begun anew, smaller, until a round gains nothing.
func descend(f func([]float64) float64, start []float64, size float64) []float64 {
	best, least := slices.Clone(start), f(start)
	for ; size > 1e-4; size /= 8 {
		at, low := simplex(f, best, size)
		gain := least - low
		if gain > 0 {
			best, least = at, low
		}
		if gain < 1e-10*(1+math.Abs(least)) && size < 0.1 {
			break
		}
	}
	return best
}

type corner struct {
	at  []float64
	low float64
}

func simplex(f func([]float64) float64, start []float64, size float64) ([]float64, float64) {
	n := len(start)
	all := []corner{{slices.Clone(start), f(start)}}
	for k := range n {
		p := slices.Clone(start)
		p[k] += size
		all = append(all, corner{p, f(p)})
	}
	middle := make([]float64, n)
	try := func(share float64) corner {
		p := make([]float64, n)
		for k := range n {
			p[k] = middle[k] + share*(all[n].at[k]-middle[k])
		}
		return corner{p, f(p)}
	}
	for range 100 * n {
		sort.SliceStable(all, func(i, j int) bool { return all[i].low < all[j].low })
		if spread := all[n].low - all[0].low; spread < 1e-11*(1+math.Abs(all[0].low)) {
			break
		}
		clear(middle)
		for _, c := range all[:n] {
			for k := range n {
				middle[k] += c.at[k] / float64(n)
			}
		}
		r := try(-1)
		switch {
		case r.low < all[0].low:
			if e := try(-2); e.low < r.low {
				r = e
			}
			all[n] = r
		case r.low < all[n-1].low:
			all[n] = r
		default:
			share := 0.5
			if r.low < all[n].low {
				share = -0.5
			}
			if c := try(share); c.low < min(r.low, all[n].low) {
				all[n] = c
				continue
			}
			for i := 1; i <= n; i++ {
				for k := range n {
					all[i].at[k] = (all[i].at[k] + all[0].at[k]) / 2
				}
				all[i].low = f(all[i].at)
			}
		}
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].low < all[j].low })
	return all[0].at, all[0].low
}
