package compare

import (
	"math"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// Answer is a question with its verdict and what it rests on.
type Answer struct {
	Question   Question   `json:"question"`
	Verdict    Verdict    `json:"verdict"`
	Difference Difference `json:"difference"`
	Sentence   string     `json:"sentence"` // the finding in plain words, numbers included
	Parts      Parts      `json:"-"`        // the same in three
	Rule       string     `json:"rule"`     // the rule that gave the verdict
	Notes      []string   `json:"notes"`    // what a careful reader should know, with the cure
	// Settle is there when the question is not settled and its variances are known.
	Settle Settle `json:"settle,omitzero"`
	// Randomisation and Welch are two other ways of looking at the same values,
	// printed beside the finding and never in its place; nil where they cannot be
	// had, or where the specimens could be dealt in one way only.
	Randomisation *Randomisation `json:"randomisation"`
	Welch         *Cross         `json:"welch"`
}

// putSeed is that of the re-randomisation tests of Put.
const putSeed = 1

// Put answers questions of one measure from one analysis. Each is a contrast of
// two conditions over some falls, by the model of the analysis, against the
// question's own margin; Ask.Adjust works over the questions put together. The
// verdict follows the rule that is printed with it:
//
//   - higher or lower: the 95 % interval excludes zero (p < 0.05) and the
//     estimate lies at or beyond the margin;
//   - no difference that matters: the 90 % interval lies wholly inside the
//     margin, which is two one-sided tests at 5 % [Schuirmann1987] [Lakens2017];
//   - no claim: fewer than two specimens in a condition, or no interval; a note
//     says what is missing;
//   - not settled: otherwise, with Settle.
//
// A margin of a share is judged on ratios: of geometric means on the log scale,
// of means on the linear one. It refuses a question without two conditions, with
// a fall named twice, without exactly one margin, with an amount for a margin
// on the log scale, and one that names a column that is not there; every one at
// fault is named. A condition or fall without a value is no refusal but no
// claim.
func (a *Analysis) Put(questions []Question) ([]Answer, error) {
	if err := a.check(questions); err != nil {
		return nil, err
	}
	out := make([]Answer, len(questions))
	var family []contrast
	var of []int
	for i, q := range questions {
		q.Falls = a.falls(q)
		out[i] = Answer{Question: questions[i], Difference: a.missing(q), Notes: []string{}}
		q.Falls = given(q.Falls)
		c, err := a.asked(q)
		if err != nil { // a condition or fall without a value
			continue
		}
		family, of = append(family, c), append(of, i)
	}
	differences, err := a.differences(family, a.Ask.Adjust)
	if err != nil {
		return nil, err
	}
	asked := 0
	for k, i := range of {
		out[i].Difference = differences[k]
		if !math.IsNaN(differences[k].P) {
			asked++
		}
	}
	m := a.manner(asked)
	for i := range out {
		a.answer(&out[i], m)
	}
	return out, nil
}

// check refuses questions that cannot be put to this analysis.
func (a *Analysis) check(questions []Question) error {
	var out problem.List
	for _, q := range questions {
		err := q.check()
		if err == nil {
			err = q.margin().check(a.Ask.Scale)
		}
		if err == nil && q.Trend && q.Share > 0 && a.Ask.Scale != Log {
			err = problem.New(problem.Invalid, "question "+q.Name, "asks for a trend with a margin of a share, and the values are not logarithms").
				Hint("give a margin in the unit of the measure for each fall, or take logarithms")
		}
		if err == nil && q.Within != "" && a.data.column(q.Within) == nil {
			err = problem.New(problem.NotFound, "question "+q.Name, "no column is named %q", q.Within).Hint("%s", a.data.have())
		}
		out = append(out, problem.All(err)...)
	}
	return out.Err()
}

// column finds a column of names; nil when there is none.
func (d Data) column(name string) []string {
	for _, c := range d.Columns {
		if c.Name == name {
			return c.Value
		}
	}
	return nil
}

// falls are those of a question as the table has them; all when it names none.
func (a *Analysis) falls(q Question) []Fall {
	if len(q.Falls) == 0 {
		return a.table.falls()
	}
	return tidied(q.Falls)
}

func tidied(falls []Fall) []Fall {
	out := make([]Fall, len(falls))
	for i, f := range falls {
		out[i] = f.tidy()
	}
	return out
}

// given leaves out the empty name that stands for no falls.
func given(falls []Fall) []Fall {
	if len(falls) == 1 && falls[0] == "" {
		return nil
	}
	return falls
}

// missing is the difference of a question that is more than the table holds:
// the numbers of specimens alone.
func (a *Analysis) missing(q Question) Difference {
	nan := math.NaN()
	d := Difference{
		Condition: q.Condition, Baseline: q.Baseline,
		N: a.table.bring(q.Condition, q.Falls, nil).some(q.Falls), NBaseline: a.table.bring(q.Baseline, q.baselineFalls(), nil).some(q.baselineFalls()),
		Amount: nan, SE: nan, DF: nan, Lower: nan, Upper: nan, T: nan, P: nan, PAdjusted: nan, Lower90: nan, Upper90: nan,
		Percent: nan, PercentLower: nan, PercentUpper: nan, PercentLower90: nan, PercentUpper90: nan,
		EquivalenceP: nan, EquivalencePAdjusted: nan,
	}
	if falls := given(q.Falls); len(falls) == 1 {
		d.Fall = falls[0]
	} else {
		d.Falls = falls
	}
	return d
}

// manner is for a family of so many questions that a test could be had of.
func (a *Analysis) manner(asked int) manner {
	m := manner{adjust: a.Ask.Adjust, asked: asked, scale: a.Ask.Scale, by: a.Ask.DF, unit: "specimens"}
	if len(a.table.specimen.levels) == 0 {
		m.unit = "values"
	}
	return m
}

// answer fills in what follows from the difference.
func (a *Analysis) answer(x *Answer, m manner) {
	q, d := x.Question, x.Difference
	sides, falls := a.sides(q), a.falls(q)
	x.Verdict = d.verdict(q.margin())
	if x.Verdict == NotSettled {
		x.Settle = a.settle(q, d)
	}
	share := 1
	if m.adjusted() {
		share = m.asked
	}
	x.Welch = cross(q, sides, a.Ask.Scale, share)
	if q.Trend || len(q.BaselineFalls) > 0 {
		// dealing anew tests means over the same falls only
	} else if r, err := a.Randomise(q.Condition, q.Baseline, given(falls), a.data.column(q.Within), putSeed); err == nil && r.Arrangements > 1 {
		r.Strata = q.Within
		r.Said = r.words()
		x.Randomisation = r
	}
	x.Rule = m.rule(q)
	x.Parts = m.parts(*x)
	x.Sentence = x.Parts.sentence()
	x.Notes = a.notes(*x, m, sides)
	x.tie()
}

// sides are the specimens of both conditions, each brought to one value.
func (a *Analysis) sides(q Question) [2]brought {
	falls := a.falls(q)
	base := falls
	if len(q.BaselineFalls) > 0 {
		base = tidied(q.BaselineFalls)
	}
	return [2]brought{a.table.bring(q.Condition, falls, q.weights(falls)), a.table.bring(q.Baseline, base, q.weights(base))}
}

// allowed is the chance of error of the two tests that stand behind the limits
// of a difference, after whatever adjustment made them.
func (d Difference) allowed() (different, equivalent float64) {
	beyond := func(lower, upper float64) float64 {
		return lmm.Contrast{T: (upper - lower) / (2 * d.SE), DF: d.DF}.Greater()
	}
	return 2 * beyond(d.Lower, d.Upper), beyond(d.Lower90, d.Upper90)
}
