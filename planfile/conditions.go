package planfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/num/doe"
)

// conditions reads what is varied and the conditions: those that are listed, then
// those that the factors make besides.
func (r *reading) conditions(root *node) {
	var lots []lotsOf
	for i, n := range r.tables(root, "factor") {
		f := r.open(n.part, n.node, i)
		levels, _ := f.texts("levels")
		made := campaign.Factor{Name: f.text("name"), Levels: levels, Within: f.within()}
		r.made.Factors = append(r.made.Factors, made)
		lots = append(lots, f.lots(made))
	}
	made := r.tables(root, "combinations")
	if _, listed := root.get("condition"); listed || len(made) == 0 {
		for i, n := range r.tables(root, "condition") {
			f := r.open(n.part, n.node, i)
			r.made.Conditions = append(r.made.Conditions, campaign.Condition{
				Name: f.text("name"), Levels: f.levels("levels"), Baseline: f.flag("baseline"),
				Lot: f.text("lot"), Specimens: f.whole("specimens"),
			})
		}
	}
	for _, n := range made {
		r.combined = true
		r.combinations(r.open(n.part, n.node, 0))
	}
	for i := range r.made.Conditions {
		r.lot(i, lots)
	}
}

// within reads { water = "soaked" } or { water = ["soaked", "dried"] }.
func (f form) within() campaign.Nest {
	n := f.take("within")
	if n == nil {
		return campaign.Nest{}
	}
	const wanted = "a table with one factor and its levels"
	if n.kind != isTable || len(n.entries) != 1 {
		f.wrong(n, "within", wanted)
		return campaign.Nest{}
	}
	e := n.entries[0]
	items := e.value.items
	if e.value.kind == isText {
		items = []*node{e.value}
	}
	nest := campaign.Nest{Factor: e.name}
	for i, item := range items {
		if item.kind != isText {
			f.wrong(item, "within", wanted)
			return campaign.Nest{}
		}
		at := f.field("within")
		at.Element = strconv.Itoa(i)
		f.mark(at, item.at)
		nest.Levels = append(nest.Levels, item.text)
	}
	if len(items) == 0 && e.value.kind != isList {
		f.wrong(e.value, "within", wanted)
		return campaign.Nest{}
	}
	return nest
}

// lotsOf is which lot is cut for each level of a factor.
type lotsOf struct {
	factor string
	lot    map[string]string
	at     map[string]span // of a level's lot
}

// lots reads a lot for each level.
func (f form) lots(of campaign.Factor) lotsOf {
	words, items := f.texts("lots")
	out := lotsOf{factor: of.Name, lot: map[string]string{}, at: map[string]span{}}
	e, there := f.node.get("lots")
	if !there || f.spoilt(f.field("lots")) || f.spoilt(f.field("levels")) {
		return out
	}
	if len(words) != len(of.Levels) {
		f.refuse(e.value.at, "there are %d lots for %d levels", len(words), len(of.Levels)).Hint("give one lot for each level, in the same order")
		f.spoil(f.field("lots"))
		return out
	}
	for i, level := range of.Levels {
		out.lot[level], out.at[level] = words[i], items[i].at
	}
	return out
}

// lot gives a condition that does not say its lot the one of its level.
func (r *reading) lot(i int, lots []lotsOf) {
	c := &r.made.Conditions[i]
	for _, l := range lots {
		level := c.Levels[l.factor]
		if lot, there := l.lot[level]; there && c.Lot == "" {
			c.Lot = lot
			r.mark(campaign.Place{Part: campaign.ConditionPart, Index: i, Field: "lot"}, l.at[level])
		}
	}
}

// Conditions of a plan that are still told apart, and combinations that are counted
// out to see how many there are.
const mostConditions, mostCounted = 60, 10000

