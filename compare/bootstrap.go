package compare

import (
	"math"
	"slices"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// Bootstrap is what a parametric bootstrap of the comparisons gave: values drawn
// anew from the fitted model, fitted anew, every comparison taken again. It is a
// look at how far the intervals lean on the approximations behind them, beside
// the findings and never in their place; nothing is adjusted.
type Bootstrap struct {
	Draws   int            `json:"draws"`
	Seed    uint64         `json:"seed"`
	Refused int            `json:"refused"` // draws that could not be fitted
	Zero    int            `json:"at_zero"` // draws with a variance at zero or a correlation at one
	Against []Bootstrapped `json:"against_baseline"`
	Overall []Bootstrapped `json:"overall_against_baseline"`
	Slopes  []Bootstrapped `json:"trends_against_baseline"`
}

// Bootstrapped is one comparison with three 95 % intervals, on the model's
// scale: between the quantiles of the draws (percentile), these mirrored about
// the estimate (basic), and by the quantiles of each draw's own t (studentised),
// which is the one that allows for few specimens [DavisonHinkley1997].
type Bootstrapped struct {
	Condition   string     `json:"condition"`
	Baseline    string     `json:"baseline"`
	Fall        Fall       `json:"fall"`
	Difference  float64    `json:"difference"`
	Percentile  [2]float64 `json:"percentile"`
	Basic       [2]float64 `json:"basic"`
	Studentised [2]float64 `json:"studentised"`
}

// fewestDraws leaves some draws beyond each limit.
const fewestDraws = 200

// Bootstrap draws from the fitted model. Draw i depends on the seed and i alone,
// so any number of workers gives the same. It refuses fewer than 200 draws, a
// model without an interval, and one of which more than one draw in ten could
// not be fitted.
func (a *Analysis) Bootstrap(draws int, seed uint64, workers int) (*Bootstrap, error) {
	f := a.model.fit
	switch {
	case draws < fewestDraws:
		return nil, problem.New(problem.Invalid, "bootstrap", "%d draws, and limits of 95 %% need %d at the least", draws, fewestDraws)
	case f == nil:
		return nil, problem.New(problem.TooFew, "bootstrap", "there is no spread to draw from: %s", a.model.why)
	}
	tables, err := a.comparisons()
	if err != nil {
		return nil, err
	}
	var rows [][]float64
	for _, c := range slices.Concat(tables...) {
		rows = append(rows, a.kept(lmm.Difference(c.seen, c.other)))
	}
	drawn, err := f.Bootstrap(draws, seed, workers, func(g *lmm.Fit) []float64 { return drawnOf(g, rows) })
	if err != nil {
		return nil, problem.New(problem.TooFew, "bootstrap", "%v", err)
	}
	out := &Bootstrap{Draws: draws, Seed: seed, Refused: drawn.Refused, Zero: drawn.Zero}
	was, at := drawnOf(f, rows), 0
	for k, to := range []*[]Bootstrapped{&out.Against, &out.Overall, &out.Slopes} {
		*to = []Bootstrapped{}
		for _, c := range tables[k] {
			b := Bootstrapped{Condition: c.condition, Baseline: c.base, Fall: c.fall}
			b.intervals(was[2*at], was[2*at+1], drawn.Values, 2*at)
			*to = append(*to, b)
			at++
		}
	}
	return out, nil
}

// comparisons are the tables against the baseline: at falls, over them, of
// slopes; of what can be estimated.
func (a *Analysis) comparisons() ([][]contrast, error) {
	tables := make([][]contrast, 3)
	if !a.model.condition {
		return tables, nil
	}
	for k, table := range [][]Difference{a.Against, a.Overall, a.TrendsAgainst} {
		for _, d := range table {
			if math.IsNaN(d.SE) {
				continue
			}
			c, err := a.again(d, k == 2)
			if err != nil {
				return nil, err
			}
			tables[k] = append(tables[k], c)
		}
	}
	return tables, nil
}

// again is the comparison that a difference came from.
func (a *Analysis) again(d Difference, slope bool) (contrast, error) {
	falls := d.Falls
	if d.Fall != "" {
		falls = []Fall{d.Fall}
	}
	c, err := a.contrast(d.Condition, d.Baseline, falls)
	if err != nil || !slope {
		return c, err
	}
	if c.seen, err = a.model.design.Slope("fall", map[string]string{"condition": d.Condition}); err != nil {
		return c, err
	}
	c.other, err = a.model.design.Slope("fall", map[string]string{"condition": d.Baseline})
	return c, err
}

// kept are the entries of a contrast for the columns that the fit kept: where
// others make a column up its effect is taken as zero, which changes nothing
// that can be estimated.
func (a *Analysis) kept(l []float64) []float64 {
	out := make([]float64, len(a.model.fit.Columns))
	for i, name := range a.model.fit.Columns {
		out[i] = l[slices.Index(a.model.given.Names, name)]
	}
	return out
}

// drawnOf takes each contrast and its standard error from a fit.
func drawnOf(g *lmm.Fit, rows [][]float64) []float64 {
	phi := g.Covariance()
	out := make([]float64, 0, 2*len(rows))
	for _, l := range rows {
		x, v := 0.0, 0.0
		for i, li := range l {
			if li == 0 {
				continue
			}
			x += li * g.Beta[i]
			for j, lj := range l {
				if lj != 0 {
					v += li * lj * phi.At(i, j)
				}
			}
		}
		out = append(out, x, math.Sqrt(v))
	}
	return out
}

// intervals fills the three intervals of a comparison whose draws stand at
// column k, their standard errors beside them.
func (b *Bootstrapped) intervals(estimate, se float64, drawn [][]float64, k int) {
	var x, t []float64
	for _, d := range drawn {
		if d == nil {
			continue
		}
		x = append(x, d[k])
		if d[k+1] > 0 {
			t = append(t, (d[k]-estimate)/d[k+1])
		}
	}
	slices.Sort(x)
	slices.Sort(t)
	b.Difference = estimate
	low, high := quantile(x, 0.025), quantile(x, 0.975)
	b.Percentile, b.Basic = [2]float64{low, high}, [2]float64{2*estimate - high, 2*estimate - low}
	b.Studentised = [2]float64{estimate - se*quantile(t, 0.975), estimate - se*quantile(t, 0.025)}
}

// quantile of sorted values: the order statistic at q·(n + 1), between two of
// them in proportion.
func quantile(sorted []float64, q float64) float64 {
	at := q*float64(len(sorted)+1) - 1
	i := int(math.Floor(at))
	switch {
	case len(sorted) == 0:
		return math.NaN()
	case i < 0:
		return sorted[0]
	case i >= len(sorted)-1:
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
