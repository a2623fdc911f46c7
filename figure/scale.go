package figure

import (
	"math"
	"strconv"
)

// Scale maps values to px in a straight line.
type Scale struct {
	Low, High float64 // values
	From, To  float64 // px of Low and High; From > To on a y axis
}

// At returns the place of a value.
func (s Scale) At(v float64) float64 {
	return s.From + (v-s.Low)/(s.High-s.Low)*(s.To-s.From)
}

// Tick is one labelled place on an axis.
type Tick struct {
	Value float64 // the float64 nearest to Label
	Label string  // the exact decimal, with a true minus sign
}

// Ticks returns round values that cover low to high: the first is at or below
// low, the last at or above high, and all are multiples of 1, 2 or 5 times a
// power of ten. There are 4 to 7 of them: n intervals of d cover a range of
// more than n-2 and at most n times d. When d is the first step with at most 6
// intervals, the step before, d/2.5 or more, had at least 7 and so fits the
// range more than 5 times; d fits it more than twice, which takes 3 intervals.
//
// A range with no width that numbers can show is widened around its value
// first. Ticks returns nil when low or high is not finite or low > high.
func Ticks(low, high float64) []Tick { return ticks(low, high, covers) }

// TicksWithin is Ticks for an axis that ends where the data do: 3 to 7 of the
// same round values, none of them outside.
func TicksWithin(low, high float64) []Tick { return ticks(low, high, fits) }

// ticks takes the finest step that span gives at most 7 multiples of.
func ticks(low, high float64, span func(low, high, m float64, power int) (first, last float64)) []Tick {
	if math.IsNaN(low) || math.IsInf(low, 0) || math.IsInf(high, 0) || !(low <= high) {
		return nil
	}
	low, high = widen(low, high)
	for power := int(math.Floor(math.Log10(high-low))) - 2; ; power++ {
		for _, m := range []float64{1, 2, 5} {
			first, last := span(low, high, m, power)
			if last-first > 6 {
				continue
			}
			var out []Tick
			for k := first; k <= last; k++ {
				out = append(out, decimal(k*m, power))
			}
			return out
		}
	}
}

// widen gives a range a width of at least a billionth of its size.
func widen(low, high float64) (float64, float64) {
	size := math.Max(math.Abs(low), math.Abs(high))
	switch {
	case size < 1e-300: // nothing but zero, as far as a drawing goes
		return 0, 1
	case high-low < 1e-9*size:
		return low - 0.1*size, high + 0.1*size
	}
	return low, high
}

// covers returns k for the last multiple k·m·10^power at or below low and for
// the first at or above high, judged by the numbers that will be drawn.
func covers(low, high, m float64, power int) (first, last float64) {
	first, last = fits(low, high, m, power)
	if decimal(first*m, power).Value > low {
		first--
	}
	if decimal(last*m, power).Value < high {
		last++
	}
	return first, last
}

// fits returns k for the first multiple k·m·10^power at or above low and for
// the last at or below high, likewise.
func fits(low, high, m float64, power int) (first, last float64) {
	step := m * math.Pow10(power)
	first, last = math.Ceil(low/step)-1, math.Floor(high/step)+1
	for decimal(first*m, power).Value < low {
		first++
	}
	for decimal(last*m, power).Value > high {
		last--
	}
	return first, last
}

// decimal writes a whole number times a power of ten without rounding.
func decimal(whole float64, power int) Tick {
	if whole == 0 {
		whole = 0 // no negative zero
	}
	digits := strconv.FormatFloat(math.Abs(whole), 'f', 0, 64)
	switch {
	case power > 0 && whole != 0:
		for range power {
			digits += "0"
		}
	case power < 0:
		for len(digits) <= -power {
			digits = "0" + digits
		}
		digits = digits[:len(digits)+power] + "." + digits[len(digits)+power:]
	}
	v, _ := strconv.ParseFloat(digits, 64) // digits only: out of range gives Inf
	if whole < 0 {
		return Tick{Value: -v, Label: minus + digits}
	}
	return Tick{Value: v, Label: digits}
}