// combinations makes a condition of each combination of the factors that is not
// listed as one already.
func (r *reading) combinations(f form) {
	specimens := f.whole("specimens")
	baseline := f.levels("baseline")
	all, ok := r.full(f)
	if !ok {
		for _, follows := range []string{"condition", "specimen", "cutting"} {
			r.spoilts[wholePart(follows)] = true
		}
		return
	}
	found := false
	for _, c := range all {
		one := r.condition(c)
		one.Specimens = specimens
		one.Baseline = len(baseline) > 0 && same(one.Levels, baseline)
		found = found || one.Baseline
		listed := slices.IndexFunc(r.made.Conditions, func(c campaign.Condition) bool { return same(c.Levels, one.Levels) })
		if listed >= 0 {
			r.baseline(f, listed, one.Baseline)
			continue
		}
		r.made.Conditions = append(r.made.Conditions, one)
		r.madeFrom(f, len(r.made.Conditions)-1)
	}
	if len(baseline) > 0 && !found {
		e, _ := f.node.get("baseline")
		f.refuse(e.value.at, "none of the %d combinations has these levels", len(all)).Hint("one is: %s", levelsOf(&r.made, r.condition(all[0])))
		r.spoilts[campaign.Place{Part: campaign.ConditionPart, Index: -1, Field: "baseline"}] = true
	}
}

// condition is a combination under the name that its levels make.
func (r *reading) condition(c doe.Combination) campaign.Condition {
	out := campaign.Condition{Levels: map[string]string{}}
	var words []string
	for i, level := range c {
		if level != "" {
			out.Levels[r.made.Factors[i].Name] = level
			words = append(words, level)
		}
	}
	out.Name = strings.Join(words, " ")
	return out
}

// baseline marks a listed condition.
func (r *reading) baseline(f form, i int, is bool) {
	if is && !r.made.Conditions[i].Baseline {
		r.made.Conditions[i].Baseline = true
		e, _ := f.node.get("baseline")
		r.mark(campaign.Place{Part: campaign.ConditionPart, Index: i, Field: "baseline"}, e.value.at)
	}
}

// madeFrom marks where a condition that was made comes from.
func (r *reading) madeFrom(f form, i int) {
	at := func(field string) campaign.Place {
		return campaign.Place{Part: campaign.ConditionPart, Index: i, Field: field}
	}
	r.mark(at(""), f.node.at)
	for _, key := range []string{"specimens", "baseline"} {
		if e, there := f.node.get(key); there {
			r.mark(at(key), e.value.at)
		}
	}
}

// full lists the combinations of the factors; ok is false when they make none or too
// many, which is refused here or by the rules of factors.
func (r *reading) full(f form) (all []doe.Combination, ok bool) {
	factors := make([]doe.Factor, len(r.made.Factors))
	counted := 1
	for i, of := range r.made.Factors {
		factors[i] = doe.Factor{Name: of.Name, Levels: of.Levels}
		if of.Nested() {
			factors[i].Within = &doe.Within{Factor: of.Within.Factor, Levels: of.Within.Levels}
		}
		counted = min(counted*max(1, len(of.Levels)), mostCounted+1)
	}
	if len(factors) == 0 {
		f.refuse(f.node.at, "there is no factor that makes combinations").Hint("add [[factor]] with its levels, or list conditions as [[condition]]")
		return nil, false
	}
	if counted <= mostCounted {
		made, err := doe.Full(factors)
		if err != nil {
			if !slices.ContainsFunc(r.made.Faults(), func(f campaign.Fault) bool { return f.Place.Part == campaign.FactorPart }) {
				f.refuse(f.node.at, "the factors make no combinations: %v", err)
			}
			return nil, false
		}
		if all = made; len(all) <= mostConditions {
			return all, true
		}
	}
	number := fmt.Sprint(len(all))
	if all == nil {
		number = fmt.Sprintf("more than %d", mostCounted)
	}
	f.refuse(f.node.at, "the %d factors make %s combinations, and up to %d conditions can be told apart", len(factors), number, mostConditions).
		Hint("list the conditions that are wanted as [[condition]]").Hint("or leave factors or levels out")
	return nil, false
}

func same(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for k, v := range a {
		if b[k] != v {
			return false
		}
	}
	return true
}

// levelsOf are a condition's levels as they stand in a file.
func levelsOf(p *campaign.Plan, c campaign.Condition) string {
	var words []string
	for _, f := range p.Factors {
		if level, has := c.Levels[f.Name]; has {
			words = append(words, fmt.Sprintf("%s = %q", f.Name, level))
		}
	}
	return "{ " + strings.Join(words, ", ") + " }"
}
