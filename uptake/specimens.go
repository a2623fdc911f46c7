package uptake

import (
	"math"
	"slices"

	"fallwright.example/num/nlmm"
	"fallwright.example/problem"
)

// mixed is a fit of specimens weighed repeatedly. Its φ are ln W∞, ln T (or the
// logarithm of the time to a share) and the shapes in a form without bounds; for
// laws without saturation W₀, ln S and A.
type mixed struct {
	fit   *Fit
	times [][]float64
	y     [][]float64

	model    nlmm.Model
	reml, ml *nlmm.Fit
	scale    *[2]float64 // ends of ln T, once they are known
}

// fullFrom is how many specimens there have to be for a correlation of saturation
// and time between them to be estimated; our own.
const fullFrom = 5

func (f *Fit) mixed() error {
	m := &mixed{fit: f}
	for _, label := range f.Labels {
		var times, y []float64
		for _, p := range f.Points {
			if p.Specimen == label {
				times, y = append(times, p.Time), append(y, p.Uptake)
			}
		}
		m.times, m.y = append(m.times, times), append(m.y, y)
	}
	pooled := *f
	if err := pooled.single(); err != nil {
		return err
	}
	start := f.Law.toFree(pooled.P)
	var err error
	for _, kind := range m.kinds() {
		m.model = m.build(0)
		m.model.Random, m.model.Diagonal = kind.random, kind.diagonal
		if m.reml, err = nlmm.New(m.model, start, nlmm.REML); err != nil {
			continue
		}
		if m.ml, err = nlmm.New(m.model, m.reml.Beta, nlmm.ML); err == nil {
			break
		}
	}
	if err != nil {
		if f.Law.Saturates() && pooled.P[0] > openUptake*largest(f.Points) {
			return problem.New(problem.TooFew, f.Law.Name, "the rise does not bend enough to tell by this law where it ends").
				Hint("soak for longer, or ask for a law without an end: square-root")
		}
		return err
	}
	m.fill()
	return nil
}

type kind struct {
	random   []int
	diagonal bool
}

// kinds are what may differ between specimens, the most first.
func (m *mixed) kinds() []kind {
	if !m.fit.Law.Saturates() {
		return []kind{{[]int{1}, true}}
	}
	out := []kind{{[]int{0, 1}, true}, {[]int{0}, true}}
	if len(m.y) >= fullFrom {
		out = append([]kind{{[]int{0, 1}, false}}, out...)
	}
	return out
}

func (m *mixed) fill() {
	f := m.fit
	f.engine, f.P = m, f.Law.fromFree(m.reml.Beta)
	f.DF, f.Sigma = float64(len(m.y)-1), m.reml.Sigma
	for r, k := range m.model.Random {
		sd := math.Sqrt(m.reml.Omega[r][r])
		if k == 0 {
			f.BetweenSaturation = sd
		} else {
			f.BetweenTime = sd
		}
	}
	k := float64(len(f.P) + 1 + len(m.model.Random))
	if !m.model.Diagonal {
		k++
	}
	n := float64(m.ml.N)
	f.AICc = math.Inf(1)
	if n > k+1 {
		f.AICc = m.ml.Deviance + 2*k + 2*k*(k+1)/(n-k-1)
	}
	for _, phi := range m.reml.Phi {
		f.Own = append(f.Own, f.Law.fromFree(phi))
	}
	for _, p := range f.Points {
		own := f.Own[slices.Index(f.Labels, p.Specimen)]
		f.Residuals = append(f.Residuals, p.Uptake-f.Law.Value(p.Time, own))
	}
}

// build is the model; with a share the second parameter is the logarithm of the
// time to it.
func (m *mixed) build(share float64) nlmm.Model {
	law := m.fit.Law
	p := law.Parameters()
	g := make([]float64, p)
	return nlmm.Model{
		Y: m.y, Parameters: p, Random: m.model.Random, Diagonal: m.model.Diagonal,
		Value: func(group int, phi, f, all []float64) bool {
			own := law.withTime(share, law.fromFree(phi))
			if law.Check(own) != nil {
				return false
			}
			for j, t := range m.times[group] {
				f[j] = law.Value(t, own)
			}
			if all == nil {
				return true
			}
			var bend []float64 // d ln(T)/dφ of the shapes at a fixed time to the share
			if share > 0 {
				bend = law.bend(math.Exp(phi[1])/own[1], own)
			}
			for j, t := range m.times[group] {
				law.Gradient(t, own, g)
				law.chain(own, g)
				for k := range bend {
					g[2+k] += g[1] * bend[k]
				}
				copy(all[j*p:], g)
			}
			return true
		},
	}
}

