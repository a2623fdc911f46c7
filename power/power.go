// Package power answers "how many" before anything is dropped: the chance of each
// finding and the width of its interval, for each question of a plan with so many
// specimens and falls, by simulating studies and judging each as it will be judged,
// by the model of compare.Ask and the rule of compare.Put.
//
// Where the plan is balanced (complete series, specimens alone or in even blocks),
// a study is drawn as what its verdicts depend on, the means that the questions
// compare and one sum of squares a stratum, which takes a microsecond or two;
// otherwise its values are drawn and fitted one study after the other, which takes
// about a millisecond. Both are the same analysis.
//
// Study i depends on the seed and i only: results are the same with any number of
// workers, and plans of different sizes meet the same luck, so that their
// difference is better known than either.
package power

import (
	"fmt"
	"slices"

	"fallwright.example/compare"
	"fallwright.example/problem"
)

// Plan is a study as it may be done.
type Plan struct {
	Conditions []Condition
	Falls      int // of each specimen
	Blocks     []Block
	// Ask is the model that will be fitted; its Blocks are names of the plan's. Its
	// covariates are left out, and a note says so.
	Ask       compare.Ask
	Questions []Question
	Variances Variances
	// Level is what a specimen of the baseline shows, in the unit: 3500 for 3.5 kN.
	// It is needed on the linear scale where margins are shares.
	Level float64
}

// Condition is one of those compared, with its number of specimens.
type Condition struct {
	Name      string
	Specimens int
}

// Block is a rope, lot or day that holds specimens of every condition alike, so
// that it does not stand against the comparison; or as a cut list dealt it. One of
// the three is given.
type Block struct {
	Name string
	// Levels: there are so many, whatever the number of specimens; specimen i of
	// each condition is of level i mod Levels.
	Levels int
	// Each: a level holds so many specimens of each condition, and more specimens
	// need more levels.
	Each int
	// Of: the level of each specimen, from 0, by condition. It is for one size of a
	// plan: others are refused.
	Of [][]int
}

// Question is one that the study is to answer, with the truth that is supposed.
type Question struct {
	compare.Question
	Truth Truth
}

// Truth is the difference that is supposed to be there; the zero value is none.
// At most one is given.
type Truth struct {
	Margins float64 `json:"margins"` // times the question's margin, −2 for twice it downwards
	Share   float64 `json:"share"`   // of the baseline
	Amount  float64 `json:"amount"`  // in the unit
}

// With is the plan with so many specimens of each condition and so many falls.
func (p Plan) With(specimens, falls int) Plan {
	p.Conditions = slices.Clone(p.Conditions)
	for i := range p.Conditions {
		p.Conditions[i].Specimens = specimens
	}
	p.Falls = falls
	return p
}

// Specimens of all conditions.
func (p Plan) Specimens() int {
	n := 0
	for _, c := range p.Conditions {
		n += c.Specimens
	}
	return n
}

// Drops that count: specimens times falls.
func (p Plan) Drops() int { return p.Specimens() * p.Falls }

// smallest number of specimens of a condition.
func (p Plan) smallest() int {
	n := p.Conditions[0].Specimens
	for _, c := range p.Conditions {
		n = min(n, c.Specimens)
	}
	return n
}

// Nearest is the plan with what it lacks to be judged: two specimens of a
// condition, and every fall that a question names.
func (p Plan) Nearest() Plan {
	p.Conditions = slices.Clone(p.Conditions)
	for i := range p.Conditions {
		p.Conditions[i].Specimens = max(2, p.Conditions[i].Specimens)
	}
	p.Falls = max(1, p.Falls, p.lastFall())
	return p
}

// lastFall is the last that a question names, 0 where none names any.
func (p Plan) lastFall() int {
	last := 0
	for _, q := range p.Questions {
		for _, f := range slices.Concat(q.Falls, q.BaselineFalls) {
			if x, ok := f.Number(); ok {
				last = max(last, int(x))
			}
		}
	}
	return last
}

// nearest says the nearest plan.
func (p Plan) nearest() string {
	n := p.Nearest()
	return fmt.Sprintf("the nearest plan that can be judged: %d specimens a condition at the least, %d falls, %d drops in all", n.smallest(), n.Falls, n.Drops())
}

