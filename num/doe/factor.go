package doe

import (
	"fmt"
	"slices"
)

// Factor is one thing that is varied.
type Factor struct {
	Name   string
	Levels []string
	Within *Within // nil when the factor is crossed with the others
}

// Within nests a factor: it has a level only where Factor has one of Levels. A
// soak time belongs to the level "wet" of water.
type Within struct {
	Factor string
	Levels []string
}

// Combination is the level of each factor, in the order of the factors; "" where a
// nested factor has none.
type Combination []string

// Full lists every combination of the factors, the last factor fastest. A nested
// factor makes no combinations where its parent has other levels.
func Full(factors []Factor) ([]Combination, error) {
	if err := checkFactors(factors); err != nil {
		return nil, err
	}
	all := []Combination{make(Combination, len(factors))}
	for _, i := range parentsFirst(factors) {
		var next []Combination
		for _, c := range all {
			if !factors[i].applies(factors, c) {
				next = append(next, c)
				continue
			}
			for _, level := range factors[i].Levels {
				d := slices.Clone(c)
				d[i] = level
				next = append(next, d)
			}
		}
		all = next
	}
	slices.SortFunc(all, func(a, b Combination) int {
		for i, f := range factors {
			if x, y := slices.Index(f.Levels, a[i]), slices.Index(f.Levels, b[i]); x != y {
				return x - y
			}
		}
		return 0
	})
	return all, nil
}

// applies reports whether the factor has a level in a combination whose parent is
// set.
func (f Factor) applies(factors []Factor, c Combination) bool {
	if f.Within == nil {
		return true
	}
	return slices.Contains(f.Within.Levels, c[place(factors, f.Within.Factor)])
}

// Check refuses a picked combination that the factors do not make: a level that
// there is not, a nested factor's level where it has none, or none where it has.
func Check(factors []Factor, c Combination) error {
	if err := checkFactors(factors); err != nil {
		return err
	}
	if len(c) != len(factors) {
		return fmt.Errorf("%w: %d levels for %d factors", ErrRange, len(c), len(factors))
	}
	for i, f := range factors {
		applies := f.applies(factors, c)
		switch {
		case !applies && c[i] != "":
			return fmt.Errorf("%w: %s belongs to %s %v only, and is %q at %q", ErrNested, f.Name, f.Within.Factor, f.Within.Levels, c[i], c[place(factors, f.Within.Factor)])
		case applies && !slices.Contains(f.Levels, c[i]):
			return fmt.Errorf("%w: %q is no level of %s, which has %q", ErrRange, c[i], f.Name, f.Levels)
		}
	}
	return nil
}

// Unused names the levels of factors that no picked combination has. A nested
// factor all of whose levels are listed is empty.
func Unused(factors []Factor, picked []Combination) map[string][]string {
	out := map[string][]string{}
	for i, f := range factors {
		for _, level := range f.Levels {
			if !slices.ContainsFunc(picked, func(c Combination) bool { return c[i] == level }) {
				out[f.Name] = append(out[f.Name], level)
			}
		}
	}
	return out
}

func place(factors []Factor, name string) int {
	return slices.IndexFunc(factors, func(f Factor) bool { return f.Name == name })
}

func checkFactors(factors []Factor) error {
	for i, f := range factors {
		switch {
		case f.Name == "" || place(factors, f.Name) != i:
			return fmt.Errorf("%w: factor %d is called %q, names are to differ", ErrRange, i+1, f.Name)
		case len(f.Levels) == 0:
			return fmt.Errorf("%w: the factor %s has no levels", ErrRange, f.Name)
		}
		for k, level := range f.Levels {
			if level == "" || slices.Index(f.Levels, level) != k {
				return fmt.Errorf("%w: level %d of %s is %q, levels are to differ", ErrRange, k+1, f.Name, level)
			}
		}
		if err := f.checkWithin(factors); err != nil {
			return err
		}
	}
	return nil
}

func (f Factor) checkWithin(factors []Factor) error {
	if f.Within == nil {
		return nil
	}
	at := place(factors, f.Within.Factor)
	if at < 0 {
		return fmt.Errorf("%w: %s belongs to %s, which is no factor", ErrNested, f.Name, f.Within.Factor)
	}
	if len(f.Within.Levels) == 0 {
		return fmt.Errorf("%w: %s belongs to no level of %s", ErrNested, f.Name, f.Within.Factor)
	}
	for _, level := range f.Within.Levels {
		if !slices.Contains(factors[at].Levels, level) {
			return fmt.Errorf("%w: %s belongs to %q of %s, which has %q", ErrNested, f.Name, level, f.Within.Factor, factors[at].Levels)
		}
	}
	for steps := 0; factors[at].Within != nil; steps++ {
		if steps > len(factors) {
			return fmt.Errorf("%w: %s belongs to itself by way of %s", ErrNested, f.Name, f.Within.Factor)
		}
		if at = place(factors, factors[at].Within.Factor); at < 0 {
			return nil // said at that factor
		}
	}
	return nil
}

// parentsFirst is an order of the factors in which parents come before what is
// nested in them.
func parentsFirst(factors []Factor) []int {
	var order []int
	for len(order) < len(factors) {
		for i, f := range factors {
			if !slices.Contains(order, i) && (f.Within == nil || slices.Contains(order, place(factors, f.Within.Factor))) {
				order = append(order, i)
			}
		}
	}
	return order
}
