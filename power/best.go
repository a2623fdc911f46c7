package power

import (
	"context"
	"math"

	"fallwright.example/compare"
	"fallwright.example/problem"
)

// Shown is the least that a plan can show of one question.
type Shown struct {
	Question compare.Question `json:"question"`
	// Difference is the smallest that is found with the power wanted, the others being
	// none: upwards, or downwards where the question claims that. Margin is the
	// smallest margin inside which no difference that matters is found when there is
	// none. Both are in per cent of the baseline for a margin of a share, else in the
	// unit. NaN: none that was looked at, up to 32 margins, below 100 % for a margin
	// and downwards.
	Difference float64 `json:"difference"`
	Margin     float64 `json:"margin"`
}

// Most is what the rope and time at hand can show at best, with one number of
// falls.
type Most struct {
	Falls     int              `json:"falls"`
	Specimens int              `json:"specimens"` // of each condition, as many as there is room for
	Bill      Bill             `json:"bill"`
	Stopped   string           `json:"stopped"` // by what limit
	Shown     []Shown          `json:"shown"`
	Refused   *problem.Problem `json:"refused"`
}

// Best gives, for each number of falls, the largest plan within the limits and the
// least that it can show of each question with the power wanted. Refusals are those
// of Simulate, beside the number of falls that they are for; where they are for
// all, the whole is refused.
func Best(ctx context.Context, p Plan, price Price, limits Limits, w Wanted, o Options) ([]Most, error) {
	o = o.complete()
	var out []Most
	var last error
	for _, f := range w.Falls {
		m := Most{Falls: f}
		m.Specimens, m.Stopped = limits.room(p, price, f)
		plan := p.With(m.Specimens, f)
		if m.Specimens < 2 {
			last = problem.New(problem.TooFew, "limits", "%s: room for %d of a condition, 2 are needed", m.Stopped, m.Specimens).Hint("%s", plan.nearest())
		} else {
			m.Bill = price.Of(plan)
			last = m.show(ctx, plan, w.Power, o)
		}
		if last != nil {
			all := problem.All(last)
			if len(all) == 0 {
				return nil, last
			}
			m.Refused = all[0]
		}
		out = append(out, m)
	}
	for _, m := range out {
		if m.Refused == nil {
			return out, nil
		}
	}
	if last == nil {
		last = problem.New(problem.TooFew, "falls", "no number of falls to look at")
	}
	return nil, last
}

// show fills what a plan can show.
func (m *Most) show(ctx context.Context, p Plan, power float64, o Options) error {
	for q := range p.Questions {
		s := Shown{Question: p.Questions[q].Question}
		var err error
		if s.Difference, err = smallestDifference(ctx, p, q, power, o); err != nil {
			return err
		}
		if s.Margin, err = smallestMargin(ctx, p, q, power, o); err != nil {
			return err
		}
		m.Shown = append(m.Shown, s)
	}
	return nil
}

// alone is a plan in which one question has a difference and the others have none,
// as far as they can: differences between the same conditions go along.
func (p Plan) alone(q int, margins float64) Plan {
	questions := append([]Question{}, p.Questions...)
	mine := questions[q]
	for i := range questions {
		same := questions[i].Condition == mine.Condition && questions[i].Baseline == mine.Baseline && questions[i].Trend == mine.Trend
		questions[i].Truth = Truth{}
		if i == q || same {
			questions[i].Truth = Truth{Share: margins * mine.Share, Amount: margins * mine.Amount}
		}
	}
	p.Questions = questions
	return p
}

// smallestDifference is found by halving between one margin and 32 of them: for the
// same luck, a larger difference is found where a smaller one is.
func smallestDifference(ctx context.Context, p Plan, q int, power float64, o Options) (float64, error) {
	question := p.Questions[q]
	way, high := 1.0, 32.0
	if question.Claim == compare.ClaimLower {
		way = -1
		if question.Share > 0 {
			high = min(high, 0.99/question.Share) // less than all of it
		}
	}
	b, err := lay(p.alone(q, way), o.Seed)
	if err != nil {
		return 0, err
	}
	reached := func(margins float64) (bool, error) {
		if err := b.suppose(p.alone(q, way*margins)); err != nil {
			return false, err
		}
		return b.reached(ctx, q, power, o)
	}
	margins, err := least(1, high, b.grain(), reached)
	if question.Share > 0 {
		return 100 * margins * question.Share, err
	}
	return margins * question.Amount, err
}

// smallestMargin is found by halving over margins; the truth is no difference.
func smallestMargin(ctx context.Context, p Plan, q int, power float64, o Options) (float64, error) {
	start, unit := p.Questions[q].Amount, 1.0
	if p.Questions[q].Share > 0 {
		start, unit = p.Questions[q].Share, 100
	}
	reached := func(times float64) (bool, error) {
		plan := p.alone(q, 0)
		if x := &plan.Questions[q]; x.Share > 0 {
			x.Share = times * start
		} else {
			x.Amount = times * start
		}
		b, err := lay(plan, o.Seed)
		if err != nil {
			return false, err
		}
		return b.reached(ctx, q, power, o)
	}
	high := 32.0
	if p.Questions[q].Share > 0 {
		high = min(high, 0.99/start)
	}
	b, err := lay(p.alone(q, 0), o.Seed)
	if err != nil {
		return 0, err
	}
	times, err := least(1.0/32, high, b.grain(), reached)
	return unit * times * start, err
}

// reached is whether question q has the power wanted. Studies are added until their
// share lies four standard errors to one side, which those to come then change less
// than once in ten thousand times.
func (b *bench) reached(ctx context.Context, q int, power float64, o Options) (bool, error) {
	t, all := newTally(b), b.fewer(o.Studies)
	for studies := min(chunk/2, all); ; studies = min(2*studies, all) {
		if err := t.more(ctx, b, o, studies, 0); err != nil {
			return false, err
		}
		p := b.power(t, q).P
		if studies == all || math.Abs(p-power) > 4*math.Sqrt(power*(1-power)/float64(studies)) {
			return p >= power, nil
		}
	}
}

// grain is the share to which the smallest is found: what fewer studies can tell
// apart where each is fitted.
func (b *bench) grain() float64 {
	if b.balanced == nil {
		return 1.03
	}
	return 1.01
}

// least is the smallest value between two that reaches, to a share; NaN where the
// larger does not.
func least(low, high, grain float64, reached func(float64) (bool, error)) (float64, error) {
	for _, end := range []float64{high, low} {
		yes, err := reached(end)
		if err != nil {
			return math.NaN(), err
		}
		if end == high && !yes {
			return math.NaN(), nil
		}
		if end == low && yes {
			return low, nil
		}
	}
	for high/low > grain {
		middle := math.Sqrt(low * high)
		yes, err := reached(middle)
		if err != nil {
			return math.NaN(), err
		}
		if yes {
			high = middle
		} else {
			low = middle
		}
	}
	return high, nil
}
