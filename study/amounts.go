package study

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// amounts reads what people write, and gathers what is wrong with it. What could
// not be read is NaN.
type amounts struct{ wrong problem.List }

func (a *amounts) refuse(where, format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, where, format, args...)
	a.wrong = append(a.wrong, p)
	return p
}

// read gives an amount in SI, or what stands for an empty text.
func (a *amounts) read(where, text string, d quantity.Dimension, empty float64) float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return empty
	}
	v, err := quantity.Parse(text, d)
	if err != nil {
		p := a.refuse(where, "%v", err)
		var fault *quantity.Fault
		if errors.As(err, &fault) && fault.Hint != "" {
			p.Hint("%s", fault.Hint)
		}
		return math.NaN()
	}
	return v
}

// need is read for what must be given.
func (a *amounts) need(where, text string, d quantity.Dimension, example string) float64 {
	if strings.TrimSpace(text) == "" {
		a.refuse(where, "it is missing").Hint("write it with its unit, such as %s", example)
		return math.NaN()
	}
	return a.read(where, text, d, 0)
}

// whole reads a whole number; an empty text is the one given.
func (a *amounts) whole(where, text string, empty int) int {
	text = strings.TrimSpace(text)
	if text == "" {
		return empty
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		a.refuse(where, "%q is not a whole number", text).Hint("write it in digits, such as 5")
		return empty
	}
	return n
}

// number reads a bare number; an empty text is the one given.
func (a *amounts) number(where, text string, empty float64) float64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return empty
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		a.refuse(where, "%q is not a number", text).Hint("write it in digits with a point, such as 0.2, without a unit")
		return math.NaN()
	}
	return v
}

// mostListed bounds a list of amounts.
const mostListed = 60

// list reads amounts with commas between, or a range with its step.
func (a *amounts) list(where, text string, d quantity.Dimension, example string) []float64 {
	text = strings.TrimSpace(text)
	low, rest, ranged := strings.Cut(text, " to ")
	high, by, stepped := strings.Cut(rest, " by ")
	if ranged && stepped {
		return a.steps(where, text, a.need(where, low, d, example), a.need(where, high, d, example), a.need(where, by, d, example))
	}
	if text == "" {
		a.need(where, text, d, example)
		return nil
	}
	var out []float64
	for one := range strings.SplitSeq(text, ",") {
		out = append(out, a.need(where, one, d, example))
	}
	return out
}

func (a *amounts) steps(where, text string, from, to, step float64) []float64 {
	switch n := (to - from) / step; {
	case math.IsNaN(from) || math.IsNaN(to) || math.IsNaN(step):
		return nil
	case !(step > 0 && to >= from):
		a.refuse(where, "%q goes nowhere", text).Hint("write the lower end, the upper end and a step above zero")
		return nil
	case n > mostListed:
		a.refuse(where, "%q are %.0f amounts, at most %d are taken", text, n+1, mostListed).Hint("take wider steps")
		return nil
	}
	var out []float64
	for i := 0; from+float64(i)*step <= to*(1+1e-9); i++ {
		out = append(out, from+float64(i)*step)
	}
	return out
}
