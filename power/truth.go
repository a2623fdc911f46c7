package power

import (
	"fmt"
	"math"

	"fallwright.example/compare"
	"fallwright.example/problem"
)

// step is the difference supposed on the model's scale, or what is wrong with it.
func (q Question) step(scale compare.Scale, level float64) (step float64, wrong string) {
	share, amount := q.Truth.Share+q.Truth.Margins*q.Share, q.Truth.Amount+q.Truth.Margins*q.Amount
	for _, v := range []float64{share, amount} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, fmt.Sprintf("is %g, no finite number", v)
		}
	}
	switch {
	case share <= -1:
		return 0, fmt.Sprintf("is %g %% of the baseline, more than all of it", 100*share)
	case scale == compare.Log && (amount != 0 || q.Amount > 0):
		return 0, fmt.Sprintf("or its margin is an amount, %g %s, which cannot be had on the log scale, where differences are ratios", max(math.Abs(amount), q.Amount), q.Unit)
	case scale == compare.Log:
		return math.Log1p(share), ""
	case (share != 0 || q.Share > 0) && !(level > 0):
		return 0, fmt.Sprintf("and its margin are shares of the baseline, whose level is given as %g, a positive one is needed", level)
	}
	return amount + share*level, ""
}

// bounds is the margin on the model's scale.
func (q Question) bounds(scale compare.Scale, level float64) (lower, upper float64) {
	switch {
	case scale == compare.Log:
		return math.Log1p(-q.Share), math.Log1p(q.Share)
	case q.Share > 0:
		return -q.Share * level, q.Share * level
	}
	return -q.Amount, q.Amount
}

// calls is the finding that the difference supposed calls for: higher or lower at
// or beyond the margin, no difference that matters inside it.
func (q Question) calls(scale compare.Scale, level float64) compare.Verdict {
	step, _ := q.step(scale, level)
	lower, upper := q.bounds(scale, level)
	switch rounding := 1e-12 * upper; {
	case step >= upper-rounding:
		return compare.Higher
	case step <= lower+rounding:
		return compare.Lower
	}
	return compare.NoDifference
}

// cells are the means supposed by condition and fall, on the model's scale, such
// that every question's difference is the one supposed: of all the least apart,
// conditions that are only a baseline staying where they are. It refuses
// differences that contradict each other.
func (p Plan) cells() ([][]float64, error) {
	shapes := p.shapes()
	at, free := p.places()
	var rows [][]float64
	var want []float64
	for _, q := range p.Questions {
		row := make([]float64, len(shapes)*len(p.Conditions))
		seen, base := q.Weights(p.Falls)
		for k, shape := range shapes {
			row[at[q.Condition]*len(shapes)+k] += free[q.Condition] * product(seen, shape)
			row[at[q.Baseline]*len(shapes)+k] -= free[q.Baseline] * product(base, shape)
		}
		step, _ := q.step(p.Ask.Scale, p.Level)
		rows, want = append(rows, row), append(want, step)
	}
	shift, worst := leastNorm(rows, want)
	if worst >= 0 {
		q := p.Questions[worst]
		return nil, problem.New(problem.Conflict, "question "+q.Name, "the difference supposed between %s and %s contradicts those of the other questions", q.Condition, q.Baseline).
			Hint("suppose differences that can hold all at once")
	}
	out := make([][]float64, len(p.Conditions))
	for c := range out {
		out[c] = make([]float64, p.Falls)
		for f := range out[c] {
			if p.Ask.Scale != compare.Log {
				out[c][f] = p.Level
			}
			for k, shape := range shapes {
				out[c][f] += free[p.Conditions[c].Name] * shift[c*len(shapes)+k] * shape[f]
			}
		}
	}
	return out, nil
}

// shapes are what a condition's means may be made of: one for each fall, or a level
// and a line.
func (p Plan) shapes() [][]float64 {
	var out [][]float64
	if p.Ask.FallsAs == compare.Trend || p.Ask.FallsAs == compare.TrendPerSpecimen {
		level, line := make([]float64, p.Falls), make([]float64, p.Falls)
		for f := range line {
			level[f], line[f] = 1, float64(f)-float64(p.Falls-1)/2
		}
		return append(out, level, line)
	}
	for f := range p.Falls {
		shape := make([]float64, p.Falls)
		shape[f] = 1
		out = append(out, shape)
	}
	return out
}

// places numbers the conditions and tells how freely each may stand off: freely when
// it is compared with another, a thousand times less when it is a baseline only.
// Where all are compared, the first baseline is held so.
func (p Plan) places() (at map[string]int, free map[string]float64) {
	at, free = map[string]int{}, map[string]float64{}
	const held = 1e-3
	for c, k := range p.Conditions {
		at[k.Name], free[k.Name] = c, held
	}
	compared := 0
	for _, q := range p.Questions {
		if q.Condition != q.Baseline && free[q.Condition] == held {
			free[q.Condition] = 1
			compared++
		}
	}
	if compared == len(p.Conditions) {
		free[p.Questions[0].Baseline] = held
	}
	return at, free
}

// leastNorm is the shortest x with rows·x = want: each row made orthogonal to those
// before it takes what is still wanting. bad is a row that the others contradict,
// −1 for none.
func leastNorm(rows [][]float64, want []float64) (x []float64, bad int) {
	x = make([]float64, len(rows[0]))
	var kept [][]float64
	for i, row := range rows {
		rest := append([]float64(nil), row...)
		for range 2 {
			for _, k := range kept {
				d := product(k, rest)
				for j := range rest {
					rest[j] -= d * k[j]
				}
			}
		}
		left := want[i] - product(row, x)
		size := math.Sqrt(product(rest, rest))
		if size < 1e-9 {
			if math.Abs(left) > 1e-9*(1+math.Abs(want[i])) {
				return nil, i
			}
			continue
		}
		for j := range rest {
			x[j] += left / (size * size) * rest[j]
			rest[j] /= size
		}
		kept = append(kept, rest)
	}
	return x, -1
}

func product(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}
