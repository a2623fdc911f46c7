package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/lmm"
)

// Influence is what one specimen, or one value, does to the findings.
type Influence struct {
	Name      string  `json:"name"` // the specimen's label, or what the row is called
	Condition string  `json:"condition"`
	Effect    float64 `json:"-"` // how far it stands off, over the SD of that; see lmm.Fit.Standing
	Outlying  bool    `json:"outlying"`
	// Changes of the differences over all falls when it is left out, the largest
	// first, then those that begin or cease to exclude zero; nil when that was
	// not tried.
	Changes []Change `json:"changes"`
}

// Change is one difference with and without something. Without is NaN when the
// difference cannot be had without it.
type Change struct {
	Condition string  `json:"condition"`
	Baseline  string  `json:"baseline"`
	Fall      Fall    `json:"fall"` // where it is at one
	With      float64 `json:"-"`    // the difference, on the model's scale
	Without   float64 `json:"-"`
	InSE      float64 `json:"-"`     // (Without − With) over the SE with all values
	P         float64 `json:"-"`     // of With, by itself, not adjusted
	PWithout  float64 `json:"-"`     // of Without
	Turns     bool    `json:"turns"` // one p is below 0.05 and the other is not
}

// Limits of what is refitted without each.
const (
	mostSpecimensLeftOut = 400
	mostValuesLeftOut    = 400
	mostRefitted         = 200_000 // values in all refits without a specimen, some seconds
)

// target is a difference whose change is looked at.
type target struct {
	Difference
	row []float64
}

// influences refits without each specimen and without each value, and returns
// what to say of it.
func (c *Checks) influences(a *Analysis) []string {
	t, m := a.table, a.model
	targets := a.targets()
	if targets == nil {
		return nil
	}
	var notes []string
	if k := len(c.Specimens); k > mostSpecimensLeftOut || k*t.n > mostRefitted {
		notes = append(notes, fmt.Sprintf("%d specimens with %d values: what leaving out each would change was not worked out, the limit is %d specimens and %d for the product of the two",
			k, t.n, mostSpecimensLeftOut, mostRefitted))
	} else {
		rows := make([][]int, k)
		for i, s := range t.specimen.code {
			if k > 0 {
				rows[s] = append(rows[s], i)
			}
		}
		for s := range c.Specimens {
			c.Specimens[s].Changes = m.leaving(rows[s], targets, a.Ask.DF)
		}
		notes = append(notes, mostInfluential(c.Specimens, "specimen ")...)
	}
	if t.n > mostValuesLeftOut {
		return append(notes, fmt.Sprintf("%d values: what leaving out each would change was not worked out, the limit is %d", t.n, mostValuesLeftOut))
	}
	for i, r := range c.Residuals {
		d := Influence{Name: r.Row, Condition: r.Condition, Effect: r.Standardised, Outlying: r.Outlying}
		d.Changes = m.leaving([]int{i}, targets, a.Ask.DF)
		c.Drops = append(c.Drops, d)
	}
	return append(notes, mostInfluential(c.Drops, "")...)
}

// leaving fits without some rows and compares.
func (m *model) leaving(rows []int, targets []target, by lmm.DF) []Change {
	nan := math.NaN()
	out := make([]Change, len(targets))
	fit, err := m.fit.Without(rows...)
	for k, d := range targets {
		out[k] = Change{Condition: d.Condition, Baseline: d.Baseline, Fall: d.Fall, With: d.Amount, Without: nan, InSE: nan, P: d.P, PWithout: nan}
		if err != nil || fit.Estimable(d.row) != nil {
			continue
		}
		without, err := fit.Contrast(d.row, by)
		if err != nil {
			continue
		}
		out[k].Without, out[k].PWithout = without.Estimate, without.P
		out[k].InSE = (without.Estimate - d.Amount) / d.SE
		out[k].Turns = (d.P < alpha) != (without.P < alpha)
	}
	slices.SortStableFunc(out, func(a, b Change) int { return cmp.Compare(b.size(), a.size()) })
	kept := out[:1]
	for _, change := range out[1:] {
		if change.Turns {
			kept = append(kept, change)
		}
	}
	return kept
}

// size orders changes; one that takes the difference away is the largest.
func (c Change) size() float64 {
	if math.IsNaN(c.InSE) {
		return math.Inf(1)
	}
	return math.Abs(c.InSE)
}

// targets are the differences over all falls that can be had; failing those the
// ones at each fall.
func (a *Analysis) targets() []target {
	var out []target
	for _, table := range [][]Difference{a.Overall, a.Against} {
		for _, d := range table {
			if !(d.SE > 0) {
				continue
			}
			if c, err := a.contrast(d.Condition, d.Baseline, d.over()); err == nil {
				out = append(out, target{d, lmm.Difference(c.seen, c.other)})
			}
		}
		if out != nil {
			break
		}
	}
	return out
}

// mostInfluential says what the most influential of some does, and which of them turn a
// difference.
func mostInfluential(all []Influence, what string) []string {
	var out []string
	most, turning := -1, []string{}
	for i, x := range all {
		if len(x.Changes) == 0 {
			continue
		}
		if most < 0 || x.Changes[0].size() > all[most].Changes[0].size() {
			most = i
		}
		if slices.ContainsFunc(x.Changes, func(c Change) bool { return c.Turns }) {
			turning = append(turning, x.Name)
		}
	}
	if most < 0 {
		return nil
	}
	c := all[most].Changes[0]
	if math.IsNaN(c.Without) {
		out = append(out, fmt.Sprintf("without %s%s the difference of %s to %s cannot be had: it rests on that alone, add specimens", what, all[most].Name, c.Condition, c.Baseline))
	} else {
		out = append(out, fmt.Sprintf("leaving out %s%s would move a difference the most: %s to %s by %.1f of its standard error", what, all[most].Name, c.Condition, c.Baseline, math.Abs(c.InSE)))
	}
	if len(turning) > 0 {
		out = append(out, fmt.Sprintf("a difference over all falls would cross the line of p = 0.05 without %s%s: say so beside the finding, and more specimens would settle it", what, some(turning, 6)))
	}
	return out
}
