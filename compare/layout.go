package compare

import (
	"math"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// Layout is a study before its values: its rows, its model and its questions,
// ready to be judged as Analyse and Put would, for as many sets of values as are
// supposed. It does not change, so that several goroutines may have one.
type Layout struct {
	Ask       Ask // with the defaults filled in
	N         int // rows
	Questions []Question

	of     Analysis // without a fit
	family []contrast
}

// Outcome is what one study says of one question.
type Outcome struct {
	Verdict  Verdict
	Estimate float64 // per cent of the baseline for a margin of a share, else in the unit
	// Half is half the width of the adjusted 95 % interval, like Estimate; NaN
	// where it was not asked for and where the interval is without bounds.
	Half float64
}

// Lay prepares a study. The values of d are not looked at. It refuses what
// Analyse and Put refuse, and beyond that rows from which no interval can be had,
// and a question about a condition or a fall that has no row.
func Lay(d Data, ask Ask, questions []Question) (*Layout, error) {
	d.Value = make([]float64, len(d.Value))
	for i := range d.Value {
		d.Value[i] = 1
	}
	ask, err := ask.complete(d)
	if err != nil {
		return nil, err
	}
	l := &Layout{Questions: questions, of: Analysis{data: d}}
	a := &l.of
	a.Ask = ask
	if a.table, _, err = d.rows(ask); err != nil {
		return nil, err
	}
	if err = a.baseline(); err != nil {
		return nil, err
	}
	l.Ask, l.N = a.Ask, a.table.n
	if a.model, err = laid(a.table, a.Ask); err != nil {
		return nil, err
	}
	if a.grid, err = a.model.cells(a.table); err != nil {
		return nil, problem.New(problem.Invalid, "model", "%v", err)
	}
	return l, l.put()
}

// laid is the model of a table before it is fitted.
func laid(t *table, ask Ask) (*model, error) {
	m := &model{condition: len(t.condition.levels) > 1, trend: ask.FallsAs != Levels && t.x != nil}
	m.fall = m.trend || len(t.fall.levels) > 1
	if m.trend && len(t.fall.levels) < 2 {
		return nil, problem.New(problem.TooFew, "fall", "all values are at fall %s, a trend needs two", t.fall.levels[0]).
			Hint("take falls as levels")
	}
	if err := m.fixed(t, ask); err != nil {
		return nil, err
	}
	if _, err := m.random(t, ask); err != nil {
		return nil, err
	}
	if ask.SpreadByCondition && m.condition {
		m.given.Spread = &lmm.Spread{Name: "condition", Group: t.condition.code, Groups: t.condition.levels}
	}
	if m.why != "" {
		return nil, problem.New(problem.TooFew, "model", "%s", m.why)
	}
	return m, nil
}

// put prepares the contrasts of the questions.
func (l *Layout) put() error {
	a := &l.of
	if err := a.check(l.Questions); err != nil {
		return err
	}
	var faults problem.List
	for _, q := range l.Questions {
		q.Falls = given(a.falls(q))
		c, err := a.asked(q)
		if err != nil {
			for _, p := range problem.All(err) {
				p.Where = "question " + q.Name + ", " + p.Where
				faults = append(faults, p)
			}
			continue
		}
		l.family = append(l.family, c)
	}
	return faults.Err()
}

// Judge judges values by fitting the model to them; one is for one goroutine.
type Judge struct {
	of     Analysis
	again  *lmm.Again
	family []contrast
}

// Judge fits the model to values from which later searches start, one a row on
// the model's scale, logarithms when Log. It refuses values that Analyse could
// give no interval for.
func (l *Layout) Judge(start []float64) (*Judge, error) {
	j := &Judge{of: l.of, family: l.family}
	m := *l.of.model
	m.given.Y = start
	fit, err := lmm.New(m.given, lmm.REML)
	if err != nil {
		if err = m.refusal(err, l.of.table); err == nil {
			err = problem.New(problem.TooFew, "model", "%s", m.why)
		}
		return nil, err
	}
	t := *l.of.table
	j.of.model, j.of.table, j.of.limits = &m, &t, memo{}
	j.again = fit.Again(l.Ask.DF)
	return j, nil
}

// Outcomes fits the model to values, like those of start, and writes what they
// say of each question. An error is one of num/lmm: values that cannot be fitted.
func (j *Judge) Outcomes(values []float64, out []Outcome) error {
	fit, err := j.again.Fit(values)
	if err != nil {
		return err
	}
	a := &j.of
	a.model.fit, a.model.given.Y = fit, values
	a.table.value, a.table.raw = values, values
	clear(a.limits) // quantiles kept are those of the study that first asked
	d, err := a.differences(j.family, a.Ask.Adjust)
	if err != nil {
		return err
	}
	for i := range d {
		out[i] = d[i].outcome(j.family[i].margin)
	}
	return nil
}

// outcome is a difference as it is judged against its margin.
func (d Difference) outcome(m Margin) Outcome {
	v := d.view(m)
	half := (v.upper - v.lower) / 2
	if math.IsInf(half, 0) {
		half = math.NaN()
	}
	return Outcome{v.verdict(), v.estimate, half}
}

// Weights are what each of the falls from 1 to falls counts for on the two sides
// of q: the difference is the sum over both, the baseline's with its sign turned.
func (q Question) Weights(falls int) (seen, base []float64) {
	over := func(named []Fall) []float64 {
		if len(named) == 0 {
			for f := range falls {
				named = append(named, FallNumber(f+1))
			}
		}
		out := make([]float64, falls)
		for i, w := range q.weights(named) {
			if x, ok := named[i].Number(); ok && x >= 1 && int(x) <= falls {
				out[int(x)-1] += w
			}
		}
		return out
	}
	return over(q.Falls), over(q.baselineFalls())
}
