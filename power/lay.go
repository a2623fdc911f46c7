package power

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fallwright.example/compare"
	"fallwright.example/num/lmm"
)

// bench is a plan laid out, from which studies are drawn and judged. It does not
// change while they are.
type bench struct {
	plan     Plan
	layout   *compare.Layout
	balanced *compare.Balanced // nil: each study is fitted
	seed     uint64

	cell     []float64 // the mean supposed of each row
	expected []float64 // and of each side
	root     [][]float64
	parts    partIndex
	used     []int // of Variances.Parts
	notes    []string
}

// lay lays a plan out. It refuses what cannot be judged, with the nearest plan that
// can.
func lay(p Plan, seed uint64) (*bench, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	b := &bench{plan: p, seed: seed}
	ask := p.Ask
	if len(ask.Covariates) > 0 {
		b.notes = append(b.notes, fmt.Sprintf("covariates (%d) are left out: what they take off the spread is not known before the drops", len(ask.Covariates)))
		ask.Covariates = nil
	}
	ask.Conditions = nil
	for _, c := range p.Conditions {
		ask.Conditions = append(ask.Conditions, c.Name)
	}
	questions := make([]compare.Question, len(p.Questions))
	for i, q := range p.Questions {
		questions[i] = q.Question
		questions[i].Within = ""
	}
	var err error
	if b.layout, err = compare.Lay(p.rows(), ask, questions); err != nil {
		return nil, err
	}
	b.balanced, err = b.layout.Balanced()
	if err != nil && !errors.Is(err, lmm.ErrNotBalanced) {
		return nil, err
	}
	b.index()
	return b, b.suppose(p)
}

// suppose takes the means of a plan that differs in its truths alone.
func (b *bench) suppose(p Plan) error {
	cells, err := p.cells()
	if err != nil {
		return err
	}
	b.plan.Questions = p.Questions
	b.cell = b.cell[:0:0]
	for c, k := range p.Conditions {
		for range k.Specimens {
			b.cell = append(b.cell, cells[c]...)
		}
	}
	if b.balanced == nil {
		return nil
	}
	b.expected, _ = b.balanced.Reduce(b.cell)
	if b.root == nil {
		for _, part := range b.balanced.Parts {
			b.root = append(b.root, semiRoot(part, b.balanced.Sides))
		}
	}
	return nil
}

// rows are those of the plan: condition by condition, specimen by specimen, fall
// by fall.
func (p Plan) rows() compare.Data {
	var d compare.Data
	columns := make([]compare.Column, len(p.Blocks))
	for k, b := range p.Blocks {
		columns[k].Name = b.Name
	}
	for at, c := range p.Conditions {
		for s := range c.Specimens {
			label := fmt.Sprintf("%s %d", c.Name, s+1)
			for f := range p.Falls {
				d.Value = append(d.Value, 1)
				d.Condition = append(d.Condition, c.Name)
				d.Specimen = append(d.Specimen, label)
				d.Fall = append(d.Fall, compare.FallNumber(f+1))
				for k, b := range p.Blocks {
					columns[k].Value = append(columns[k].Value, fmt.Sprintf("%s %d", b.Name, b.level(at, s)+1))
				}
			}
		}
	}
	d.Columns = columns
	return d
}

// level of specimen i of condition c.
func (b Block) level(c, i int) int {
	switch {
	case b.Of != nil:
		return b.Of[c][i]
	case b.Levels > 0:
		return i % b.Levels
	}
	return i / b.Each
}

// partIndex finds the standard deviations of Variances.Parts, −1 where one is not
// there.
type partIndex struct {
	level, trend, residual int
	blocks                 []int // beside Plan.Blocks
	terms                  []int // beside Balanced.Terms
	lumped                 bool  // one fall a specimen: what is its own is in the residual
}

// index finds the parts and notes those that the plan has no use for.
func (b *bench) index() {
	parts := b.plan.Variances.Parts
	find := func(group, term string) int {
		return slices.IndexFunc(parts, func(v compare.Variance) bool { return v.Group == group && (group == "" || v.Term == term) })
	}
	b.parts = partIndex{level: find("specimen", "intercept"), trend: find("specimen", "fall"), residual: find("", "")}
	used := []int{b.parts.level, b.parts.residual}
	for _, k := range b.plan.Blocks {
		b.parts.blocks = append(b.parts.blocks, find(k.Name, "intercept"))
	}
	used = append(used, b.parts.blocks...)
	if b.plan.Ask.FallsAs == compare.TrendPerSpecimen {
		used = append(used, b.parts.trend)
	} else {
		b.parts.trend = -1
	}
	if b.balanced != nil {
		for _, term := range b.balanced.Terms {
			b.parts.terms = append(b.parts.terms, find(term, "intercept"))
		}
		b.parts.lumped = b.parts.level >= 0 && !slices.Contains(b.balanced.Terms, "specimen")
	}
	b.used = used
	var idle []string
	for i, v := range parts {
		if !slices.Contains(used, i) {
			idle = append(idle, v.Group)
		}
	}
	if len(idle) > 0 && b.plan.Variances.Source != Default {
		b.notes = append(b.notes, fmt.Sprintf("left out, for the plan's analysis has no such term: the spread of %s", strings.Join(idle, ", of ")))
	}
}
