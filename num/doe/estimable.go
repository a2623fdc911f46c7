package doe

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// Term is a set of factors of a model: one factor for its main effect, two for
// their interaction. The mean is always in a model.
type Term []string

// String joins the factors by ×.
func (t Term) String() string { return strings.Join(t, "×") }

// Design is what can be asked of picked combinations of factors.
type Design struct {
	Factors []Factor
	Picked  []Combination
}

// Contrast is a weight for each combination of factors: Weight[i] is that of Of[i].
type Contrast struct {
	Name   string
	Of     []Combination
	Weight []*big.Rat
}

// Effect is the contrast of a factor's level against another, averaged over all
// combinations of the other factors in which the factor has a level: of every
// combination that the factors make, picked or not.
func (d Design) Effect(factor, level, against string) (Contrast, error) {
	at := place(d.Factors, factor)
	if at < 0 || !slices.Contains(d.Factors[at].Levels, level) || !slices.Contains(d.Factors[at].Levels, against) || level == against {
		return Contrast{}, fmt.Errorf("%w: no levels %q and %q of %q", ErrRange, level, against, factor)
	}
	full, err := Full(d.Factors)
	if err != nil {
		return Contrast{}, err
	}
	c := Contrast{Name: factor + ": " + level + " against " + against}
	n := map[string]int64{}
	for _, of := range full {
		n[of[at]]++
	}
	for _, of := range full {
		switch of[at] {
		case level:
			c.Of, c.Weight = append(c.Of, of), append(c.Weight, big.NewRat(1, n[level]))
		case against:
			c.Of, c.Weight = append(c.Of, of), append(c.Weight, big.NewRat(-1, n[against]))
		}
	}
	return c, nil
}

// Between is the contrast of one combination against another.
func Between(a, b Combination) Contrast {
	return Contrast{
		Name: strings.Join(a, " ") + " against " + strings.Join(b, " "),
		Of:   []Combination{a, b}, Weight: []*big.Rat{big.NewRat(1, 1), big.NewRat(-1, 1)},
	}
}

// Estimable reports whether the picked combinations can answer the contrast when
// the means are as the terms say: whether its coefficients are a sum of multiples of
// the rows of the design (they lie in its row space). It is worked out in fractions,
// so that there is no tolerance. With no terms but those of full interaction only
// combinations that were picked can be compared.
//
// A term stands for the indicator of each combination of levels that its factors
// have; where a nested factor has no level the term has nothing.
//
// Source: [Searle1971], estimable functions; when not to use it: it says that an
// answer exists, not that it is precise.
func (d Design) Estimable(terms []Term, c Contrast) (bool, error) {
	if err := d.check(terms); err != nil {
		return false, err
	}
	m := d.model(terms)
	for _, p := range d.Picked {
		m.add(m.row(d.Factors, p))
	}
	want := make([]*big.Rat, len(m.columns))
	for k := range want {
		want[k] = new(big.Rat)
	}
	for i, of := range c.Of {
		if err := Check(d.Factors, of); err != nil {
			return false, err
		}
		for k, x := range m.row(d.Factors, of) {
			want[k].Add(want[k], new(big.Rat).Mul(x, c.Weight[i]))
		}
	}
	return !m.add(want), nil
}

// Aliases are the candidate terms with which a contrast is confounded: each of them
// would, if it were in the model as well, leave the contrast without an answer. The
// contrast has to be estimable without them; it returns ErrRange else.
func (d Design) Aliases(terms, candidates []Term, c Contrast) ([]Term, error) {
	alone, err := d.Estimable(terms, c)
	if err != nil {
		return nil, err
	}
	if !alone {
		return nil, fmt.Errorf("%w: %s cannot be answered with %v alone", ErrRange, c.Name, terms)
	}
	var out []Term
	for _, t := range candidates {
		still, err := d.Estimable(append(slices.Clone(terms), t), c)
		if err != nil {
			return nil, err
		}
		if !still {
			out = append(out, t)
		}
	}
	return out, nil
}

func (d Design) check(terms []Term) error {
	for _, p := range d.Picked {
		if err := Check(d.Factors, p); err != nil {
			return err
		}
	}
	for _, t := range terms {
		for _, name := range t {
			if place(d.Factors, name) < 0 {
				return fmt.Errorf("%w: the term %v has %q, which is no factor", ErrRange, t, name)
			}
		}
	}
	return nil
}

// model is the columns of a design and the rows seen, in echelon form.
type model struct {
	terms   []Term
	columns map[string]int
	rows    [][]*big.Rat
	lead    []int
}

func (d Design) model(terms []Term) *model {
	m := &model{terms: append([]Term{{}}, terms...), columns: map[string]int{}}
	full, _ := Full(d.Factors)
	for _, c := range full {
		for _, key := range m.keys(d.Factors, c) {
			if _, known := m.columns[key]; !known {
				m.columns[key] = len(m.columns)
			}
		}
	}
	return m
}

// keys name the columns in which a combination has a one.
func (m *model) keys(factors []Factor, c Combination) []string {
	var out []string
	for k, t := range m.terms {
		key, has := fmt.Sprint(k), true
		for _, name := range t {
			level := c[place(factors, name)]
			has = has && level != ""
			key += "\x00" + level
		}
		if has {
			out = append(out, key)
		}
	}
	return out
}

func (m *model) row(factors []Factor, c Combination) []*big.Rat {
	row := make([]*big.Rat, len(m.columns))
	for k := range row {
		row[k] = new(big.Rat)
	}
	for _, key := range m.keys(factors, c) {
		row[m.columns[key]].SetInt64(1)
	}
	return row
}

// add reports whether a row is new, not a sum of multiples of those before, and
// keeps it if so.
func (m *model) add(row []*big.Rat) bool {
	for i, r := range m.rows {
		if f := row[m.lead[i]]; f.Sign() != 0 {
			by := new(big.Rat).Quo(f, r[m.lead[i]])
			for k := range row {
				row[k] = new(big.Rat).Sub(row[k], new(big.Rat).Mul(by, r[k]))
			}
		}
	}
	lead := slices.IndexFunc(row, func(x *big.Rat) bool { return x.Sign() != 0 })
	if lead < 0 {
		return false
	}
	m.rows, m.lead = append(m.rows, row), append(m.lead, lead)
	return true
}
