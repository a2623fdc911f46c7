package campaign

import (
	"math"
	"slices"
)

// draw holds that the specimens of a plan that leaves them to the draw can be
// drawn: from which rope, how long, how many.
func (c *checker) draw() {
	wanted := c.wanted()
	at := func(field string) Place { return Place{Part: CuttingPart, Field: field} }
	cut := c.plan.Cutting
	switch {
	case !cut.Asked() && wanted >= 0:
		c.refuse(Place{Part: ConditionPart, Index: wanted, Field: "specimens"}, "there is no part that says how its specimens are cut").
			Hint("add [cutting] with each, or list the specimens as [[specimen]] or [[cut]]")
		return
	case !cut.Asked():
		return
	case wanted < 0:
		c.refuse(Place{Part: CuttingPart}, "no condition says how many specimens it has").
			Hint("add to each condition: specimens = 3")
	}
	c.lengths(at, cut)
	c.order()
}

// wanted is the first condition that has specimens to be drawn; −1 for none.
func (c *checker) wanted() int {
	out := -1
	for i, cond := range c.plan.Conditions {
		at := func(field string) Place { return Place{Part: ConditionPart, Index: i, Field: field} }
		if cond.Specimens < 0 || cond.Specimens > mostSpecimens {
			c.refuse(at("specimens"), "%d specimens, a condition has up to %d", cond.Specimens, mostSpecimens).
				Hint("give a number from 1, or list the specimens")
		}
		if cond.Specimens != 0 && out < 0 {
			out = i
		}
		lots := slices.Compact(slices.Sorted(slices.Values(c.plan.lots())))
		switch {
		case cond.Lot != "" && !slices.Contains(lots, cond.Lot):
			c.refuse(at("lot"), "there is no rope of lot %q", cond.Lot).Hint("%s", oneOf("rope", lots))
		case cond.Specimens != 0 && cond.Lot == "" && len(lots) > 1:
			c.refuse(at("lot"), "it does not say which rope its specimens are cut from").Hint("%s", oneOf("rope", lots))
		}
	}
	return out
}

// mostSpecimens of a condition is far beyond what anybody drops.
const mostSpecimens = 1000

// lengths holds what a piece takes and that the ropes have a length.
func (c *checker) lengths(at func(string) Place, cut Cutting) {
	for _, v := range []struct {
		field, what string
		value       float64
	}{{"each", "length of a piece", cut.Each}, {"knot_takes", "rope in a knot", cut.KnotTakes}, {"loss", "loss at a cut", cut.Loss}} {
		if !(v.value >= 0) || math.IsInf(v.value, 1) {
			c.refuse(at(v.field), "the %s is %g m", v.what, v.value).Hint("give a length, or leave it out")
		}
	}
	setting, _ := c.plan.Setting(c.plan.Series.Setting)
	switch needs := (Cutting{KnotTakes: cut.KnotTakes}).Piece(setting); {
	case cut.Each > 0 && cut.Each < needs:
		c.refuse(at("each"), "a piece of %g m is shorter than the free length of %g m and two knots of %g m", cut.Each, setting.FreeLength, cut.KnotTakes).
			Hint("cut at least %g m", needs)
	case cut.Each == 0 && cut.KnotTakes == 0:
		c.refuse(at("each"), "it does not say how much rope a piece takes").
			Hint(`give each = "3.40 m", or knot_takes = "40 cm" for each of its two knots`)
	}
	if cut.Spares < 0 || cut.Spares > mostSpecimens {
		c.refuse(at("spares"), "%d spares", cut.Spares).Hint("give a number, or leave it out for none")
	}
	for i, r := range c.plan.Ropes {
		if r.Length == 0 && c.plan.drawnFrom(r.Lot) {
			c.refuse(Place{Part: RopePart, Index: i, Field: "length"}, "specimens are to be cut from it, and its length is not given").
				Hint(`add: length = "60 m"`)
		}
	}
}

// drawnFrom reports whether specimens are drawn from ropes of a lot.
func (p *Plan) drawnFrom(lot string) bool {
	return slices.ContainsFunc(p.Conditions, func(c Condition) bool {
		return c.Specimens > 0 && (c.Lot == lot || c.Lot == "")
	})
}

func (c *checker) order() {
	o := c.plan.Order
	at := Place{Part: OrderPart, Field: "within"}
	seen := map[Within]bool{}
	for i, w := range o.Within {
		at.Element = itoa(i)
		switch {
		case !slices.Contains(Withins(), w):
			c.refuse(at, "%q is nothing that conditions can be balanced over", w).Hint("there is: %s", quoteAll(Withins()))
		case seen[w]:
			c.refuse(at, "%q is listed twice", w).Hint("list it once")
		case w == WithinDay && len(c.plan.Days.Dates) == 0:
			c.refuse(at, "there are no days to balance over").Hint("add [days] with its dates, or leave day out")
		}
		seen[w] = true
	}
	if o.MaxRun < 0 {
		c.refuse(Place{Part: OrderPart, Field: "max_run"}, "%d specimens of a condition in a row", o.MaxRun).Hint("give a number from 1, or leave it out for any")
	}
}

// numbers holds that what is supposed can be.
func (c *checker) numbers() {
	n := c.plan.Numbers
	at := func(field string) Place { return Place{Part: NumbersPart, Field: field} }
	if p := n.Power; p != 0 && !(p >= 0.5 && p < 1) {
		c.refuse(at("power"), "a power of %g %%", 100*p).Hint("give one from 50 %% to below 100 %%, commonly 80 %%")
	}
	if m := n.Margins; m != 0 && !(m > 1 && m <= 100) {
		c.refuse(at("margins"), "a difference of %g margins", m).
			Hint("suppose more than one margin: a difference at the margin itself is found half the time whatever the number")
	}
	for _, v := range []struct {
		field string
		share float64
	}{{"specimens", n.Specimens}, {"ropes", n.Ropes}, {"days", n.Days}, {"falls", n.Falls}} {
		if v.share != 0 && !(v.share > 0 && v.share < 1) {
			c.refuse(at(v.field), "a spread of %g %%", 100*v.share).Hint("give a standard deviation above zero and below 100 %%")
		}
	}
	for m, level := range n.Levels {
		here := at("levels")
		here.Element = string(m)
		if !slices.Contains(Measures(), m) {
			c.refuse(here, "%q is no value that a question can be about", m).Hint("the values are: %s", quoteAll(Measures()))
		} else if !positive(level) {
			c.refuse(here, "a level of %g %s", level, m.Unit()).Hint("give what a specimen of the baseline is likely to show")
		}
	}
	if n.Most < 0 || n.Most == 1 || n.Most > mostSpecimens {
		c.refuse(at("most"), "at most %d specimens of a condition", n.Most).Hint("give 2 to %d, or leave it out", mostSpecimens)
	}
	for _, v := range []struct {
		field string
		cost  float64
	}{{"per_metre", n.PerMetre}, {"per_hour", n.PerHour}} {
		if !(v.cost >= 0) || v.cost > 1e9 {
			c.refuse(at(v.field), "a cost of %g", v.cost).Hint("give a number above zero, or leave it out")
		}
	}
}
