package compare

import (
	"math"
	"slices"

	"fallwright.example/num/lmm"
)

// Balanced is a layout that falls apart into strata (lmm.Strata): a study is then
// the means of the conditions that the questions are about, called sides, and
// one sum of squares a stratum, all that its verdicts depend on. It does not
// change.
type Balanced struct {
	Degrees []float64   // by stratum, of its sum of squares
	Load    [][]float64 // by stratum: how often the variance of each term is in ξ, then the residual's
	Terms   []string    // of Load: "specimen" or a block; the residual has no name
	Sides   int
	Parts   [][]float64 // by stratum: covariance of the sides for ξ of one, Sides by Sides

	of        *Layout
	strata    *lmm.Strata
	rows      *lmm.Rows
	questions []sided
}

// sided is a question as a difference of two sides.
type sided struct {
	seen, base int
	parts      []float64    // by stratum, of the difference
	forms      [][3]float64 // by stratum: of both sides and between them
}

// Balanced takes the layout apart. It returns lmm.ErrNotBalanced, wrapped, for one
// that does not fall into strata, and for Satterthwaite's degrees of freedom,
// which are not those of strata; Judge then serves.
func (l *Layout) Balanced() (*Balanced, error) {
	if l.Ask.DF != lmm.KenwardRoger {
		return nil, lmm.ErrNotBalanced
	}
	given := l.of.model.given
	s, err := given.Strata()
	if err != nil {
		return nil, err
	}
	b := &Balanced{Degrees: s.Degrees, Load: s.Load, of: l, strata: s}
	for _, t := range given.Random {
		b.Terms = append(b.Terms, t.Name)
	}
	b.Terms = append(b.Terms, "")
	var sides [][]float64
	side := func(row []float64) int {
		for i, other := range sides {
			if slices.Equal(row, other) {
				return i
			}
		}
		sides = append(sides, row)
		return len(sides) - 1
	}
	for _, c := range l.family {
		b.questions = append(b.questions, sided{seen: side(c.seen), base: side(c.other)})
	}
	b.Sides = len(sides)
	if b.rows, err = s.Rows(sides); err != nil {
		return nil, err
	}
	b.Parts = b.rows.Parts
	for i := range b.questions {
		b.questions[i].take(b.Parts, b.Sides)
	}
	return b, nil
}

// take works out the parts of a question. What rounding leaves in a stratum is
// nothing.
func (q *sided) take(parts [][]float64, sides int) {
	total := 0.0
	for _, p := range parts {
		ss, sb, bb := p[q.seen*sides+q.seen], p[q.seen*sides+q.base], p[q.base*sides+q.base]
		q.forms = append(q.forms, [3]float64{ss, sb, bb})
		q.parts = append(q.parts, ss-2*sb+bb)
		total += ss + bb
	}
	for k, v := range q.parts {
		if v < 1e-12*total {
			q.parts[k] = 0
		}
	}
}

// Reduce is a study of the rows, values on the model's scale, as sides and sums
// of squares.
func (b *Balanced) Reduce(values []float64) (sides, squares []float64) {
	return b.rows.Estimates(values), b.strata.Squares(values)
}

// BalancedJudge judges studies by their sides and sums of squares; one is for one
// goroutine.
type BalancedJudge struct {
	of     *Balanced
	fit    *lmm.StrataFit
	family []Difference
	each   []lmm.Contrast
	by     adjusted
	wide   bool
	joint  *jointly // nil but under Joint
}

// Judge makes room for judging.
func (b *Balanced) Judge() *BalancedJudge {
	k := len(b.questions)
	j := &BalancedJudge{of: b, fit: b.strata.NewFit(), family: make([]Difference, k), each: make([]lmm.Contrast, k)}
	j.by = adjusted{way: b.of.Ask.Adjust, size: k, p: make([]float64, k), quick: quantiles{}}
	if k < 2 {
		j.by.way = None
	}
	if j.by.way == Joint {
		j.joint = b.jointly()
	}
	return j
}

// Outcomes writes what a study says of each question, the same as Judge's for the
// values behind it. Half is filled where wide. An error is one of num/lmm.
func (j *BalancedJudge) Outcomes(sides, squares []float64, wide bool, out []Outcome) error {
	if err := j.fit.Fit(squares); err != nil {
		return err
	}
	j.wide = wide
	for i, q := range j.of.questions {
		v, df := j.fit.Spread(q.parts)
		x := lmm.Contrast{Estimate: sides[q.seen] - sides[q.base], SE: math.Sqrt(v), DF: tidy(df)}
		x.T = x.Estimate / x.SE
		j.each[i] = x
	}
	for i, q := range j.of.questions {
		j.difference(&j.family[i], j.each[i], q, j.of.of.family[i], sides)
	}
	if err := j.decide(); err != nil {
		return err
	}
	for i := range j.family {
		d := &j.family[i]
		if d.PAdjusted = j.by.p[i]; wide {
			j.limits(d, j.of.questions[i], sides)
		}
		out[i] = d.outcome(j.of.of.family[i].margin)
	}
	return nil
}

// decide fills what the verdicts look at.
func (j *BalancedJudge) decide() error {
	if j.joint != nil {
		return j.reachedJointly()
	}
	if df, one := j.oneDF(); one {
		j.reached(df)
		return nil
	}
	return j.chances()
}

// oneDF is the degrees of freedom of all tests, where they have one and all look to
// one side or all to both.
func (j *BalancedJudge) oneDF() (float64, bool) {
	df := j.each[0].DF
	for i, x := range j.each {
		d := &j.family[i]
		if (j.side(i) == 0) != (j.side(0) == 0) {
			return df, false
		}
		if !(math.Abs(x.DF-df) <= 1e-10*df) || !(math.Abs(d.nearer.DF-df) <= 1e-10*df) {
			return df, false
		}
	}
	return df, true
}

