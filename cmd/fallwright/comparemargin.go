package main

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	compare "fallwright.example/compare"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// amount is a number and what follows it.
var amount = regexp.MustCompile(`^([0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE]([+-]?[0-9]+))?\s*(.*)$`)

// marginOf reads a margin: "5%" is a share of the baseline, "0.2kN" is brought to
// the unit of the values, and a number alone is in it already. Nothing is guessed:
// a unit needs one beside it in the table.
func marginOf(text, unit string) (compare.Margin, error) {
	var m compare.Margin
	text = strings.TrimSpace(text)
	if text == "" {
		return m, nil
	}
	refuse := func(format string, args ...any) *problem.Problem {
		return problem.New(problem.Invalid, "--margin", format, args...)
	}
	part := amount.FindStringSubmatch(text)
	if part == nil {
		return m, refuse("%q is no margin", text).Hint("write a share of the baseline as 5%%, or an amount as 0.2kN, or a number in the table's unit")
	}
	if strings.HasPrefix(part[3], ",") {
		return m, refuse("%q has a comma, and numbers here have a decimal point", text).Hint("write --margin %s", strings.Replace(text, ",", ".", 1))
	}
	number := part[1]
	if part[2] != "" {
		number += "e" + part[2]
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		return m, refuse("%q is no margin: it must be above zero", text)
	}
	switch said := part[3]; {
	case said == "%":
		if m.Share = v / 100; m.Share >= 1 {
			return m, refuse("%q of the baseline is no margin: it must be below 100 %%", text)
		}
	case said == "" || said == unit:
		m.Amount = v
	case unit == "":
		return m, refuse("%q has a unit, and the values of the table have none", text).
			Hint("write the unit into the title of the column, as peak [%s], or the margin without one", said)
	default:
		own, ok := unitOf(unit)
		if !ok {
			return m, refuse("%q: the values are in %q, which is no unit known here", text, unit).Hint("write the margin without a unit, as a number in that one")
		}
		other, ok := unitOf(said)
		if !ok || other.of != own.of {
			return m, refuse("%q is no amount that can be brought to %s, the unit of the values", text, unit).Hint("write the margin in %s", unit)
		}
		m.Amount = v * other.size / own.size
	}
	return m, nil
}

// sizedUnit is a unit of a dimension, and one of it in SI.
type sizedUnit struct {
	of   quantity.Dimension
	size float64
}

// unitOf finds a unit by its symbol.
func unitOf(symbol string) (sizedUnit, bool) {
	for _, d := range []struct {
		of    quantity.Dimension
		known func(string) (traceio.Unit, bool)
	}{
		{quantity.Force, traceio.ForceUnit},
		{quantity.Time, traceio.TimeUnit},
		{quantity.Length, traceio.LengthUnit},
	} {
		if u, ok := d.known(symbol); ok {
			return sizedUnit{d.of, u.SI(1)}, true
		}
	}
	size, of, err := quantity.ParseOneOf("1 "+symbol, quantity.Dimensions()...)
	return sizedUnit{of, size}, err == nil && size > 0
}
