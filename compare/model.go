package compare

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/num/lmm"
	"fallwright.example/problem"
)

// specimenTerm is the name of the random term of specimens.
const specimenTerm = "specimen"

// colon stands for one in the names of covariates, where num/lmm reads a colon
// as an interaction.
const colon = "\u2236"

// model is what is fitted, and the fit.
type model struct {
	design    *lmm.Design
	given     lmm.Model
	fit       *lmm.Fit // nil: there is nothing to estimate a variance from
	why       string   // then: why not
	condition bool     // in the fixed effects
	fall      bool     // likewise, as levels or as a trend
	trend     bool
	specimen  bool // is a random term
}

// fitted makes the model of a table and fits it.
func fitted(t *table, ask Ask) (*model, []string, error) {
	m := &model{condition: len(t.condition.levels) > 1, trend: ask.FallsAs != Levels && t.x != nil}
	m.fall = m.trend || len(t.fall.levels) > 1
	if m.trend && len(t.fall.levels) < 2 {
		return nil, nil, problem.New(problem.TooFew, "fall", "all values are at fall %s, a trend needs two", t.fall.levels[0]).
			Hint("take falls as levels")
	}
	if err := m.fixed(t, ask); err != nil {
		return nil, nil, err
	}
	notes, err := m.random(t, ask)
	if err != nil {
		return nil, nil, err
	}
	if ask.SpreadByCondition && m.condition {
		m.given.Spread = &lmm.Spread{Name: "condition", Group: t.condition.code, Groups: t.condition.levels}
	}
	if m.why != "" {
		return m, append(notes, m.why), nil
	}
	m.fit, err = lmm.New(m.given, lmm.REML)
	if err != nil {
		if err = m.refusal(err, t); err != nil {
			return nil, nil, err
		}
		return m, append(notes, m.why), nil
	}
	return m, notes, nil
}

// fixed makes the columns of condition, fall, covariates and the interaction,
// in the order that R's formula condition*fall + covariate has them.
func (m *model) fixed(t *table, ask Ask) error {
	v := lmm.Variables{Rows: t.n}
	var terms []string
	if m.condition {
		v.Factors = append(v.Factors, lmm.Factor{Name: "condition", Levels: t.condition.levels, Code: t.condition.code})
		terms = append(terms, "condition")
	}
	switch {
	case m.trend:
		v.Covariates = append(v.Covariates, lmm.Covariate{Name: "fall", Value: t.x})
		terms = append(terms, "fall")
	case m.fall:
		v.Factors = append(v.Factors, lmm.Factor{Name: "fall", Levels: t.fall.levels, Code: t.fall.code})
		terms = append(terms, "fall")
	}
	for k, name := range ask.Covariates {
		v.Covariates = append(v.Covariates, lmm.Covariate{Name: strings.ReplaceAll(name, ":", colon), Value: t.covariate[k]})
		terms = append(terms, v.Covariates[len(v.Covariates)-1].Name)
	}
	if m.condition && m.fall {
		terms = append(terms, "condition:fall")
	}
	d, err := v.Design(terms...)
	if err != nil {
		return problem.New(problem.Invalid, "model", "%v", err)
	}
	m.design = d
	m.given = lmm.Model{Y: t.value, X: d.X, Names: d.Names}
	return nil
}

// random adds the specimens and the blocks.
func (m *model) random(t *table, ask Ask) ([]string, error) {
	var notes []string
	if len(t.specimen.levels) > 0 {
		note, leave := m.leaveSpecimens(t)
		if note != "" {
			notes = append(notes, note)
		}
		if !leave {
			m.specimen = true
			term := lmm.Term{Name: specimenTerm, Level: t.specimen.code}
			if ask.FallsAs == TrendPerSpecimen {
				if 2*len(t.specimen.levels) >= t.n {
					return nil, problem.New(problem.TooFew, "trend-per-specimen", "%d specimens have %d values, a trend of each needs more than two a specimen",
						len(t.specimen.levels), t.n).Hint("take falls as a trend, one a condition")
				}
				term.Slope, term.SlopeName = t.x, "fall"
			}
			m.given.Random = append(m.given.Random, term)
		}
	}
	for k, name := range ask.Blocks {
		if err := m.block(t, name, t.blocks[k]); err != nil {
			return nil, err
		}
		m.given.Random = append(m.given.Random, lmm.Term{Name: name, Level: t.blocks[k].code})
	}
	return notes, nil
}

// leaveSpecimens reports whether specimens make no random term: with one value
// each, which the note says, or where nothing tells them from the fixed effects,
// which why says.
func (m *model) leaveSpecimens(t *table) (note string, leave bool) {
	k := len(t.specimen.levels)
	cells := crossed(t.condition, t.fall)
	switch {
	case k == 1:
		m.why = fmt.Sprintf("one specimen only, %s: what varies between specimens cannot be known, so there are numbers without intervals", t.specimen.levels[0])
	case held(t.specimen, t.condition):
		m.why = "one specimen a condition: what varies between specimens cannot be told from what the conditions do, so there are numbers without intervals"
	case !m.trend && (held(t.specimen, t.fall) || held(t.specimen, cells)):
		m.why = "one specimen a cell: what varies between specimens cannot be told from what conditions and falls do, so there are numbers without intervals"
	case k == t.n:
		return "one value a specimen: what varies between specimens is in the residual", true
	default:
		return "", false
	}
	return "", true
}

