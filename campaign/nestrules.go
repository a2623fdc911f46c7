package campaign

import (
	"slices"
	"strconv"
	"strings"
)

// Factor returns the factor of that name.
func (p *Plan) Factor(name string) (Factor, bool) {
	for _, f := range p.Factors {
		if f.Name == name {
			return f, true
		}
	}
	return Factor{}, false
}

// Nested reports whether the factor has a level in some conditions only.
func (f Factor) Nested() bool { return f.Within.Factor != "" || len(f.Within.Levels) > 0 }

// Applies reports whether the factor has a level among these.
func (f Factor) Applies(levels map[string]string) bool {
	if !f.Nested() {
		return true
	}
	level, has := levels[f.Within.Factor]
	return has && slices.Contains(f.Within.Levels, level)
}

// nests holds that nested factors have somewhere to be, and that some condition is
// there.
func (c *checker) nests() {
	for i, f := range c.plan.Factors {
		if f.Nested() && c.nest(i, f) {
			c.used(i, f)
		}
	}
}

// nest reports whether a factor is nested in levels that there are.
func (c *checker) nest(i int, f Factor) bool {
	at := Place{Part: FactorPart, Index: i, Field: "within"}
	parent, known := c.plan.Factor(f.Within.Factor)
	var others []string
	for _, name := range c.plan.factorNames() {
		if name != f.Name {
			others = append(others, name)
		}
	}
	switch {
	case f.Within.Factor == f.Name:
		c.refuse(at, "the factor %q is nested in itself", f.Name).Hint("%s", oneOf("other factor", others))
		return false
	case !known:
		c.refuse(at, "there is no factor %q that %q could be nested in", f.Within.Factor, f.Name).Hint("%s", oneOf("other factor", others))
		return false
	case len(f.Within.Levels) == 0:
		c.refuse(at, "it does not say at which level of %q it has one", parent.Name).Hint("the levels are: %s", quoteAll(parent.Levels))
		return false
	case c.plan.circles(f) && slices.ContainsFunc(c.plan.Factors[:i], c.plan.circles):
		return false // the first of them is refused
	case c.plan.circles(f):
		c.refuse(at, "the factor %q is nested in itself by way of %q", f.Name, parent.Name).Hint("take within out of one of the two")
		return false
	}
	good := true
	for k, level := range f.Within.Levels {
		at.Element = strconv.Itoa(k)
		if !slices.Contains(parent.Levels, level) {
			c.refuse(at, "factor %q has no level %q", parent.Name, level).Hint("the levels are: %s", quoteAll(parent.Levels))
			good = false
		}
	}
	return good
}

// circles reports whether what a factor is nested in leads back to it.
func (p *Plan) circles(f Factor) bool {
	at := f
	for range p.Factors {
		parent, known := p.Factor(at.Within.Factor)
		if !known {
			return false
		}
		if parent.Name == f.Name {
			return true
		}
		at = parent
	}
	return false
}

// used holds that a condition is where a nested factor has a level.
func (c *checker) used(i int, f Factor) {
	if slices.ContainsFunc(c.plan.Conditions, func(cond Condition) bool { return f.Applies(cond.Levels) }) {
		return
	}
	in := strings.Join(quoted(f.Within.Levels), " or ")
	c.refuse(Place{Part: FactorPart, Index: i, Field: "within"},
		"the nested factor %q is empty: none of %s has %s %s", f.Name, count(len(c.plan.Conditions), "condition"), f.Within.Factor, in).
		Hint("add a condition with %s = %q and %s = %q", f.Within.Factor, f.Within.Levels[0], f.Name, first(f.Levels)).
		Hint("or take the factor %q out", f.Name)
}

// settled reports whether what a factor is nested in is as it should be, here and
// in the plan; else that is refused, and nothing that follows from it.
func (c *checker) settled(f Factor, cond Condition) bool {
	parent, known := c.plan.Factor(f.Within.Factor)
	level, given := cond.Levels[f.Within.Factor]
	for _, l := range f.Within.Levels {
		known = known && slices.Contains(parent.Levels, l)
	}
	return known && len(f.Within.Levels) > 0 && !c.plan.circles(f) && (slices.Contains(parent.Levels, level) || !given && !parent.Applies(cond.Levels))
}

// outside refuses the level of a nested factor where it has none.
func (c *checker) outside(at Place, cond Condition, f Factor) {
	at.Element = f.Name
	here := "none"
	if level, has := cond.Levels[f.Within.Factor]; has {
		here = strconv.Quote(level)
	}
	c.refuse(at, "%s belongs to %s %s, and here it is %s", f.Name, f.Within.Factor, strings.Join(quoted(f.Within.Levels), " or "), here).
		Hint("take %s out of these levels", f.Name)
}

func quoted(words []string) []string {
	out := make([]string, len(words))
	for i, w := range words {
		out[i] = strconv.Quote(w)
	}
	return out
}

func first(words []string) string {
	if len(words) == 0 {
		return ""
	}
	return words[0]
}
