// Package draw turns a plan that leaves its specimens to the draw into one that
// lists them: which piece of which rope is of which condition, which are spares,
// and in which order they are dropped.
package draw

import (
	"cmp"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/cutlist"
	"fallwright.example/num/doe"
	"fallwright.example/problem"
)

// Specimens deals pieces of rope to the conditions of a plan that leaves it to the
// draw, and gives each specimen its place in the order of drops. The same plan
// gives the same draw: everything comes from the seed of its order. A plan that
// lists its specimens is returned as it is, without a cut list.
//
// Which piece is of which condition is drawn by cutlist.Plan. Of a condition's
// pieces those that are spares are drawn too. The order of drops is drawn among
// all that the order permits (days alike, no long rows of one condition), and the
// specimens of a condition are dealt to its places by another shuffle.
func Specimens(p campaign.Plan) (campaign.Plan, *cutlist.List, error) {
	if !p.Cutting.Asked() {
		return p, nil, nil
	}
	list, err := cutlist.Plan(Ropes(&p), Demand(&p))
	if err != nil {
		return p, nil, err
	}
	condition := map[string]string{}
	for _, k := range list.Key {
		condition[k.Label] = k.Condition
	}
	p.Specimens = nil
	for _, piece := range list.Pieces {
		s := campaign.Specimen{
			Label: piece.Label, Lot: piece.Lot, Condition: condition[piece.Label], From: piece.From, To: piece.To, Knots: p.Cutting.Knots,
		}
		if piece.Rope != piece.Lot {
			s.Rope = piece.Rope
		}
		p.Specimens = append(p.Specimens, s)
	}
	if err := order(&p); err != nil {
		return p, nil, err
	}
	for i, piece := range list.Pieces {
		s, _ := p.Specimen(piece.Label)
		list.Pieces[i].Spare = s.Spare
	}
	return p, list, nil
}

// markClear is how far a piece keeps from a middle mark, in metres.
const markClear = 0.05

// Ropes are a plan's ropes as they are cut.
func Ropes(p *campaign.Plan) []cutlist.Rope {
	var out []cutlist.Rope
	for _, r := range p.Ropes {
		one := cutlist.Rope{
			Name: r.ID(), Lot: r.Lot, Length: r.Length, DiscardStart: r.Discard, DiscardEnd: r.Discard, Middle: r.MiddleMark,
		}
		if r.MiddleMark > 0 {
			one.MiddleClear = markClear
		}
		for _, d := range r.Damage {
			one.Damage = append(one.Damage, cutlist.Interval{From: d.From, To: d.To})
		}
		if r.Length > 0 {
			out = append(out, one)
		}
	}
	return out
}

// Demand is what a plan wants cut. A piece whose length is said as a whole has
// in its knots what the free length leaves.
func Demand(p *campaign.Plan) cutlist.Demand {
	setting, _ := p.Setting(p.Series.Setting)
	free := setting.FreeLength
	knot := (p.Cutting.Piece(setting) - free) / 2
	if knot < 0 { // the free length of the setting is not all of it
		free, knot = p.Cutting.Piece(setting), 0
	}
	d := cutlist.Demand{
		Knots: cutlist.Knots{Count: 2, TakeUp: knot, Name: p.Cutting.Knots},
		Kerf:  p.Cutting.Loss, Keep: p.Cutting.Piece(setting), Seed: p.Order.Seed, Blind: p.Order.Blind,
		Spread: slices.Contains(p.Order.Within, campaign.WithinRope),
	}
	for _, c := range p.Conditions {
		if c.Specimens == 0 {
			continue
		}
		lot := c.Lot
		if lot == "" {
			lot = p.Ropes[0].Lot
		}
		d.Wants = append(d.Wants, cutlist.Want{Lot: lot, Condition: c.Name, Count: c.Specimens + p.Cutting.Spares, FreeLength: free})
	}
	return d
}

// The draws of an order, each with a seed of its own; those of the cut list come
// before them.
const (
	orderSeed = 1000 + iota
	specimenSeed
)

// order gives specimens their places and days, and says which are spares.
func order(p *campaign.Plan) error {
	var count []int
	var names []string
	runs := 0
	for _, c := range p.Conditions {
		if c.Specimens > 0 {
			names, count, runs = append(names, c.Name), append(count, c.Specimens), runs+c.Specimens
		}
	}
	days := 1
	if slices.Contains(p.Order.Within, campaign.WithinDay) {
		days = max(1, min(len(p.Days.Dates), runs))
	}
	o := doe.Order{Count: count, MaxRun: p.Order.MaxRun}
	for i := range days {
		o.Days = append(o.Days, runs*(i+1)/days-runs*i/days)
	}
	drawn, err := drawOrder(o, doe.SeedOf(p.Order.Seed, orderSeed))
	if err != nil {
		return err
	}
	for t, name := range names {
		dealt := shuffled(p, name, doe.SeedOf(p.Order.Seed, specimenSeed+t))
		next := 0
		for place, of := range drawn {
			if of == t {
				s := &p.Specimens[dealt[next]]
				s.Place = place + 1
				if days > 1 {
					s.Day = dayOf(o.Days, place)
				}
				next++
			}
		}
		for _, i := range dealt[next:] {
			p.Specimens[i].Spare = true
		}
	}
	return nil
}

func drawOrder(o doe.Order, seed uint64) ([]int, error) {
	refused := func(err error) error {
		p := problem.New(problem.Invalid, "order", "no order of drops keeps to it: %v", err)
		var empty *doe.EmptyError
		if errors.As(err, &empty) || o.MaxRun > 0 {
			p.Hint("allow longer rows of one condition (max_run), or leave days unbalanced")
		}
		return p.In("nothing was drawn")
	}
	d, err := o.Draw()
	if err != nil {
		return nil, refused(err)
	}
	urn, err := d.Urn()
	if err != nil {
		return nil, refused(err)
	}
	drawn, err := urn.Draw(seed)
	if err != nil {
		return nil, refused(err)
	}
	return drawn.Treatment, nil
}

// shuffled are the places in the plan of a condition's specimens, in an order of
// chance.
func shuffled(p *campaign.Plan, condition string, seed uint64) []int {
	var at []int
	for i, s := range p.Specimens {
		if s.Condition == condition {
			at = append(at, i)
		}
	}
	rand.New(rand.NewPCG(seed, 0)).Shuffle(len(at), func(i, j int) { at[i], at[j] = at[j], at[i] })
	return at
}

// dayOf is the day of a place in the order, from 1.
func dayOf(days []int, place int) int {
	for i, n := range days {
		if place < n {
			return i + 1
		}
		place -= n
	}
	panic(fmt.Sprintf("draw: place %d is beyond all days", place))
}

// Order lists the specimens that are to be dropped, in the order drawn; those
// without a place as the plan lists them.
func Order(p *campaign.Plan) []campaign.Specimen {
	var out []campaign.Specimen
	for _, s := range p.Specimens {
		if !s.Spare {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b campaign.Specimen) int { return cmp.Compare(a.Place, b.Place) })
	return out
}
