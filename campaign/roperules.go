package campaign

import (
	"math"
	"strings"
)

// ropeNames holds that no two ropes go by one name: a lot that is several ropes
// has a name for each.
func (c *checker) ropeNames() {
	first := map[string]int{}
	for i, r := range c.plan.Ropes {
		at := Place{Part: RopePart, Index: i, Field: "lot"}
		what, name := "lot", r.Lot
		if r.Name != "" {
			at.Field, what, name = "name", "name", r.Name
		}
		switch j, seen := first[r.ID()]; {
		case strings.TrimSpace(r.Lot) == "":
			c.refuse(at, "it has no lot").Hint("give it a lot of its own")
		case untidy(name):
			c.refuse(at, "the %s %q has a space or a control character that would not be seen", what, name).
				Hint("write %q", tidy(name))
		case seen:
			c.refuse(at, "the %s %q is taken by rope %d", what, name, j+1).
				Hint("give one of the two another %s", what)
		default:
			first[r.ID()] = i
		}
	}
}

// unusable holds that what is not to be cut lies on the rope.
func (c *checker) unusable(at func(string) Place, r Rope) {
	if !(r.Discard >= 0) || math.IsInf(r.Discard, 1) || r.Length > 0 && 2*r.Discard >= r.Length {
		c.refuse(at("discard"), "%g m at each end leave nothing of a rope of %g m", r.Discard, r.Length).
			Hint(`give what is left out at each end, such as "1 m"`)
	}
	for i, d := range r.Damage {
		here := at("damage")
		here.Element = itoa(i)
		switch {
		case !(d.From >= 0) || !(d.To > d.From) || math.IsInf(d.To, 1):
			c.refuse(here, "a damage from %g m to %g m is no part of a rope", d.From, d.To).
				Hint(`say from where to where, such as "22.4 m to 22.9 m"`)
		case r.Length > 0 && d.To > r.Length:
			c.refuse(here, "the damage ends at %g m, and the rope is %g m long", d.To, r.Length).
				Hint("measure from one end of the rope, which is 0 m")
		}
	}
	if m := r.MiddleMark; !(m >= 0) || math.IsInf(m, 1) || r.Length > 0 && m >= r.Length {
		c.refuse(at("middle_mark"), "the mark is at %g m of a rope of %g m", m, r.Length).
			Hint("measure from one end of the rope, which is 0 m")
	}
}
