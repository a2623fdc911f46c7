package power

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fallwright.example/problem"
)

// Wanted is what a plan is to reach.
type Wanted struct {
	Power float64 // of each question, 0.8 as a rule
	Falls []int   // the numbers of falls to look at
}

// Reach is the fewest specimens that reach the power wanted with so many falls.
type Reach struct {
	Falls     int     `json:"falls"`
	Specimens int     `json:"specimens"` // of each condition; 0: none within the limits does
	Bill      Bill    `json:"bill"`
	Result    *Result `json:"result"` // at that number, or at the largest looked at
	// Close: the number is not sure, for the power of this one or of one fewer lies
	// within three Monte Carlo standard errors of the power wanted after all
	// studies that were allowed.
	Close   bool             `json:"close"`
	Stopped string           `json:"stopped"` // what stops more specimens, where none reaches it
	Refused *problem.Problem `json:"refused"` // why the plan cannot be judged with so many falls
}

// Choice is the cheapest plan, and the fewest specimens at each number of falls.
type Choice struct {
	Best  Reach    `json:"best"`
	Each  []Reach  `json:"each"`
	Notes []string `json:"notes"`
}

// Cheapest finds the plan that costs least among those in which every question has
// the power wanted. More specimens do not make a finding less likely, so that for
// each number of falls the fewest are found by doubling and halving. All plans meet
// the same luck, and one near the power wanted is simulated on, up to sixteen times
// as many studies, until it lies three standard errors to one side: another seed
// then gives another answer about once in a thousand times, and where it could, Close
// says so. A fifth of the studies do where each is fitted.
//
// When none reaches it the refusal says how far the largest gets. Other refusals
// are those of Simulate.
func Cheapest(ctx context.Context, p Plan, price Price, limits Limits, w Wanted, o Options) (*Choice, error) {
	o = o.complete()
	if err := price.check(); err != nil {
		return nil, err
	}
	if !(w.Power > 0 && w.Power < 1) || len(w.Falls) == 0 {
		return nil, problem.New(problem.Invalid, "power wanted", "%g with %d numbers of falls, one between 0 and 1 and at least one number are needed", w.Power, len(w.Falls))
	}
	c := &Choice{Notes: []string{}}
	for _, f := range w.Falls {
		r, err := reach(ctx, p, price, limits, w.Power, f, o)
		if err != nil {
			return nil, err
		}
		c.Each = append(c.Each, r)
	}
	at := -1
	for i, r := range c.Each {
		if r.Specimens > 0 && (at < 0 || r.Bill.Cost < c.Each[at].Bill.Cost) {
			at = i
		}
	}
	if at < 0 {
		return c, c.none(w.Power)
	}
	c.Best = c.Each[at]
	if c.Best.Close {
		c.Notes = append(c.Notes, fmt.Sprintf("%d specimens are a close call: a simulation of other luck may say one more or fewer", c.Best.Specimens))
	}
	return c, nil
}

// none says how far the largest plans get.
func (c *Choice) none(power float64) error {
	var furthest *Reach
	for i, r := range c.Each {
		if r.Result != nil && (furthest == nil || r.Result.Least().Power.P > furthest.Result.Least().Power.P) {
			furthest = &c.Each[i]
		}
	}
	if furthest == nil {
		return c.Each[0].Refused
	}
	least := furthest.Result.Least()
	return problem.New(problem.TooFew, "plan", "no plan gives every question a chance of %.0f %% (stopped by %s): %d specimens of each condition with %d falls give %q %.0f %%",
		100*power, furthest.Stopped, furthest.Result.Specimens, furthest.Falls, least.Question.Name, 100*least.Power.P).
		Hint("suppose a larger difference, accept a larger margin, ask fewer questions, or make room for more specimens")
}

// search looks for the fewest specimens with some number of falls.
type search struct {
	ctx   context.Context
	plan  Plan
	falls int
	power float64
	o     Options
	seen  map[int]*trial
}

