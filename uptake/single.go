package uptake

import (
	"math"
	"slices"
	"sort"

	"fallwright.example/num/dist"
	"fallwright.example/num/lsq"
)

// single is a least squares fit.
type single struct {
	fit    *Fit
	ls     *lsq.Fit
	weight []float64
}

// farthest is how far a search goes; W∞ and T run off together when a curve is a
// straight line so far.
const farthest = 1000.0

func (f *Fit) single() error {
	s := &single{fit: f, weight: make([]float64, len(f.Points))}
	for i, p := range f.Points {
		s.weight[i] = 1
		if f.Weighted {
			s.weight[i] = 1 / p.U
		}
	}
	var best *lsq.Fit
	var refused error
	for _, start := range s.starts() {
		got, err := lsq.Solve(s.problem(0, farthest), start)
		if err != nil {
			refused = err
		} else if best == nil || got.S < best.S {
			best = got
		}
	}
	if best == nil {
		return refused
	}
	s.ls = best
	f.engine, f.P, f.DF, f.Sigma, f.AICc = s, best.P, float64(best.DF), best.SD, best.AICc()
	for i, r := range best.Residuals() {
		f.Residuals = append(f.Residuals, r/s.weight[i])
	}
	return nil
}

// problem is the least squares problem; with a share the second parameter is the
// time to it, in the place of T.
func (s *single) problem(share, wide float64) lsq.Problem {
	law, points := s.fit.Law, s.fit.Points
	own := func(p []float64) []float64 { return law.withTime(share, p) }
	pr := lsq.Problem{Observations: len(points), Residuals: func(p, r []float64) {
		p = own(p)
		for i, x := range points {
			r[i] = s.weight[i] * (x.Uptake - law.Value(x.Time, p))
		}
	}}
	if share == 0 {
		n := law.Parameters()
		pr.Jacobian = func(p, j []float64) {
			for i, x := range points {
				law.Gradient(x.Time, p, j[i*n:(i+1)*n])
				for k := range n {
					j[i*n+k] *= -s.weight[i]
				}
			}
		}
	}
	if law.Saturates() {
		most, first, last := largest(points), firstOf(points), lastOf(points)
		pr.Lower, pr.Upper = []float64{1e-9 * most, first * soonest * soonest}, []float64{wide * most, farthest * farthest * last}
		for _, shape := range law.Shapes {
			pr.Lower, pr.Upper = append(pr.Lower, shape.Lower), append(pr.Upper, shape.Upper)
		}
	}
	return pr
}

// withTime gives the law's own parameters where the second is the time to a share.
func (l Law) withTime(share float64, p []float64) []float64 {
	if share == 0 || !l.Saturates() {
		return p
	}
	out := slices.Clone(p)
	out[1] /= l.reach(share, p[2:])
	return out
}

// starts are the best few of a coarse search over T and the shapes, W∞ being had
// by linear least squares: no start has to be given.
func (s *single) starts() [][]float64 {
	law, points := s.fit.Law, s.fit.Points
	last := lastOf(points)
	if !law.Saturates() {
		p := make([]float64, law.Parameters())
		p[0], p[1] = 1e-3*largest(points), largest(points)/math.Sqrt(last)
		if law.roots > 1 {
			p[2] = 1e-3 * largest(points) / last
		}
		return [][]float64{p}
	}
	type start struct {
		p   []float64
		rss float64
	}
	var all []start
	low, high := math.Log(firstOf(points)/20), math.Log(50*last)
	for _, shapes := range grid(law.Shapes) {
		best := start{rss: math.Inf(1)}
		for i := range 40 {
			p := append([]float64{1, math.Exp(low + (high-low)*float64(i)/39)}, shapes...)
			var wf, ff, rss float64
			for k, x := range points {
				v, w := law.Value(x.Time, p), s.weight[k]*s.weight[k]
				wf, ff = wf+w*v*x.Uptake, ff+w*v*v
			}
			if p[0] = wf / ff; !(p[0] > 0) {
				continue
			}
			for k, x := range points {
				r := s.weight[k] * (x.Uptake - law.Value(x.Time, p))
				rss += r * r
			}
			if rss < best.rss {
				best = start{p, rss}
			}
		}
		if best.p != nil {
			all = append(all, best)
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].rss < all[j].rss })
	var out [][]float64
	most := largest(points)
	for _, a := range all[:min(3, len(all))] {
		a.p[0] = min(a.p[0], 0.5*farthest*most)
		out = append(out, a.p)
	}
	return out
}