// held reports whether each level of by holds rows of one level of f only.
func held(f, by factor) bool {
	if len(by.levels) == 0 {
		return false
	}
	of := make([]int, len(by.levels))
	for i, c := range by.code {
		if of[c] == 0 {
			of[c] = f.code[i] + 1
		}
		if of[c] != f.code[i]+1 {
			return false
		}
	}
	return true
}

// crossed is the factor of cells of two factors; without levels when either is.
func crossed(a, b factor) factor {
	if len(a.levels) == 0 || len(b.levels) == 0 {
		return factor{}
	}
	names := make([]string, len(a.code))
	for i := range names {
		names[i] = a.levels[a.code[i]] + "\x1f" + b.levels[b.code[i]]
	}
	return factorOf(names, nil)
}

// block refuses a block that the model cannot hold.
func (m *model) block(t *table, name string, f factor) error {
	refuse := func(format string, args ...any) *problem.Problem {
		return problem.New(problem.Invalid, "block "+name, format, args...).Hint("leave it out")
	}
	switch {
	case len(f.levels) == 1:
		return refuse("has one level, %s; a spread between levels needs two", strings.ReplaceAll(f.levels[0], "\x1f", ":"))
	case len(f.levels) == t.n:
		return refuse("has a level a row, so its spread cannot be told from the residual")
	case held(f, t.condition):
		return refuse("is the same for all values of a condition, so the two cannot be told apart").Hint("give each condition values from two of its levels at the least")
	case !m.trend && held(f, t.fall):
		return refuse("is the same for all values of a fall, so the two cannot be told apart")
	case !m.trend && held(f, crossed(t.condition, t.fall)):
		return refuse("is the same for all values of a condition at a fall, so they cannot be told apart")
	}
	if m.specimen && alike(f, t.specimen) {
		return refuse("groups the values as specimens do, so the two cannot be told apart")
	}
	for _, other := range m.given.Random {
		if other.Name != specimenTerm && slices.Equal(other.Level, f.code) {
			return refuse("groups the values as block %s does, so the two cannot be told apart", other.Name)
		}
	}
	return nil
}

// alike reports whether two factors group the rows alike; both number levels
// as they first appear.
func alike(a, b factor) bool { return slices.Equal(a.code, b.code) }

// refusal says what a fit was refused for in words of the table. Where the
// values leave no spread, the numbers remain: it sets why and returns nil.
func (m *model) refusal(err error, t *table) error {
	switch {
	case errors.Is(err, lmm.ErrTooFew) && t.n <= len(m.design.Names) && m.given.Spread == nil:
		m.why = fmt.Sprintf("%d values for %d means leave nothing to tell a spread from, so there are numbers without intervals", t.n, len(m.design.Names))
		return nil
	case errors.Is(err, lmm.ErrNoSpread) && slices.Min(t.value) == slices.Max(t.value):
		m.why = "all values are the same, so there are numbers without intervals: look whether they were copied or rounded"
		return nil
	case errors.Is(err, lmm.ErrNoSpread):
		m.why = "the values repeat without any residual spread, so there are numbers without intervals: look whether they were copied or rounded"
		return nil
	case errors.Is(err, lmm.ErrTooFew), errors.Is(err, lmm.ErrConfounded), errors.Is(err, lmm.ErrTooLarge):
		return problem.New(problem.TooFew, "model", "%v", err).Hint("leave out the term that is named")
	case errors.Is(err, lmm.ErrNotConverged):
		return problem.New(problem.Invalid, "model", "%v", err).Hint("leave out a random term, or take a trend for the condition instead of one for each specimen")
	}
	return problem.New(problem.Invalid, "model", "%v", err)
}

// estimates of contrasts, one a row of l; NaN for what cannot be had.
func (m *model) estimates(l [][]float64, by lmm.DF) (estimated, error) {
	out := estimated{each: make([]lmm.Contrast, len(l))}
	nan := math.NaN()
	for i := range out.each {
		out.each[i] = lmm.Contrast{Estimate: nan, SE: nan, DF: nan, T: nan, P: nan}
	}
	if len(l) == 0 {
		return out, nil
	}
	if m.fit == nil {
		plain, err := lmm.Plain(m.given.Y, m.given.X, m.given.Names, l)
		if err != nil {
			return out, problem.New(problem.Invalid, "model", "%v", err)
		}
		for i, v := range plain {
			out.each[i].Estimate = v
		}
		return out, nil
	}
	var rows [][]float64
	for i, li := range l {
		if m.fit.Estimable(li) == nil {
			out.had = append(out.had, i)
			rows = append(rows, li)
		}
	}
	if len(rows) == 0 {
		return out, nil
	}
	var err error
	out.set, err = m.fit.Contrasts(rows, by)
	if errors.Is(err, lmm.ErrTooLarge) {
		return out, problem.New(problem.Invalid, "model", "%v", err).Hint("leave out the block that ties the rows together")
	}
	if err != nil {
		return out, problem.New(problem.TooFew, "model", "%v", err)
	}
	for k, i := range out.had {
		out.each[i] = out.set.Each[k]
	}
	return out, nil
}

// estimated is several contrasts; set holds those that could be had.
type estimated struct {
	each []lmm.Contrast
	set  *lmm.Set
	had  []int
}
