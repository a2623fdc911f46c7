package compare

import (
	"fmt"
	"strings"
)

// describe fills Formula and Said.
func (a *Analysis) describe() {
	m, left := a.model, a.Ask.Measure
	if a.Ask.Scale == Log {
		left = "ln(" + left + ")"
	}
	var right []string
	switch {
	case m.condition && m.fall:
		right = append(right, "condition * fall")
	case m.condition:
		right = append(right, "condition")
	case m.fall:
		right = append(right, "fall")
	}
	right = append(right, a.Ask.Covariates...)
	if len(right) == 0 {
		right = append(right, "1")
	}
	for _, t := range m.given.Random {
		term := "1"
		if t.Slope != nil {
			term = "1 + fall"
		}
		right = append(right, fmt.Sprintf("(%s | %s)", term, t.Name))
	}
	a.Formula = left + " ~ " + strings.Join(right, " + ")
	if m.given.Spread != nil {
		a.Formula += ", residual spread by condition"
	}
	a.Said = a.said()
}

// said is the model for a climber.
func (a *Analysis) said() string {
	m := a.model
	whose := "one mean"
	switch {
	case m.condition && m.trend:
		whose = "a straight line over falls for its condition"
	case m.condition && m.fall:
		whose = "the mean of its condition at that fall"
	case m.condition:
		whose = "the mean of its condition"
	case m.trend:
		whose = "a straight line over falls"
	case m.fall:
		whose = "the mean of that fall"
	}
	parts := []string{whose}
	for _, c := range a.Ask.Covariates {
		parts = append(parts, "a share for "+c)
	}
	for _, t := range m.given.Random {
		own := "what is particular to its " + strings.ReplaceAll(t.Name, ":", " and ")
		if t.Slope != nil {
			own += ", its own change from fall to fall included"
		}
		parts = append(parts, own)
	}
	parts = append(parts, "what varies from value to value")
	last := len(parts) - 1
	text := "Each value is taken as " + strings.Join(parts[:last], ", plus ") + ", plus " + parts[last]
	if a.Ask.Scale == Log {
		text += "; on logarithms, so that differences are ratios"
	}
	if m.given.Spread != nil {
		text += "; how much values vary differs by condition"
	}
	return text + "."
}

// remark adds what a careful reader should know of the table and the fit.
func (a *Analysis) remark() {
	a.Notes = append(a.Notes, a.spots()...)
	a.Notes = append(a.Notes, a.gaps()...)
	for _, b := range a.Record.Boundary {
		a.Notes = append(a.Notes, boundarySaid(b))
	}
	if a.model.trend {
		a.Notes = append(a.Notes, fmt.Sprintf("over falls: at fall %.4g, the mean of the column of falls over the rows", meanOf(a.table.x)))
	}
	if len(a.table.condition.levels) == 1 {
		a.Notes = append(a.Notes, fmt.Sprintf("one condition only, %s: there is nothing to compare it with", a.table.condition.levels[0]))
	}
	if a.model.given.Spread == nil && a.Ask.SpreadByCondition {
		a.Notes = append(a.Notes, "spread by condition needs two conditions and is left out")
	}
	if a.model.given.Spread != nil {
		a.Notes = append(a.Notes, "residual_sd is that of the baseline "+a.Ask.Baseline)
	}
	if a.Ask.Adjust == Holm && a.model.condition {
		a.Notes = append(a.Notes, "adjusted after Holm; the limits are Bonferroni's and hold all at once, so they are a little wider than the p values")
	}
	if a.Ask.Adjust == Joint && a.model.condition {
		a.Notes = append(a.Notes, "adjusted jointly by the multivariate t; the limits hold all at once")
	}
	if a.Notes == nil {
		a.Notes = []string{}
	}
}

