package compare

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fallwright.example/num/lmm"
)

// Kind is what a column is taken as when it is tried.
type Kind string

const (
	// AsFactor: each of its levels has a mean.
	AsFactor Kind = "factor"
	// AsCovariate: one straight line on it.
	AsCovariate Kind = "covariate"
)

// FactorTest is the F test of a column tried as one more fixed effect of the
// model, by itself: what it holds beyond condition, fall and covariates. F and
// what follows are NaN when that cannot be told, and Said says why.
type FactorTest struct {
	Name string  `json:"name"`
	Kind Kind    `json:"kind"`
	N    int     `json:"n"` // rows in which it is recorded
	F    float64 `json:"-"`
	DF1  float64 `json:"-"`
	DF2  float64 `json:"-"`
	P    float64 `json:"-"`
	Said string  `json:"said"`
}

// most levels of a column tried as a factor.
const mostLevels = 20

// factorTests tries each column that the model does not hold and that is not
// the same throughout.
func factorTests(d Data, ask Ask, t *table, m *model) []FactorTest {
	out := []FactorTest{}
	for _, c := range d.Columns {
		names := pick(c.Value, t.of)
		levels, missing := recorded(names)
		if len(levels) < 2 || slices.Contains(ask.Blocks, c.Name) {
			continue
		}
		f := FactorTest{Name: c.Name, Kind: AsFactor, N: t.n - missing}
		if t.tooMany(len(levels)) {
			f.none(fmt.Sprintf("%s has %d levels for %s: too many to try", c.Name, len(levels), t.counted()))
		} else {
			f.try(t, m, ask.DF, func(i int) []float64 {
				at := slices.Index(levels, names[i])
				if at < 0 {
					return nil
				}
				row := make([]float64, len(levels))
				row[at] = 1
				return row[1:]
			})
			f.say(t, names, levels)
		}
		out = append(out, f)
	}
	for _, c := range d.Measured {
		values := pick(c.Value, t.of)
		levels, missing := recorded(texts(values))
		if len(levels) < 2 || slices.Contains(ask.Covariates, c.Name) {
			continue
		}
		f := FactorTest{Name: c.Name, Kind: AsCovariate, N: t.n - missing}
		f.try(t, m, ask.DF, covariateRow(values))
		f.say(t, texts(values), levels)
		out = append(out, f)
	}
	return out
}

// covariateRow gives a value less the mean, nothing where it was not recorded.
func covariateRow(values []float64) func(i int) []float64 {
	mean, n := 0.0, 0.0
	for _, v := range values {
		if !math.IsNaN(v) {
			n++
			mean += (v - mean) / n
		}
	}
	return func(i int) []float64 {
		if math.IsNaN(values[i]) {
			return nil
		}
		return []float64{values[i] - mean}
	}
}

// tooMany reports whether levels leave too few pieces to each.
func (t *table) tooMany(levels int) bool {
	pieces := t.n
	if k := len(t.specimen.levels); k > 0 {
		pieces = k
	}
	return levels > mostLevels || 2*levels > pieces
}

// counted is "18 specimens", or "20 values" without specimens.
func (t *table) counted() string {
	if k := len(t.specimen.levels); k > 0 {
		return fmt.Sprintf("%d specimens", k)
	}
	return fmt.Sprintf("%d values", t.n)
}

// none is a test that cannot be had.
func (f *FactorTest) none(why string) {
	nan := math.NaN()
	f.F, f.DF1, f.DF2, f.P, f.Said = nan, nan, nan, nan, why
}

// try fits the model with the columns added, on the rows that have them, and
// tests those of them that are not made up of what was there. more gives the
// columns of a row, nil where it has none. Said stays empty when nothing of
// them is left.
func (f *FactorTest) try(t *table, m *model, by lmm.DF, more func(i int) []float64) {
	f.none("")
	wider, names, err := widened(m.fit, more)
	if err == nil {
		err = f.test(wider, names, by)
	}
	switch {
	case err == nil:
	case errors.Is(err, lmm.ErrConfounded), errors.Is(err, lmm.ErrTooFew), errors.Is(err, lmm.ErrNoSpread):
		f.Said = fmt.Sprintf("%s: %s leave too little to try it", f.Name, t.counted())
	default:
		f.Said = fmt.Sprintf("%s could not be tried: %v", f.Name, err)
	}
}

// widened fits the model with more columns, and names them.
func widened(fit *lmm.Fit, more func(i int) []float64) (*lmm.Fit, []string, error) {
	var absent []int
	var rows [][]float64
	for i := range fit.N {
		if row := more(i); row == nil {
			absent = append(absent, i)
		} else {
			rows = append(rows, row)
		}
	}
	if absent != nil {
		var err error
		if fit, err = fit.Without(absent...); err != nil {
			return nil, nil, err
		}
	}
	var names []string
	for j := range rows[0] {
		names = append(names, fmt.Sprintf("added %d", j+1))
	}
	wider, err := fit.With(rows, names)
	return wider, names, err
}

// test sets F and what follows from the added columns that were kept.
func (f *FactorTest) test(fit *lmm.Fit, names []string, by lmm.DF) error {
	given := fit.Model().Names
	var l [][]float64
	for _, name := range names {
		if !slices.Contains(fit.Dropped, name) {
			row := make([]float64, len(given))
			row[slices.Index(given, name)] = 1
			l = append(l, row)
		}
	}
	if len(l) == 0 {
		return nil
	}
	test, err := fit.FTest(l, by)
	if err != nil {
		return err
	}
	f.F, f.DF1, f.DF2, f.P = test.F, test.DF1, test.DF2, test.P
	return nil
}

// say puts the test into words.
func (f *FactorTest) say(t *table, names, levels []string) {
	switch {
	case f.Said != "":
		return
	case math.IsNaN(f.F):
		_, f.Said = t.follows(f.Name, names, levels)
		return
	case f.P < 0.05:
		f.Said = fmt.Sprintf("%s seems to matter beyond what the model holds (p %s)", f.Name, chance(f.P))
	default:
		f.Said = fmt.Sprintf("%s shows nothing beyond what the model holds (p %s)", f.Name, chance(f.P))
	}
	if part := float64(len(levels) - 1); f.Kind == AsFactor && f.DF1 < part {
		f.Said += "; part of it cannot be told from what the model holds"
	}
	if f.N < t.n {
		f.Said += fmt.Sprintf("; from %d of %d values, where it is recorded", f.N, t.n)
	}
}

// chance is a probability in words for readers.
func chance(p float64) string {
	switch {
	case p < 0.001:
		return "below 0.001"
	case p < 0.1:
		return fmt.Sprintf("= %.3f", p)
	}
	return fmt.Sprintf("= %.2f", p)
}