// grid is every combination of the shapes' starts.
func grid(shapes []Shape) [][]float64 {
	out := [][]float64{nil}
	for _, s := range shapes {
		var next [][]float64
		for _, have := range out {
			for _, v := range s.starts {
				next = append(next, append(slices.Clone(have), v))
			}
		}
		out = next
	}
	return out
}

func (s *single) seOf(gradient []float64) float64 { return s.ls.SEOf(gradient) }

func (s *single) saturation() (lower, upper float64) {
	most := largest(s.fit.Points)
	return s.profile(0, 0, 1e-3*most, openUptake*most)
}

func (s *single) time(share float64) (lower, upper float64) {
	return s.profile(share, 1, soonest*firstOf(s.fit.Points), openTime*lastOf(s.fit.Points))
}

// profile is the profile interval of parameter k, the second being the time to a
// share where there is one; 0 and +Inf where it does not end between two places,
// NaN where there is nothing to judge by.
func (s *single) profile(share float64, k int, low, high float64) (lower, upper float64) {
	start := slices.Clone(s.ls.P)
	if k == 1 {
		start[1] = s.fit.Law.TimeTo(share, start)
	}
	t := tQuantile(s.fit.DF)
	limit := s.ls.S * t * t / s.fit.DF
	if !(limit > 0) {
		return math.NaN(), math.NaN()
	}
	g := make([]float64, len(start))
	g[0] = 1
	if k == 1 {
		g = s.fit.timeGradient(share)
	}
	step := t * s.ls.SEOf(g) / start[k]
	if !(step > 1e-6 && step < 1) {
		step = 0.5
	}
	end := func(farthest, step float64) float64 {
		last := without(start, k)
		return math.Exp(walk{math.Log(start[k]), limit, func(at float64) float64 {
			return s.least(share, k, math.Exp(at), last, without(start, k)) - s.ls.S
		}}.end(math.Log(farthest), step))
	}
	return end(low, -step), end(high, step)
}

// least is the least S with parameter k held at a value, from where the others
// were last and from the estimate: where a curve has become flat, the way back
// begins nowhere. It leaves in last where it was found.
func (s *single) least(share float64, k int, at float64, last, estimate []float64) float64 {
	pr := s.problem(share, farthest)
	whole := make([]float64, len(s.ls.P))
	held := lsq.Problem{Observations: pr.Observations, Residuals: func(p, r []float64) {
		copy(whole, p[:k])
		whole[k] = at
		copy(whole[k+1:], p[k:])
		pr.Residuals(whole, r)
	}, Lower: without(pr.Lower, k), Upper: without(pr.Upper, k)}
	least := math.Inf(1)
	var best []float64
	for _, start := range [][]float64{last, estimate} {
		if f, err := lsq.Solve(held, start); err == nil && f.S < least {
			least, best = f.S, f.P
		}
	}
	copy(last, best)
	return least
}

func without(p []float64, k int) []float64 { return slices.Delete(slices.Clone(p), k, k+1) }

func tQuantile(df float64) float64 {
	if !(df > 0) {
		return math.NaN()
	}
	return dist.T((1-Level)/2, df)
}

// slope is a derivative by central differences.
func slope(f func(float64) float64, at float64) float64 {
	h := 1e-5 * math.Max(math.Abs(at), 1e-8)
	return (f(at+h) - f(at-h)) / (2 * h)
}
