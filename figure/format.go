package figure

import (
	"math"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// How numbers are written wherever people read them: a true minus sign, a
// narrow space that does not break before a unit, a dash for what is missing.
const (
	Missing = "–"
	minus   = "−"      // U+2212
	thin    = "\u202f" // narrow no-break space
)

// Fixed writes v with so many decimals; Missing when v is not a number. What
// rounds to zero has no sign.
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Missing
	}
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	if v < 0 && strings.ContainsAny(s, "123456789") {
		return minus + s
	}
	return s
}

// Signed is Fixed with a plus sign on what is above zero as written.
func Signed(v float64, decimals int) string {
	s := Fixed(v, decimals)
	if v > 0 && s != Missing && strings.ContainsAny(s, "123456789") {
		return "+" + s
	}
	return s
}

// KN writes newtons in kilonewtons, two decimals, without the unit.
func KN(newtons float64) string { return Fixed(newtons/1000, 2) }

// Percent writes a number that is in per cent already, one decimal, with its
// sign: "+9.8 %".
func Percent(v float64) string { return Unit{Name: "%", Scale: 1, Decimals: 1}.Signed(v) }

// Range writes two limits: "6.1 to 13.6". Missing when either is.
func Range(low, high float64, decimals int) string {
	a, b := Fixed(low, decimals), Fixed(high, decimals)
	if a == Missing || b == Missing {
		return Missing
	}
	return a + " to " + b
}

// Unit is how a quantity is shown: its unit, what SI is multiplied by, and how
// many decimals.
type Unit struct {
	Name     string
	Scale    float64
	Decimals int
}

// UnitOf returns how a measure is shown.
func UnitOf(m campaign.Measure) Unit {
	switch m {
	case campaign.PeakForce:
		return Unit{"kN", 1e-3, 2}
	case campaign.ReboundSpeed:
		return Unit{"m/s", 1, 2}
	case campaign.MaxStretch:
		return Unit{"m", 1, 3}
	case campaign.EnergyAbsorbed:
		return Unit{"J", 1, 0}
	}
	return Unit{m.Unit(), 1, 3}
}

// Write gives the number alone, for a table whose head has the unit.
func (u Unit) Write(si float64) string { return Fixed(si*u.Scale, u.Decimals) }

// With gives the number with its unit: "3.81 kN".
func (u Unit) With(si float64) string { return u.dress(u.Write(si)) }

// Signed gives a difference with its sign and unit: "+0.21 kN".
func (u Unit) Signed(si float64) string { return u.dress(Signed(si*u.Scale, u.Decimals)) }

func (u Unit) dress(s string) string {
	if s == Missing || u.Name == "" {
		return s
	}
	return s + thin + u.Name
}

// VerdictSign is the mark beside the word of a verdict, so that verdicts can be
// told apart at a glance and without colour.
func VerdictSign(v compare.Verdict) string {
	switch v {
	case compare.Higher:
		return "▲"
	case compare.Lower:
		return "▼"
	case compare.NoDifference:
		return "="
	case compare.NotSettled:
		return "↔"
	}
	return Missing
}

// Counted writes a whole number of things: "no drops", "1 drop", "2 drops".
func Counted(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing + "s"
	case 1:
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}

// Falls writes which falls a question is about: "fall 1", "falls 1 to 5", "falls
// 1, 3", or "all falls".
func Falls(falls []compare.Fall) string {
	if len(falls) == 0 {
		return "all falls"
	}
	run := true
	words := make([]string, len(falls))
	for i, f := range falls {
		words[i] = string(f)
		x, _ := falls[0].Number()
		y, ok := f.Number()
		run = run && ok && y == x+float64(i)
	}
	switch {
	case len(falls) == 1:
		return "fall " + words[0]
	case run && len(falls) > 2:
		return "falls " + words[0] + " to " + words[len(words)-1]
	}
	return "falls " + strings.Join(words, ", ")
}