// boundarySaid puts a boundary of the fit into plain words.
func boundarySaid(b string) string {
	switch {
	case strings.Contains(b, "is zero"):
		return b + ": beside the residual nothing of it is seen in these values, which does not show that there is none"
	case strings.Contains(b, "correlation"):
		return b + ": the values do not hold enough to tell the two apart"
	}
	return b
}

func meanOf(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v / float64(len(x))
	}
	return s
}

// gaps names cells without a value, and what falls with them.
func (a *Analysis) gaps() []string {
	var empty []string
	for c, condition := range a.grid.conditions {
		for f, fall := range a.grid.falls {
			if len(a.grid.rows[c][f]) == 0 {
				empty = append(empty, strings.TrimSpace(condition+" at fall "+fall))
			}
		}
	}
	var out []string
	if len(empty) > 0 && !a.model.trend {
		out = append(out, "no value of "+some(empty, 6)+": its mean, differences with it and the mean over falls cannot be had")
	}
	if f := a.model.fit; f != nil && len(f.Dropped) > 0 {
		out = append(out, fmt.Sprintf("the values do not hold the effect of %s: the F tests of condition and fall beside their interaction are of what is left of them (type III after Goodnight), so read the comparisons instead", some(f.Dropped, 4)))
	}
	return out
}

// spots looks for rows that may have been entered twice, and specimens that
// stand in several conditions.
func (a *Analysis) spots() []string {
	t := a.table
	if len(t.specimen.levels) == 0 {
		return nil
	}
	var out []string
	if s := t.wandering(); len(s) > 0 {
		out = append(out, fmt.Sprintf("specimen %s stands in several conditions and is taken as the same piece: were they different ones, give each a label of its own", some(s, 6)))
	}
	if s := t.twice(); len(s) > 0 {
		out = append(out, "several values of one specimen at one fall are taken as repeats: "+some(s, 6))
	}
	if s := a.copies(); len(s) > 0 {
		out = append(out, "alike in every column: "+some(s, 6)+"; take one out if it was entered twice")
	}
	return out
}

// wandering are specimens with several conditions.
func (t *table) wandering() []string {
	if len(t.condition.levels) < 2 {
		return nil
	}
	home := make([]int, len(t.specimen.levels))
	found := make([]bool, len(t.specimen.levels))
	var out []string
	for i, s := range t.specimen.code {
		c := t.condition.code[i] + 1
		if home[s] == 0 {
			home[s] = c
		}
		if home[s] != c && !found[s] {
			found[s] = true
			out = append(out, t.specimen.levels[s])
		}
	}
	return out
}

// twice are specimens that have one fall of a condition more than once.
func (t *table) twice() []string {
	if len(t.fall.levels) == 0 {
		return nil
	}
	seen := map[[3]int]int{}
	var out []string
	for i, s := range t.specimen.code {
		key := [3]int{s, t.fall.code[i], at(t.condition, i)}
		if seen[key]++; seen[key] == 2 {
			out = append(out, t.specimen.levels[s]+" fall "+t.fall.levels[t.fall.code[i]])
		}
	}
	return out
}

// copies are rows that are alike in every column, where there is one that should
// tell repeats apart.
func (a *Analysis) copies() []string {
	d, seen := a.data, map[string]int{}
	if d.Fall == nil && len(d.Columns) == 0 && len(d.Measured) == 0 {
		return nil
	}
	var out []string
	for _, i := range a.table.of {
		key := fmt.Sprintln(d.Value[i], entry(d.Specimen, i), entry(d.Condition, i), entry(d.Fall, i))
		for _, c := range d.Columns {
			key += "\x1f" + c.Value[i]
		}
		for _, c := range d.Measured {
			key += fmt.Sprintf("\x1f%v", c.Value[i])
		}
		if first, twice := seen[key]; twice {
			out = append(out, d.rowName(first)+" and "+d.rowName(i))
			continue
		}
		seen[key] = i
	}
	return out
}

func entry[T ~string](column []T, i int) string {
	if column == nil {
		return ""
	}
	return string(column[i])
}
