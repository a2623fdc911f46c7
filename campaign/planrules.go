package campaign

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// study holds the rules of the study's own name, which becomes part of commands
// and addresses.
func (c *checker) study() {
	at := Place{Part: StudyPart, Field: "name"}
	switch name := c.plan.Name; {
	case name == "":
		c.refuse(at, "the study has no name").Hint(`give it one word, such as "sea-water"`)
	case !isStudyName(name):
		c.refuse(at, "the name %q is not one word of a-z, 0-9 and hyphens", name).
			Hint("write %q", asStudyName(name))
	}
}

// isStudyName reports whether name can stand in a command and in an address.
func isStudyName(name string) bool {
	return name != "" && name[0] != '-' && !strings.ContainsFunc(name, func(r rune) bool { return r != '-' && (r < 'a' || r > 'z') && (r < '0' || r > '9') })
}

// asStudyName suggests a name that is allowed.
func asStudyName(name string) string {
	words := strings.FieldsFunc(strings.ToLower(name), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	})
	if len(words) == 0 {
		return "sea-water"
	}
	return strings.Join(words, "-")
}

// questions holds that each question can be answered by the drops planned.
func (c *checker) questions() {
	names := make([]string, len(c.plan.Questions))
	for i, q := range c.plan.Questions {
		names[i] = q.Name
	}
	c.named(QuestionPart, "name", names)
	for i, q := range c.plan.Questions {
		at := func(field string) Place { return Place{Part: QuestionPart, Index: i, Field: field} }
		if !slices.Contains(Measures(), q.Value) {
			c.refuse(at("value"), "%q is no value that a question can be about", q.Value).
				Hint("the values are: %s", quoteAll(Measures()))
		}
		c.contrast(at, q)
		c.answeringFalls(at("falls"), q.Falls)
		c.shape(at, q)
		c.about(at, q)
		c.margin(at("margin"), q.Value, q.Margin)
	}
}

func (c *checker) contrast(at func(string) Place, q Question) {
	sides := []struct{ field, name string }{{"compare", q.Compare}, {"baseline", q.Baseline}}
	for _, side := range sides {
		switch _, known := c.plan.Condition(side.name); {
		case !known:
			c.refuse(at(side.field), "there is no condition %q", side.name).
				Hint("%s", oneOf("condition", c.plan.conditionNames()))
		case !c.plan.hasSpecimen(side.name):
			c.refuse(at(side.field), "condition %q has no specimen, so nothing can answer the question", side.name).
				Hint("give the condition at least two specimens, or take the question out")
		}
	}
	if q.Compare == q.Baseline && q.Compare != "" && len(q.BaselineFalls) == 0 {
		c.refuse(at("compare"), "condition %q would be compared with itself", q.Compare).
			Hint("name two different conditions").Hint("for a condition with itself at another fall, say which: with_falls = [1]")
	}
}

// shape holds that the falls on both sides make a contrast.
func (c *checker) shape(at func(string) Place, q Question) {
	if !slices.Contains(Claims(), q.Claim) {
		c.refuse(at("claim"), "%q is nothing that a question can be to show", q.Claim).
			Hint("write %s, or leave it out for a difference either way", quoteAll(Claims()[1:]))
	}
	if len(q.BaselineFalls) > 0 {
		c.answeringFalls(at("baseline_falls"), q.BaselineFalls)
	}
	switch shared := sharedFall(q); {
	case q.Trend && len(q.BaselineFalls) > 0:
		c.refuse(at("baseline_falls"), "a trend is compared over the same falls on both sides").Hint("take with_falls out")
	case q.Trend && len(q.Falls) == 1:
		c.refuse(at("falls"), "one fall has no trend").Hint(`name several, such as "1 to 5"`)
	case q.Compare == q.Baseline && shared > 0:
		c.refuse(at("baseline_falls"), "fall %d of condition %q would be compared with itself", shared, q.Compare).
			Hint("name other falls on the two sides")
	}
}

// sharedFall is a fall that is on both sides of a question; 0 for none.
func sharedFall(q Question) int {
	for _, n := range q.BaselineFalls {
		if slices.Contains(q.Falls, n) {
			return n
		}
	}
	return 0
}

func (c *checker) answeringFalls(at Place, falls []int) {
	if len(falls) == 0 {
		c.refuse(at, "no fall is named that answers the question").
			Hint("name falls of the series, such as 1")
	}
	seen := map[int]bool{}
	for i, n := range falls {
		at.Element = strconv.Itoa(i)
		switch {
		case n < 1 || n > c.plan.Series.Falls:
			c.refuse(at, "fall %d is outside the series, which has %s", n, count(c.plan.Series.Falls, "fall")).
				Hint("name falls from 1 to %d, or make the series longer", max(c.plan.Series.Falls, 1))
		case seen[n]:
			c.refuse(at, "fall %d is named twice", n).Hint("name it once")
		}
		seen[n] = true
	}
}

