package compare

import (
	"errors"
	"math"
	"strings"

	"fallwright.example/num/lmm"
)

// terms fills the table of type III F tests.
func (a *Analysis) terms() error {
	a.Terms = []TermTest{}
	m := a.model
	for _, term := range m.design.Terms[1:] {
		t := TermTest{Term: strings.ReplaceAll(term, colon, ":"), F: math.NaN(), DF1: math.NaN(), DF2: math.NaN(), P: math.NaN()}
		if m.fit != nil {
			l, err := m.hypothesis(term)
			if errors.Is(err, lmm.ErrNotEstimable) {
				a.Terms = append(a.Terms, t) // nothing of it can be told
				continue
			}
			if err != nil {
				return err
			}
			if f, err := m.fit.FTest(l, a.Ask.DF); err == nil {
				t.F, t.DF1, t.DF2, t.P = f.F, f.DF1, f.DF2, f.P
			}
		}
		a.Terms = append(a.Terms, t)
	}
	return nil
}

// hypothesis is the contrasts of a term, in lmerTest's form.
func (m *model) hypothesis(term string) ([][]float64, error) {
	if len(m.fit.Dropped) > 0 {
		return m.design.EmptyCells(term)
	}
	if len(m.design.Terms) == 2 {
		return m.fit.Sequential(m.design, term)
	}
	return m.design.Hypothesis(term)
}
