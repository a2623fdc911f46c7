package compare

import (
	"encoding/json"
	"math"
	"slices"
)

// Unknown is a number of specimens beyond what is named; null in JSON.
const Unknown = -1

// Settle is how many specimens in each condition would settle a question with
// 80 % and 90 % power, from the variances fitted: were the true difference the
// one seen, and were there none. To settle is to reach the finding that this
// truth calls for. Unknown: more than 1000. The zero value: nothing can be said.
//
// It is a guess about a study of that size done anew, every condition of it,
// each specimen with all falls of the question. Variances from few specimens
// are poorly known, and so is this.
type Settle struct{ Seen80, Seen90, None80, None90 int }

type settleJSON struct {
	Seen80 *int `json:"seen_80"`
	Seen90 *int `json:"seen_90"`
	None80 *int `json:"none_80"`
	None90 *int `json:"none_90"`
}

// MarshalJSON writes null for a number that is not known.
func (s Settle) MarshalJSON() ([]byte, error) {
	known := func(n int) *int {
		if n < 0 {
			return nil
		}
		return &n
	}
	return json.Marshal(settleJSON{known(s.Seen80), known(s.Seen90), known(s.None80), known(s.None90)})
}

// UnmarshalJSON reads null, or no entry, as a number that is not known.
func (s *Settle) UnmarshalJSON(b []byte) error {
	var in settleJSON
	if err := json.Unmarshal(b, &in); err != nil {
		return err
	}
	known := func(n *int) int {
		if n == nil {
			return Unknown
		}
		return *n
	}
	*s = Settle{known(in.Seen80), known(in.Seen90), known(in.None80), known(in.None90)}
	return nil
}

// settle answers for one difference, with the chances of error that its tests
// were allowed.
func (a *Analysis) settle(q Question, d Difference) Settle {
	p, ok := a.prospect(q, d)
	if !ok {
		return Settle{}
	}
	p.different, p.equivalent = d.allowed()
	return Settle{
		p.smallest(d.Amount, 0.8), p.smallest(d.Amount, 0.9),
		p.smallest(0, 0.8), p.smallest(0, 0.9),
	}
}

// prospect takes the variances of the fit to other numbers of specimens.
//
// The variance of one specimen's value, averaged over the falls, is that of
// its own level (and trend) and of the residual; the two sides add up. Blocks
// add what the plain difference of means takes from them in the rows seen, in
// proportion: more specimens are from more ropes and days of the same pattern.
// Degrees of freedom grow as those of the specimens within their conditions,
// from those seen. Covariates are taken to be spread alike. Where the falls are complete and the numbers equal, this is
// the standard error and the degrees of freedom of the fit.
func (a *Analysis) prospect(q Question, d Difference) (prospect, bool) {
	p := prospect{lower: -q.Amount, upper: q.Amount}
	if q.Share > 0 {
		p.lower, p.upper = a.shareBounds(q, d)
	}
	t := a.table
	falls := d.over()
	if len(falls) == 0 {
		falls = []Fall{""}
	}
	spare := a.spare(d)
	if !(d.SE > 0) || !(d.DF > 0) || spare <= 0 || !(p.upper > 0) {
		return p, false
	}
	if !a.model.specimen && len(falls) > 1 {
		return p, false // rows at several falls: no number of specimens
	}
	p.perDF = d.DF / spare
	seen, base := t.bring(d.Condition, falls, nil), t.bring(d.Baseline, falls, nil)
	if q.Trend && !t.shared(seen, base) { // the variance of the fit, brought to one specimen
		p.variance = d.SE * d.SE * alikeNumber(d.N, d.NBaseline)
		return p, true
	}
	if t.shared(seen, base) { // specimens that were in both, as pairs are
		n := alikeNumber(d.N, d.NBaseline)
		p.variance, p.perDF = d.SE*d.SE*n, d.DF/(n-1)
		return p, n > 1
	}
	baseFalls := falls
	if len(q.BaselineFalls) > 0 {
		baseFalls = tidied(q.BaselineFalls)
	}
	p.variance = a.ofSpecimen(d.Condition, falls) + a.ofSpecimen(d.Baseline, baseFalls) + a.ofBlocks(seen, base)
	return p, p.variance > 0
}