func (c *checker) margin(at Place, of Measure, m Margin) {
	const say = `give the smallest difference that matters, such as "5 %" or an amount in the value's own unit`
	text := fmt.Sprintf("%.4g %%", 100*m.Share)
	if m.Share == 0 {
		text = fmt.Sprintf("%g %s", m.Amount, of.Unit())
	}
	switch {
	case m.Share == 0 && m.Amount == 0:
		c.refuse(at, "the margin is 0, or there is none").Hint("%s", say)
	case m.Share != 0 && m.Amount != 0:
		c.refuse(at, "the margin is both a share and an amount").Hint("keep one of the two")
	case !positive(m.Share + m.Amount):
		c.refuse(at, "the margin is %s, which is not above zero", text).Hint("%s", say)
	case m.Share >= 1:
		c.refuse(at, "the margin of %s is the whole of the baseline or more", text).Hint("%s", say)
	}
}

// factors holds that there is something to vary.
func (c *checker) factors() {
	names := make([]string, len(c.plan.Factors))
	for i, f := range c.plan.Factors {
		names[i] = f.Name
	}
	c.named(FactorPart, "name", names)
	for i, f := range c.plan.Factors {
		at := Place{Part: FactorPart, Index: i, Field: "levels"}
		if len(f.Levels) == 0 {
			c.refuse(at, "the factor has no level").Hint(`list its levels, such as "dry" and "soaked"`)
		}
		seen := map[string]bool{}
		for j, level := range f.Levels {
			at.Element = strconv.Itoa(j)
			switch {
			case level == "" || untidy(level):
				c.refuse(at, "the level %q is no name", level).Hint("give the level a word")
			case seen[level]:
				c.refuse(at, "the level %q is listed twice", level).Hint("list it once")
			}
			seen[level] = true
		}
	}
	c.nests()
}

// conditions holds that each is one combination of levels, and that no two are
// the same.
func (c *checker) conditions() {
	p := c.plan
	c.named(ConditionPart, "name", p.conditionNames())
	var baselines []string
	combination := map[string]int{}
	for i, cond := range p.Conditions {
		at := Place{Part: ConditionPart, Index: i, Field: "levels"}
		if complete := c.levels(at, cond); complete {
			key := p.combination(cond)
			if j, seen := combination[key]; seen {
				c.refuse(at, "it has the same levels as condition %q", p.Conditions[j].Name).
					Hint("change a level, or name what sets the two apart as a factor")
			} else {
				combination[key] = i
			}
		}
		if cond.Baseline {
			baselines = append(baselines, cond.Name)
			if len(baselines) > 1 {
				c.refuse(Place{Part: ConditionPart, Index: i, Field: "baseline"},
					"condition %q is the baseline already", baselines[0]).Hint("mark one condition only")
			}
		}
	}
	if len(p.Conditions) > 1 && len(baselines) == 0 {
		c.refuse(Place{Part: ConditionPart}, "none of the %d conditions is the baseline", len(p.Conditions)).
			Hint("mark the one that the others are compared with").Where = "conditions"
	}
}

// levels reports whether the condition gives every factor a level it has. A
// factor that the plan lacks is most likely one of its own misspelt, so then
// nothing is said of those left out.
func (c *checker) levels(at Place, cond Condition) bool {
	strangers := c.strangers(at, cond)
	good := !strangers
	for _, f := range c.plan.Factors {
		level, given := cond.Levels[f.Name]
		switch {
		case !f.Applies(cond.Levels):
			if given && c.settled(f, cond) {
				good = false
				c.outside(at, cond, f)
			}
		case !given:
			good = false
			if !strangers {
				c.refuse(at, "it does not say its level of factor %q", f.Name).
					Hint("the levels are: %s", quoteAll(f.Levels))
			}
		case !slices.Contains(f.Levels, level):
			good = false
			here := at
			here.Element = f.Name
			c.refuse(here, "factor %q has no level %q", f.Name, level).
				Hint("the levels are: %s", quoteAll(f.Levels))
		}
	}
	return good
}

// strangers refuses levels of factors that the plan lacks.
func (c *checker) strangers(at Place, cond Condition) (any bool) {
	for _, name := range sortedKeys(cond.Levels) {
		if !slices.Contains(c.plan.factorNames(), name) {
			at.Element = name
			c.refuse(at, "there is no factor %q", name).Hint("%s", oneOf("factor", c.plan.factorNames()))
			any = true
		}
	}
	return any
}

// combination is a text that two conditions share when their levels are equal.
func (p *Plan) combination(cond Condition) string {
	var b strings.Builder
	for _, f := range p.Factors {
		fmt.Fprintf(&b, "%q=%q;", f.Name, cond.Levels[f.Name])
	}
	return b.String()
}

func (p *Plan) conditionNames() []string {
	names := make([]string, len(p.Conditions))
	for i, c := range p.Conditions {
		names[i] = c.Name
	}
	return names
}

func (p *Plan) factorNames() []string {
	names := make([]string, len(p.Factors))
	for i, f := range p.Factors {
		names[i] = f.Name
	}
	return names
}

// hasSpecimen reports whether a condition has a specimen, listed or to be drawn.
func (p *Plan) hasSpecimen(condition string) bool {
	c, _ := p.Condition(condition)
	return c.Specimens > 0 || slices.ContainsFunc(p.Specimens, func(s Specimen) bool { return s.Condition == condition })
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func quoteAll[S ~string](names []S) string {
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = strconv.Quote(string(n))
	}
	return strings.Join(quoted, ", ")
}

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

// count spells a number of things: "1 fall", "5 falls".
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
