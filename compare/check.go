package compare

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/problem"
)

// largest is the largest value taken, in SI: far beyond any rope, and its
// square still fits a float64.
const largest = 1e100

// check refuses observations that cannot be told apart or have no value; every
// one at fault is named.
func check(obs []Observation) error {
	type fall struct {
		specimen string
		n        int
	}
	var out problem.List
	seen, home := map[fall]float64{}, map[string]string{}
	for _, o := range obs {
		where := fmt.Sprintf("specimen %s fall %d", o.Specimen, o.Fall)
		if o.Specimen == "" || o.Condition == "" || o.Fall < 1 {
			out = append(out, problem.New(problem.Invalid, where,
				"condition %q, a value needs a specimen, a condition and a fall from 1", o.Condition))
			continue
		}
		if !(math.Abs(o.Value) <= largest) {
			out = append(out, problem.New(problem.Invalid, where, "its value is %g, a number up to %g is needed", o.Value, largest).
				Hint("leave the fall out and say why"))
		}
		key := fall{o.Specimen, o.Fall}
		if first, twice := seen[key]; twice {
			out = append(out, problem.New(problem.Invalid, where, "given twice, %g and %g, one value a fall is needed", first, o.Value).
				Hint("void the one that does not count"))
		}
		if other, known := home[o.Specimen]; known && other != o.Condition {
			out = append(out, problem.New(problem.Invalid, where, "in condition %s and in %s, a specimen has one", other, o.Condition))
		}
		seen[key], home[o.Specimen] = o.Value, o.Condition
	}
	return out.Err()
}

// check refuses a question that cannot be put.
func (q Question) check() error {
	where := "question " + q.Name
	refuse := func(format string, args ...any) error {
		return problem.New(problem.Invalid, where, format, args...)
	}
	if q.Condition == "" || q.Baseline == "" || q.Condition == q.Baseline {
		return refuse("compares %q with %q, two conditions are needed", q.Condition, q.Baseline)
	}
	if len(q.Falls) == 0 {
		return refuse("names no fall, at least one is needed")
	}
	for i, f := range q.Falls {
		if f < 1 || slices.Contains(q.Falls[:i], f) {
			return refuse("names fall %d, falls count from 1 and each is named once", f)
		}
	}
	for _, margin := range []float64{q.Share, q.Amount} {
		if !finite(margin) || margin < 0 {
			return refuse("has a margin of %g, a positive one is needed", margin)
		}
	}
	if (q.Share > 0) == (q.Amount > 0) {
		return refuse("has margins of %g %% and %g %s, exactly one is needed", 100*q.Share, q.Amount, q.Unit)
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