// shareBounds is the margin of a share on the model's scale.
func (a *Analysis) shareBounds(q Question, d Difference) (lower, upper float64) {
	if a.Ask.Scale == Log {
		return math.Log1p(-q.Share), math.Log1p(q.Share)
	}
	mean := math.Abs(100 * d.Amount / d.Percent) // of the baseline
	return -q.Share * mean, q.Share * mean
}

// spare is by how much the degrees of freedom exceed those of one more specimen
// in each condition. Without a term for specimens rows stand for them, in each
// condition at each fall.
func (a *Analysis) spare(d Difference) float64 {
	t := a.table
	groups, units := max(1, len(t.condition.levels)), len(t.specimen.levels)
	if !a.model.specimen {
		groups, units = groups*len(t.falls()), t.n
	}
	if a.Ask.SpreadByCondition {
		return float64(d.N+d.NBaseline-2) / 2
	}
	return float64(units)/float64(groups) - 1
}

// alikeNumber is the number in each of two groups at which their means differ
// with the variance that unequal numbers give: the harmonic mean.
func alikeNumber(m, n int) float64 { return 2 / (1/float64(m) + 1/float64(n)) }

// shared reports whether a specimen was in both conditions.
func (t *table) shared(a, b brought) bool {
	return slices.ContainsFunc(a.specimen, func(s string) bool { return slices.Contains(b.specimen, s) })
}

// ofSpecimen is the variance of one specimen's value over the falls.
func (a *Analysis) ofSpecimen(condition string, falls []Fall) float64 {
	t := a.table
	residual := a.ResidualSD
	for _, s := range a.Spreads {
		if s.Condition == condition {
			residual = s.SD
		}
	}
	weight := 1 / float64(len(falls)) // of the residual's variance
	x := meanNumber(falls)
	if len(t.x) > 0 {
		weight = leverage(t.falls(), x)
	}
	v := residual * residual * weight / t.repeats(condition)
	return v + a.ofLevel(x)
}

// ofLevel is the variance of a specimen's own level at fall x.
func (a *Analysis) ofLevel(x float64) float64 {
	level, trend, correlation := 0.0, 0.0, 0.0
	for _, r := range a.Random {
		if r.Group == specimenTerm && r.Term == "fall" {
			trend = r.SD
		} else if r.Group == specimenTerm {
			level = r.SD
		}
	}
	if trend == 0 {
		return level * level
	}
	for _, c := range a.Correlations {
		if c.Group == specimenTerm && !math.IsNaN(c.Correlation) {
			correlation = c.Correlation
		}
	}
	return level*level + 2*correlation*level*trend*x + trend*trend*x*x
}

// leverage is the variance of a line's height at x over that of its points,
// 1/k + (x − x̄)²/Σ(xᵢ − x̄)².
func leverage(falls []Fall, x float64) float64 {
	mean, squares := meanNumber(falls), 0.0
	for _, f := range falls {
		at, _ := f.Number()
		squares += (at - mean) * (at - mean)
	}
	return 1/float64(len(falls)) + (x-mean)*(x-mean)/squares
}

func meanNumber(falls []Fall) float64 {
	mean := 0.0
	for _, f := range falls {
		x, _ := f.Number()
		mean += x / float64(len(falls))
	}
	return mean
}

// repeats is the mean number of rows of one specimen at one fall.
func (t *table) repeats(condition string) float64 {
	rows, cells := 0, map[string]bool{}
	for i := range t.n {
		if t.conditionAt(i) == condition {
			rows++
			cells[t.specimenAt(i)+"\x1f"+string(t.fallAt(i))] = true
		}
	}
	return float64(rows) / float64(len(cells))
}

// ofBlocks is what blocks add to the variance of the plain difference of means,
// for one specimen a condition.
func (a *Analysis) ofBlocks(seen, base brought) float64 {
	sum := 0.0
	for k, name := range a.Ask.Blocks {
		at := slices.IndexFunc(a.Random, func(r Random) bool { return r.Group == name })
		if at < 0 {
			continue
		}
		weight := make([]float64, len(a.table.blocks[k].levels))
		for _, side := range []struct {
			brought
			sign float64
		}{{seen, 1}, {base, -1}} {
			for _, rows := range side.rows {
				for _, i := range rows {
					weight[a.table.blocks[k].code[i]] += side.sign / float64(len(side.rows)*len(rows))
				}
			}
		}
		for _, w := range weight {
			sum += a.Random[at].SD * a.Random[at].SD * w * w
		}
	}
	return sum * alikeNumber(len(seen.value), len(base.value))
}
