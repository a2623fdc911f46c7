// Package say puts values into words for the screen: units people use at a
// tower, a true minus sign, a no-break space before the unit, and a dash for
// what is not known. It takes SI and computes nothing else.
package say

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/figure"
)

// None stands where a value is not known.
const None = figure.Missing

const space = "\u202f" // narrow, and does not break; as figures have it

// Number writes v with that many decimals, or None when v is not finite.
func Number(v float64, decimals int) string { return figure.Fixed(v, decimals) }

// with joins a number and its unit; None stays alone.
func with(number, unit string) string {
	if number == None || unit == "" {
		return number
	}
	return number + space + unit
}

// Force writes newtons as kilonewtons.
func Force(v float64) string { return with(Number(v/1000, 2), "kN") }

// Newtons writes a small force as it is.
func Newtons(v float64) string { return with(Number(v, 1), "N") }

// Milliseconds writes seconds as milliseconds.
func Milliseconds(v float64) string { return with(Number(v*1000, 1), "ms") }

// Seconds writes seconds.
func Seconds(v float64) string { return with(Number(v, 3), "s") }

// Speed writes metres a second.
func Speed(v float64) string { return with(Number(v, 2), "m/s") }

// Length writes metres.
func Length(v float64) string { return with(Number(v, 3), "m") }

// Energy writes joules.
func Energy(v float64) string { return with(Number(v, 0), "J") }

// Impulse writes newton seconds.
func Impulse(v float64) string { return with(Number(v, 1), "N s") }

// Mass writes kilograms, a specimen's in grams.
func Mass(v float64) string {
	if v < 2 {
		return with(Number(v*1000, 1), "g")
	}
	return with(short(v, 1), "kg")
}

// Rate writes a sampling rate.
func Rate(v float64) string {
	if v >= 1000 {
		return with(short(v/1000, 3), "kHz")
	}
	return with(short(v, 2), "Hz")
}

// short writes v with at most that many decimals and no trailing zeros.
func short(v float64, most int) string {
	s := Number(v, most)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// Known writes an amount that may be zero for "not known", with at most three
// decimals.
func Known(v float64, unit string) string {
	if v == 0 {
		return None
	}
	return with(short(v, 3), unit)
}

// Duration writes a rest or a clock time: "3 min 10 s", "45 s", "2 h 5 min".
func Duration(d time.Duration) string {
	d = d.Round(time.Second)
	h, m, s := int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60
	var parts []string
	if h > 0 {
		parts = append(parts, with(strconv.Itoa(h), "h"))
	}
	if m > 0 {
		parts = append(parts, with(strconv.Itoa(m), "min"))
	}
	if s > 0 && h == 0 || len(parts) == 0 {
		parts = append(parts, with(strconv.Itoa(s), "s"))
	}
	return strings.Join(parts, " ")
}

// Day writes a date: "4 May 2026".
func Day(t time.Time) string {
	if t.IsZero() {
		return None
	}
	return t.Format("2 January 2006")
}

// Clock writes a date and time of day: "4 May 14:26".
func Clock(t time.Time) string {
	if t.IsZero() {
		return None
	}
	return t.Format("2 Jan 15:04")
}

// Margin writes the smallest difference that matters of a measure.
func Margin(m campaign.Measure, margin campaign.Margin) string {
	if margin.Share > 0 {
		return with(short(margin.Share*100, 1), "%")
	}
	u := figure.UnitOf(m)
	return with(short(margin.Amount*u.Scale, 3), u.Name)
}

// Bound keeps numbers and their per cent signs on one line.
func Bound(text string) string { return strings.ReplaceAll(text, " %", space+"%") }

// Falls writes a set of fall numbers: "fall 1", "falls 1 to 5", "falls 1, 3".
func Falls(falls []int) string {
	switch {
	case len(falls) == 0:
		return None
	case len(falls) == 1:
		return fmt.Sprintf("fall %d", falls[0])
	case run(falls) && len(falls) > 2:
		return fmt.Sprintf("falls %d to %d", falls[0], falls[len(falls)-1])
	}
	words := make([]string, len(falls))
	for i, f := range falls {
		words[i] = strconv.Itoa(f)
	}
	return "falls " + strings.Join(words, ", ")
}

func run(falls []int) bool {
	for i := 1; i < len(falls); i++ {
		if falls[i] != falls[i-1]+1 {
			return false
		}
	}
	return true
}

// Figures writes v with that many significant figures, without an exponent from
// a ten-thousandth to a million.
func Figures(v float64, n int) string {
	if size := math.Abs(v); v != 0 && (size < 1e-4 || size >= 1e6) && !math.IsInf(v, 0) && !math.IsNaN(v) {
		text := strconv.FormatFloat(v, 'e', n-1, 64)
		mantissa, power, _ := strings.Cut(text, "e")
		sign := strings.HasPrefix(power, "-")
		power = strings.TrimLeft(power, "+-0")
		if sign {
			power = "−" + power
		}
		return strings.Replace(mantissa, "-", "−", 1) + "·10^" + power
	}
	if v == 0 {
		return "0"
	}
	return Number(v, max(0, n-1-int(math.Floor(math.Log10(math.Abs(v))))))
}