// check refuses a plan that cannot be judged, every fault named.
func (p Plan) check() error {
	var out problem.List
	add := func(x *problem.Problem) { out = append(out, x) }
	if len(p.Conditions) < 1 {
		add(problem.New(problem.TooFew, "plan", "no condition, there is nothing to compare"))
	}
	if len(p.Questions) == 0 {
		add(problem.New(problem.TooFew, "plan", "no question, nothing says how many are enough").Hint("put a question with the smallest difference that matters"))
	}
	for i, c := range p.Conditions {
		switch {
		case c.Name == "" || slices.ContainsFunc(p.Conditions[:i], func(o Condition) bool { return o.Name == c.Name }):
			add(problem.New(problem.Invalid, fmt.Sprintf("condition %d", i+1), "its name is %q, each needs one of its own", c.Name))
		case c.Specimens < 1:
			add(problem.New(problem.TooFew, "condition "+c.Name, "%d specimens, there is nothing to drop", c.Specimens).Hint("%s", p.nearest()))
		case c.Specimens < 2:
			add(problem.New(problem.TooFew, "condition "+c.Name, "1 specimen, what varies between specimens needs 2").Hint("%s", p.nearest()))
		}
	}
	if len(p.Conditions) > 0 && p.Falls < 1 {
		add(problem.New(problem.TooFew, "falls", "%d of each specimen, 1 is needed", p.Falls).Hint("%s", p.nearest()))
	}
	for _, q := range p.Questions {
		if x := p.checkQuestion(q); x != nil {
			add(x)
		}
	}
	for _, b := range p.Blocks {
		if x := p.checkBlock(b); x != nil {
			add(x)
		}
	}
	out = append(out, p.Variances.check(p.Ask)...)
	return out.Err()
}

// checkBlock refuses a block that does not say where a specimen is.
func (p Plan) checkBlock(b Block) *problem.Problem {
	where, ways := "block "+b.Name, 0
	for _, given := range []bool{b.Levels > 0, b.Each > 0, b.Of != nil} {
		if given {
			ways++
		}
	}
	if b.Name == "" || ways != 1 || b.Levels < 0 || b.Each < 0 {
		return problem.New(problem.Invalid, where, "%d levels, %d specimens of a condition each and a list for %d conditions, exactly one of the three is needed", b.Levels, b.Each, len(b.Of))
	}
	if b.Of == nil {
		return nil
	}
	for c, k := range p.Conditions {
		if len(b.Of) != len(p.Conditions) || len(b.Of[c]) != k.Specimens || slices.Min(append([]int{0}, b.Of[c]...)) < 0 {
			return problem.New(problem.Invalid, where, "its list is not one of levels from 0 for the %d specimens of condition %s", k.Specimens, k.Name).
				Hint("give levels or specimens of a condition each, which hold for other numbers too")
		}
	}
	return nil
}

// checkQuestion refuses what compare cannot see: falls beyond the series, a margin
// of nothing, a truth that cannot be.
func (p Plan) checkQuestion(q Question) *problem.Problem {
	where := "question " + q.Name
	for _, f := range slices.Concat(q.Falls, q.BaselineFalls) {
		x, ok := f.Number()
		if !ok || x != float64(int(x)) || x < 1 {
			return problem.New(problem.Invalid, where, "asks of fall %q, a plan numbers its falls from 1", f)
		}
		if int(x) > p.Falls && p.Falls > 0 {
			return problem.New(problem.NotFound, where, "asks of fall %d, each specimen has %d", int(x), p.Falls).Hint("%s", p.nearest())
		}
	}
	if q.Share == 0 && q.Amount == 0 {
		return problem.New(problem.Invalid, where, "its margin is 0: with none every difference matters, and no number of specimens shows that there is none").
			Hint("give the smallest difference that matters, as a share or in the unit")
	}
	given := 0
	for _, v := range []float64{q.Truth.Margins, q.Truth.Share, q.Truth.Amount} {
		if v != 0 {
			given++
		}
	}
	if _, err := q.step(p.Ask.Scale, p.Level); given > 1 || err != "" {
		if given > 1 {
			err = "is given in more than one way"
		}
		return problem.New(problem.Invalid, where, "the difference supposed %s", err)
	}
	return nil
}