// trial is one size as it was simulated.
type trial struct {
	bench *bench
	tally *tally
	up    bool // every question has the power wanted
	close bool
}

// reach finds the fewest specimens.
func reach(ctx context.Context, p Plan, price Price, limits Limits, power float64, falls int, o Options) (Reach, error) {
	r := Reach{Falls: falls}
	room, by := limits.room(p, price, falls)
	s := &search{ctx, p, falls, power, o, map[int]*trial{}}
	fewest, err := s.fewest(room)
	if err != nil {
		all := problem.All(err)
		if len(all) == 0 {
			return r, err
		}
		r.Refused = all[0]
		return r, nil
	}
	if room < fewest {
		r.Refused = problem.New(problem.TooFew, fmt.Sprintf("%d falls", falls), "%s: room for %d of a condition, %d are needed", by, room, fewest).
			Hint("%s", p.With(fewest, falls).nearest())
		return r, nil
	}
	high := fewest
	for {
		t, err := s.at(high)
		if err != nil {
			return r, err
		}
		if t.up || high == room {
			break
		}
		high = min(2*high, room)
	}
	if !s.seen[high].up {
		r.Result, r.Stopped = s.seen[high].bench.result(s.seen[high].tally), by
		return r, nil
	}
	low := fewest - 1
	for n, t := range s.seen {
		if !t.up {
			low = max(low, n)
		}
	}
	for high-low > 1 {
		middle := (low + high) / 2
		t, err := s.at(middle)
		if err != nil {
			return r, err
		}
		if t.up {
			high = middle
		} else {
			low = middle
		}
	}
	r.Specimens = high
	r.Bill = price.Of(p.With(high, falls))
	r.Result = s.seen[high].bench.result(s.seen[high].tally)
	r.Close = s.seen[high].close || s.seen[low] != nil && s.seen[low].close
	return r, nil
}

// fewest specimens at which the plan can be judged.
func (s *search) fewest(room int) (int, error) {
	var err error
	for _, n := range []int{2, 3, 4, 6} {
		if n > max(room, 2) {
			break
		}
		if _, err = lay(s.plan.With(n, s.falls), s.o.Seed); err == nil {
			return n, nil
		}
	}
	return 0, err
}

// at simulates one size until it is clear whether it has the power wanted.
func (s *search) at(n int) (*trial, error) {
	if t := s.seen[n]; t != nil {
		return t, nil
	}
	b, err := lay(s.plan.With(n, s.falls), s.o.Seed)
	if err != nil {
		return nil, err
	}
	t := &trial{bench: b, tally: newTally(b)}
	first := b.fewer(s.o.Studies)
	for studies := first; ; studies *= 2 {
		if err := t.tally.more(s.ctx, b, s.o, studies, 0); err != nil {
			return nil, err
		}
		t.up, t.close = t.judge(s.power)
		if !t.close || studies >= 16*first {
			break
		}
	}
	s.seen[n] = t
	return t, nil
}

// judge compares the power of each question with the one wanted: up when all are at
// or above it, close when that hangs on one within three standard errors.
func (t *trial) judge(power float64) (up, close bool) {
	up = true
	sure := false // one is clearly below
	for q := range t.bench.plan.Questions {
		p := t.bench.power(t.tally, q)
		// The error is that at the power wanted: a p of 1 has none of its own.
		se := math.Sqrt(power * (1 - power) / float64(t.tally.studies))
		up = up && p.P >= power
		sure = sure || p.P < power-3*se
		close = close || math.Abs(p.P-power) <= 3*se
	}
	return up, close && !sure
}

// Sizes are numbers of specimens for a curve: every one up to eight, then fewer.
func Sizes(most int) []int {
	var out []int
	for n := 2; n <= most; n += 1 + n/8 {
		out = append(out, n)
	}
	if len(out) > 0 && out[len(out)-1] != most && most > 2 {
		out = append(out, most)
	}
	return slices.Clip(out)
}