// reached sets p to 0 where the tests reach 0.05 and to 1 where not: t beside its
// quantile in place of its p beside the level, which is the same and needs no
// integral. Under Holm the largest is held against the quantile for all of them,
// the next for one less, until one fails.
func (j *BalancedJudge) reached(df float64) {
	k := len(j.each)
	for i := range j.each {
		j.by.p[i], j.family[i].EquivalencePAdjusted = 1, 1
	}
	size := func(step int) float64 {
		if j.by.way == None {
			return 1
		}
		return float64(k - step)
	}
	tail := alpha
	if j.side(0) != 0 {
		tail = 2 * alpha
	}
	for step := range k {
		best := j.largest(func(i int) (float64, bool) { return j.apart(i), j.by.p[i] == 1 })
		if best < 0 || !(j.apart(best) > j.by.critical(tail/size(step), df)) {
			break
		}
		j.by.p[best] = 0
	}
	for step := range k {
		best := j.largest(func(i int) (float64, bool) { return j.family[i].nearer.T, j.family[i].EquivalencePAdjusted == 1 })
		if best < 0 || !(j.family[best].nearer.T > j.by.critical(2*alpha/size(step), df)) {
			break
		}
		j.family[best].EquivalencePAdjusted = 0
	}
}

// side of the claim of question i.
func (j *BalancedJudge) side(i int) float64 { return j.of.of.family[i].claim.side() }

// apart is t to the side of the claim, its size where it has none.
func (j *BalancedJudge) apart(i int) float64 {
	if side := j.side(i); side != 0 {
		return side * j.each[i].T
	}
	return math.Abs(j.each[i].T)
}

// largest is the question with the largest of what is still open, −1 for none.
func (j *BalancedJudge) largest(of func(i int) (t float64, open bool)) int {
	best, most := -1, 0.0
	for i := range j.each {
		if t, open := of(i); open && (best < 0 || t > most) {
			best, most = i, t
		}
	}
	return best
}

// chances fills and adjusts the p values.
func (j *BalancedJudge) chances() error {
	for i, x := range j.each {
		j.by.p[i] = lmm.Contrast{T: j.apart(i), DF: x.DF}.Greater()
		if j.side(i) == 0 {
			j.by.p[i] *= 2
		}
		d := &j.family[i]
		d.EquivalenceP = d.nearer.Greater()
		d.EquivalencePAdjusted = d.EquivalenceP
	}
	if err := j.adjust(); err != nil {
		return err
	}
	return j.by.equivalence(j.family)
}

// adjust allows for the family, as Analysis.adjust does.
func (j *BalancedJudge) adjust() error {
	if j.by.way != Holm {
		return nil
	}
	at := make([]int, len(j.each))
	for i := range at {
		at[i] = i
	}
	return j.by.holm(at, j.by.p)
}

// tidy drops the last bits of a number, which are what rounding leaves, so that a
// quantile that is kept does not depend on the study that first asked for it.
func tidy(x float64) float64 { return math.Float64frombits((math.Float64bits(x) + 0x8000) &^ 0xffff) }

// difference fills what the verdict needs, as Analysis.differences and share do.
func (j *BalancedJudge) difference(d *Difference, x lmm.Contrast, q sided, c contrast, sides []float64) {
	nan := math.NaN()
	d.N, d.NBaseline = c.n, c.nBase
	d.Amount, d.SE, d.DF, d.T = x.Estimate, x.SE, x.DF, x.T
	d.Lower, d.Upper, d.PercentLower, d.PercentUpper = nan, nan, nan, nan
	switch m := c.margin; {
	case m.Amount > 0:
		d.near(shifted(x, -m.Amount), shifted(x, m.Amount))
	case j.of.of.Ask.Scale == Log:
		d.Percent = percent(d.Amount)
		d.near(shifted(x, math.Log1p(-m.Share)), shifted(x, math.Log1p(m.Share)))
	default:
		d.Percent, d.nearer = nan, lmm.Contrast{T: nan, DF: nan}
		if base := sides[q.base]; base > 0 {
			r := j.fit.Ratio(sides[q.seen], base, q.forms)
			d.Percent = 100 * d.Amount / base
			d.near(r.At(1-m.Share), r.At(1+m.Share))
		}
	}
}

// near keeps the test against the bound that is nearer, as tost does: of one number
// of degrees of freedom that is the smaller t.
func (d *Difference) near(low, high lmm.Contrast) {
	if low.DF != high.DF {
		d.tost(low, high)
		return
	}
	high.T = -high.T
	if d.nearer = low; high.T < low.T {
		d.nearer = high
	}
}

// limits fills the adjusted 95 % interval.
func (j *BalancedJudge) limits(d *Difference, q sided, sides []float64) {
	half := d.SE * j.by.beyond(0.05, d.DF)
	d.Lower, d.Upper = d.Amount-half, d.Amount+half
	switch base := sides[q.base]; {
	case j.of.of.Ask.Scale == Log:
		d.PercentLower, d.PercentUpper = percent(d.Lower), percent(d.Upper)
	case base > 0:
		d.PercentLower, d.PercentUpper = ratioLimits(j.fit.Ratio(sides[q.seen], base, q.forms), 0.05, &j.by)
	}
}

// Within is the one stratum that question q lies in and the variance of its
// difference there for ξ of one; −1 where it lies in several.
func (b *Balanced) Within(q int) (stratum int, part float64) {
	stratum = -1
	for k, v := range b.questions[q].parts {
		if v > 0 && stratum >= 0 {
			return -1, 0
		}
		if v > 0 {
			stratum, part = k, v
		}
	}
	return stratum, part
}