// bend is d ln T/dφₖ for each shape where the time to a share, u·T, is fixed: there
// the law's rise f(u, s) is the share whatever the shapes s, so that
// du/ds = −(∂f/∂s)/(∂f/∂u), and ln T goes as −ln u.
func (l Law) bend(u float64, p []float64) []float64 {
	out := make([]float64, len(l.Shapes))
	_, slope := l.rise(u, p[2:], out)
	for k, s := range l.Shapes {
		out[k] *= (p[2+k] - s.Lower) * (s.Upper - p[2+k]) / (s.Upper - s.Lower) / (slope * u)
	}
	return out
}

// toFree and fromFree turn the law's parameters to numbers without bounds and
// back: logarithms, and for a shape ln((s − lower)/(upper − s)).
func (l Law) toFree(p []float64) []float64 {
	out := slices.Clone(p)
	if !l.Saturates() {
		out[1] = math.Log(max(p[1], 1e-12))
		return out
	}
	out[0], out[1] = math.Log(p[0]), math.Log(p[1])
	for k, s := range l.Shapes {
		room := 1e-3 * (s.Upper - s.Lower)
		v := min(max(p[2+k], s.Lower+room), s.Upper-room)
		out[2+k] = math.Log((v - s.Lower) / (s.Upper - v))
	}
	return out
}

func (l Law) fromFree(phi []float64) []float64 {
	out := slices.Clone(phi)
	if !l.Saturates() {
		out[1] = math.Exp(phi[1])
		return out
	}
	out[0], out[1] = math.Exp(phi[0]), math.Exp(phi[1])
	for k, s := range l.Shapes {
		out[2+k] = s.Lower + (s.Upper-s.Lower)/(1+math.Exp(-phi[2+k]))
	}
	return out
}

// chain turns a gradient by p into one by φ.
func (l Law) chain(p, g []float64) {
	if !l.Saturates() {
		g[1] *= p[1]
		return
	}
	g[0] *= p[0]
	g[1] *= p[1]
	for k, s := range l.Shapes {
		g[2+k] *= (p[2+k] - s.Lower) * (s.Upper - p[2+k]) / (s.Upper - s.Lower)
	}
}

func (m *mixed) seOf(gradient []float64) float64 {
	g := slices.Clone(gradient)
	m.fit.Law.chain(m.fit.P, g)
	return m.reml.SEOf(g)
}

func (m *mixed) saturation() (lower, upper float64) {
	most := largest(m.fit.Points)
	lower, upper = m.profile(0, m.ml, m.model, math.Log(1e-3*most), math.Log(openUptake*most))
	return math.Exp(lower), math.Exp(upper)
}

func (m *mixed) time(share float64) (lower, upper float64) {
	model, fit := m.model, m.ml
	low, high := math.Log(soonest*m.fit.First()), math.Log(openTime*m.fit.Last())
	shift := math.Log(m.fit.Law.TimeTo(share, m.fit.P) / m.fit.P[1])
	if len(m.fit.Law.Shapes) == 0 { // T in another unit
		if m.scale == nil {
			a, b := m.profile(1, fit, model, low-shift, high-shift)
			m.scale = &[2]float64{a, b}
		}
		return m.within(math.Exp(m.scale[0]+shift), math.Exp(m.scale[1]+shift))
	}
	model = m.build(share)
	start := slices.Clone(m.ml.Beta)
	start[1] = math.Log(m.fit.Law.TimeTo(share, m.fit.Law.fromFree(m.ml.Beta)))
	fit, err := nlmm.New(model, start, nlmm.ML)
	if err != nil {
		return math.NaN(), math.NaN()
	}
	lower, upper = m.profile(1, fit, model, low, high)
	return m.within(math.Exp(lower), math.Exp(upper))
}

// within leaves an end open that is none.
func (m *mixed) within(lower, upper float64) (float64, float64) {
	if lower <= soonest*m.fit.First() {
		lower = 0
	}
	if upper >= openTime*m.fit.Last() {
		upper = math.Inf(1)
	}
	return lower, upper
}
