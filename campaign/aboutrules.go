package campaign

import (
	"fmt"
	"slices"
	"strings"
)

// about holds that the answer to a question can be put down to the factor that it
// is about: the two sides differ in that factor, and in no other but those nested in
// it.
func (c *checker) about(at func(string) Place, q Question) {
	if q.About == "" {
		return
	}
	a, hasA := c.plan.Condition(q.Compare)
	b, hasB := c.plan.Condition(q.Baseline)
	f, known := c.plan.Factor(q.About)
	switch {
	case !known:
		c.refuse(at("about"), "there is no factor %q", q.About).Hint("%s", oneOf("factor", c.plan.factorNames()))
		return
	case !hasA || !hasB || q.Compare == q.Baseline:
		return // which is refused already, or compares falls
	case a.Levels[f.Name] == b.Levels[f.Name]:
		c.refuse(at("about"), "%q and %q do not differ in %s, so they say nothing of it", a.Name, b.Name, f.Name).
			Hint("%s", c.plan.wanting(b, f.Name, ""))
		return
	}
	others := c.plan.apart(a, b, f.Name)
	if len(others) == 0 {
		return
	}
	var also []string
	for _, o := range others {
		also = append(also, fmt.Sprintf("%s (%s and %s)", o, orNone(a.Levels[o]), orNone(b.Levels[o])))
	}
	c.refuse(at("about"), "%q and %q differ in %s too, so the answer cannot be put down to %s", a.Name, b.Name, strings.Join(also, ", "), f.Name).
		Hint("%s", c.plan.wanting(a, f.Name, b.Levels[f.Name])).
		Hint("or take about out: the answer then holds for all that differs")
}

// apart lists the factors beside one in which two conditions differ; what is nested
// in that one differs with it.
func (p *Plan) apart(a, b Condition, but string) []string {
	var out []string
	for _, f := range p.Factors {
		if f.Name != but && !p.under(f, but) && a.Levels[f.Name] != b.Levels[f.Name] {
			out = append(out, f.Name)
		}
	}
	return out
}

// under reports whether a factor is nested in another, however deep.
func (p *Plan) under(f Factor, name string) bool {
	for range p.Factors {
		if !f.Nested() {
			return false
		}
		if f.Within.Factor == name {
			return true
		}
		f, _ = p.Factor(f.Within.Factor)
	}
	return false
}

// wanting names conditions that differ from one in a factor alone, or says which
// is missing. level is what the factor should be there; empty for any other.
func (p *Plan) wanting(from Condition, factor, level string) string {
	var names []string
	for _, c := range p.Conditions {
		if c.Levels[factor] != from.Levels[factor] && (level == "" || c.Levels[factor] == level) && len(p.apart(from, c, factor)) == 0 {
			names = append(names, fmt.Sprintf("%q", c.Name))
		}
	}
	if len(names) > 0 {
		return fmt.Sprintf("compare %q with %s", from.Name, strings.Join(names, " or "))
	}
	if level == "" {
		level = "another level"
	}
	var same []string
	for _, f := range p.Factors {
		if l := from.Levels[f.Name]; l != "" && f.Name != factor && !p.under(f, factor) {
			same = append(same, fmt.Sprintf("%s = %q", f.Name, l))
		}
	}
	slices.Sort(same)
	return strings.TrimSuffix(fmt.Sprintf("missing is a condition with %s: %s, and else as %q: %s", factor, level, from.Name, strings.Join(same, ", ")), ": ")
}

func orNone(level string) string {
	if level == "" {
		return "none"
	}
	return level
}
