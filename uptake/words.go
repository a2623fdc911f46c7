package uptake

import (
	"fmt"
	"math"
	"strings"
)

// Sentence says what the weighings of the condition tell.
func (a *Answer) Sentence() string {
	name := a.Condition
	if name == "" {
		name = "the rope"
	}
	switch a.State {
	case Saturated:
		text := fmt.Sprintf("%s was saturated: it ends at %s (95 %% interval %s)", name, percent(a.Saturation.Value), percents(a.Saturation))
		if r := a.Times[2]; r.Lower > 0 {
			return text + fmt.Sprintf(" and had 95 %% of that after %s (%s)", Minutes(r.Value), r.Span())
		}
		return text + fmt.Sprintf(" and had 95 %% of that by %s at the latest", Minutes(a.Times[2].Upper))
	case Rising:
		text := fmt.Sprintf("%s ends at %s (95 %% interval %s); at the last weighing, after %s, it had %s and had not surely got there", name,
			percent(a.Saturation.Value), percents(a.Saturation), Minutes(a.Last()), percent(a.At(a.Last()).Value))
		if r := a.Times[2]; !math.IsNaN(r.Value) {
			text += fmt.Sprintf("; 95 %% of its end comes after %s (%s)", Minutes(r.Value), r.Span())
		}
		return text
	}
	text := fmt.Sprintf("%s was still rising at the last weighing: %s after %s, and the weighings do not show where it ends", name, percent(a.At(a.Last()).Value), Minutes(a.Last()))
	if low := a.Saturation.Lower; a.Law.Saturates() && a.Saturation.Open() && low <= sight*a.At(a.Last()).Value {
		text += fmt.Sprintf(", only that it is not below %s", percent(a.Saturation.Lower))
	}
	if math.IsNaN(a.Longer) {
		return text + "; soak several times as long, and weigh on the way"
	}
	return text + fmt.Sprintf("; a soak of some %s, weighed on the way, would show it if the law goes on", roughly(a.Longer))
}

// KindSaid says how the weighings hang together.
func (f *Fit) KindSaid() string {
	switch f.Kind {
	case Separate:
		return "each weighing is taken as of a specimen of its own"
	case Alone:
		return "one specimen weighed again and again"
	}
	return fmt.Sprintf("%d specimens weighed again and again", f.Specimens)
}

// Method says how the numbers were had.
func (f *Fit) Method() string {
	if f.Kind == Repeated {
		return "nonlinear mixed model after Lindstrom and Bates, saturation and time differing from specimen to specimen, REML; intervals by the profile of the likelihood, Student's t on specimens less one"
	}
	how := "least squares"
	if f.Weighted {
		how = "least squares weighted by the scale's uncertainty"
	}
	return how + "; intervals by the profile of the sum of squares, Student's t"
}

func percent(v float64) string { return fmt.Sprintf("%.1f\u00a0%%", 100*v) }

// percents is an interval in per cent.
func percents(e Estimate) string {
	if math.IsNaN(e.Lower) || math.IsNaN(e.Upper) {
		return "not to be had"
	}
	return fmt.Sprintf("%.1f to %.1f", 100*e.Lower, 100*e.Upper)
}

// Minutes writes a time in minutes, to the digits that a soak has.
func Minutes(s float64) string { return number(s/60) + "\u00a0min" }

// roughly is a time in minutes to two digits, upward.
func roughly(s float64) string {
	step := math.Pow(10, math.Floor(math.Log10(s/60))-1)
	return fmt.Sprintf("%.0f\u00a0min", math.Ceil(s/60/step-1e-9)*step)
}

// InMinutes is Minutes without the unit.
func InMinutes(s float64) string { return number(s / 60) }

func number(v float64) string {
	switch v := math.Abs(v); {
	case v == 0 || v >= 100:
		return fmt.Sprintf("%.0f", v)
	case v >= 1:
		return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
	}
	return fmt.Sprintf("%.2g", v)
}

// Span writes an interval of a time in minutes, its open ends in words.
func (r Reached) Span() string {
	switch e := r.Estimate; {
	case math.IsNaN(e.Lower) || math.IsNaN(e.Upper):
		return "no interval"
	case e.Lower == 0 && math.IsInf(e.Upper, 1):
		return "open at both ends"
	case math.IsInf(e.Upper, 1):
		return number(e.Lower/60) + " or more"
	case e.Lower == 0:
		return "up to " + number(e.Upper/60)
	default:
		return number(e.Lower/60) + " to " + number(e.Upper/60)
	}
}
