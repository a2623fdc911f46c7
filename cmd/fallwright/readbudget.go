package main

import (
	"maps"
	"math"
	"slices"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Uncertainties with their budgets are most of a row of JSON. They are written field
// by field, which takes a third of the time of finding the fields by reflection.

// appendUncertainties appends what appendJSON would for a map that is not empty.
func appendUncertainties(dst []byte, all trace.Uncertainties, indent string) (_ []byte, err error) {
	if len(all) == 0 {
		return append(dst, "{}"...), nil
	}
	of := object{in: deeper(deeper(indent))}
	lead := "{\n"
	for _, key := range slices.Sorted(maps.Keys(all)) {
		dst = append(append(append(dst, lead...), indent...), "  "...)
		if dst, err = appendText(dst, key); err != nil {
			return dst, err
		}
		if dst, err = of.uncertainty(append(dst, ": "...), all[key]); err != nil {
			return dst, err
		}
		lead = ",\n"
	}
	return append(append(append(dst, '\n'), indent...), '}'), nil
}

// object writes objects whose fields are indented by in.
type object struct{ in string }

func (o object) uncertainty(dst []byte, u trace.Uncertainty) (_ []byte, err error) {
	dst = append(dst, '{')
	for i, f := range [...]struct {
		name string
		v    float64
	}{{"standard", u.Standard}, {"bias", u.Bias}, {"lower", u.Lower}, {"upper", u.Upper}, {"degrees_of_freedom", u.Freedom}} {
		if dst, err = o.number(dst, f.name, f.v, i > 0); err != nil {
			return dst, err
		}
	}
	dst = o.name(dst, "budget", true)
	switch {
	case u.Budget == nil:
		dst = append(dst, "null"...)
	case len(u.Budget) == 0:
		dst = append(dst, "[]"...)
	default:
		share := object{in: deeper(deeper(o.in))}
		lead := "[\n"
		for _, s := range u.Budget {
			dst = append(append(append(append(dst, lead...), o.in...), "  "...), '{')
			if dst, err = share.share(dst, s); err != nil {
				return dst, err
			}
			dst = append(append(append(append(dst, '\n'), o.in...), "  "...), '}')
			lead = ",\n"
		}
		dst = append(append(append(dst, '\n'), o.in...), ']')
	}
	if u.Trials != 0 {
		dst = strconv.AppendInt(o.name(dst, "trials", true), int64(u.Trials), 10)
	}
	return append(append(append(dst, '\n'), o.in[2:]...), '}'), nil
}

func (o object) share(dst []byte, s trace.Share) (_ []byte, err error) {
	if dst, err = appendText(o.name(dst, "source", false), s.Source); err != nil {
		return dst, err
	}
	if dst, err = o.number(dst, "input", s.Input, true); err != nil {
		return dst, err
	}
	if dst, err = appendText(o.name(dst, "input_unit", true), s.InputUnit); err != nil {
		return dst, err
	}
	if dst, err = o.number(dst, "sensitivity", s.Sensitivity, true); err != nil {
		return dst, err
	}
	return o.number(dst, "part", s.Part, true)
}

// name begins a field, which others may stand before.
func (o object) name(dst []byte, name string, others bool) []byte {
	if others {
		dst = append(dst, ',')
	}
	return append(append(append(append(append(dst, '\n'), o.in...), '"'), name...), `": `...)
}

func (o object) number(dst []byte, name string, v float64, others bool) ([]byte, error) {
	if math.IsNaN(v - v) {
		return dst, problem.New(problem.Invalid, name, "%g cannot be written as JSON", v)
	}
	return appendNumber(o.name(dst, name, others), v), nil
}
