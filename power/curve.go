package power

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fallwright.example/problem"
)

// Curve is a plan over numbers of specimens and falls.
type Curve struct {
	Specimens []int  `json:"specimens"` // of each condition
	Falls     []int  `json:"falls"`
	Cells     []Cell `json:"cells"` // falls by falls, specimens within
}

// Cell is one size of a plan.
type Cell struct {
	Specimens int              `json:"specimens"`
	Falls     int              `json:"falls"`
	Result    *Result          `json:"result"` // nil: the plan cannot be judged at this size
	Refused   *problem.Problem `json:"refused"`
}

// Over simulates a plan at every number of specimens of each condition and of
// falls. A size at which it cannot be judged has its refusal; where that is so at
// every size, so is the whole. Where each study is fitted a fifth of them do, or
// fewer where the least power is known to one per cent. It is
// drawn by figure.PowerCurve.
func Over(ctx context.Context, p Plan, specimens, falls []int, o Options) (*Curve, error) {
	o = o.complete()
	c := &Curve{Specimens: specimens, Falls: falls}
	all := len(specimens) * len(falls) * o.Studies
	if all == 0 {
		return nil, problem.New(problem.TooFew, "curve", "%d numbers of specimens and %d of falls, one of each is needed", len(specimens), len(falls))
	}
	progress, before := o.Progress, 0
	var last error
	for _, f := range falls {
		for _, n := range specimens {
			if progress != nil {
				o.Progress = func(done, _ int) { progress(before+done, all) }
			}
			r, err := one(ctx, p.With(n, f), o)
			cell := Cell{Specimens: n, Falls: f, Result: r}
			if err != nil {
				all := problem.All(err)
				if len(all) == 0 {
					return nil, err
				}
				cell.Refused, last = all[0], err
			}
			c.Cells = append(c.Cells, cell)
			before += o.Studies
		}
	}
	if !slices.ContainsFunc(c.Cells, func(c Cell) bool { return c.Result != nil }) {
		return nil, last
	}
	return c, nil
}

// one simulates one size of a curve.
func one(ctx context.Context, p Plan, o Options) (*Result, error) {
	b, err := lay(p, o.Seed)
	if err != nil {
		return nil, err
	}
	all, t := b.fewer(o.Studies), newTally(b)
	for studies := min(chunk, all); ; studies = min(2*studies, all) {
		if b.balanced != nil {
			studies = all
		}
		if err := t.more(ctx, b, o, studies, o.Studies); err != nil {
			return nil, err
		}
		if studies == all || t.certain(b) {
			return b.result(t), nil
		}
	}
}

// certain is whether the least power is known to a standard error of one per cent,
// by the share with one study more of each outcome, which is never sure.
func (t *tally) certain(b *bench) bool {
	least := 1.0
	for q := range b.plan.Questions {
		least = min(least, b.power(t, q).P)
	}
	n := float64(t.studies)
	p := (least*n + 1) / (n + 2)
	return math.Sqrt(p*(1-p)/n) <= 0.01
}

// Price is what a plan costs. Weights turn metres and hours into one number, of
// money or of trouble.
type Price struct {
	// Metres of rope that one specimen takes, knots and tails included.
	Metres float64
	// Seconds that one specimen takes to hang and take down, one fall to make, and
	// between two falls to rest, when nothing overlaps.
	Hang, Fall, Rest float64
	// PerMetre and PerHour are what a metre of rope and an hour of tower cost.
	PerMetre, PerHour float64
}

// Bill is what a plan takes.
type Bill struct {
	Specimens int     `json:"specimens"` // of all conditions
	Drops     int     `json:"drops"`
	Metres    float64 `json:"metres"`
	Hours     float64 `json:"hours"`
	Cost      float64 `json:"cost"`
}

// Of is the bill of a plan: n·metres of rope, and n·(hang + f·fall + (f − 1)·rest)
// of tower.
func (p Price) Of(plan Plan) Bill {
	n, f := float64(plan.Specimens()), float64(plan.Falls)
	b := Bill{Specimens: plan.Specimens(), Drops: plan.Drops(), Metres: n * p.Metres, Hours: n * (p.Hang + f*p.Fall + (f-1)*p.Rest) / 3600}
	b.Cost = p.PerMetre*b.Metres + p.PerHour*b.Hours
	return b
}

// check refuses a price that orders nothing.
func (p Price) check() error {
	for _, v := range []float64{p.Metres, p.Hang, p.Fall, p.Rest, p.PerMetre, p.PerHour} {
		if !(v >= 0) || v > 1e9 {
			return problem.New(problem.Invalid, "price", "%g, numbers from 0 to 1e9 are needed", v)
		}
	}
	if !(p.PerMetre*p.Metres+p.PerHour*(p.Hang+p.Fall) > 0) {
		return problem.New(problem.Invalid, "price", "one more specimen costs nothing, so no plan is the cheapest").
			Hint("give what a metre of rope or an hour of tower costs, 1 where only one counts")
	}
	return nil
}

// Limits are the rope and time at hand; zero is no limit.
type Limits struct {
	Specimens int    // of each condition
	Why       string // what leaves no more of them; "N specimens of a condition at hand" when empty
	Metres    float64
	Hours     float64
}

// most specimens of a condition that are looked at.
const most = 200

// room is the largest number of specimens of each condition that the limits leave
// with so many falls, and which of them it is that stops.
func (l Limits) room(plan Plan, price Price, falls int) (n int, by string) {
	n, by = most, fmt.Sprintf("%d specimens of a condition, the most that are looked at", most)
	if l.Specimens > 0 && l.Specimens < n {
		n, by = l.Specimens, l.Why
		if by == "" {
			by = fmt.Sprintf("%d specimens of a condition at hand", n)
		}
	}
	for n > 0 {
		bill := price.Of(plan.With(n, falls))
		switch {
		case l.Metres > 0 && bill.Metres > l.Metres*(1+1e-12):
			by = fmt.Sprintf("%.4g m of rope at hand", l.Metres)
		case l.Hours > 0 && bill.Hours > l.Hours*(1+1e-12):
			by = fmt.Sprintf("%.4g h of tower at hand", l.Hours)
		default:
			return n, by
		}
		n--
	}
	return n, by
}
