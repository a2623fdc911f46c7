package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Format writes an SI value in the unit that people use at that size, to four
// significant digits: "12 kN", "9.6 mm", "62 g/m", "5 %". A time is written to
// the millisecond as a sum: "3 min 30 s". NaN is "not known".
//
// What it writes, Parse reads, and formats to the same text again.
func Format(v float64, d Dimension) string {
	switch {
	case math.IsNaN(v):
		return "not known"
	case d == Time && math.Abs(v) >= 1 && !math.IsInf(v, 0):
		return formatTime(v)
	}
	v = round(v, 4)
	u, _ := d.unit(d.sized(math.Abs(v)))
	return strconv.FormatFloat(round(v/u.size(), 4), 'f', -1, 64) + " " + u.name
}

// sized is the unit for a value of that size.
func (d Dimension) sized(v float64) string {
	pick := func(limit float64, small, large string) string {
		if v < limit && v > 0 {
			return small
		}
		return large
	}
	switch d {
	case Force:
		return pick(1000, "N", "kN")
	case Mass:
		return pick(1, "g", "kg")
	case Length:
		return pick(0.1, "mm", "m")
	case Time:
		return pick(1, "ms", "s")
	case Energy:
		return pick(1000, "J", "kJ")
	}
	return d.Units()[0]
}

// formatTime writes seconds, at least one, as a sum of hours, minutes and
// seconds.
func formatTime(v float64) string {
	sign := ""
	if v < 0 {
		sign, v = "-", -v
	}
	if v >= 1<<43 { // milliseconds would not fit
		return sign + strconv.FormatFloat(v, 'f', 0, 64) + " s"
	}
	ms := int64(math.Round(v * 1000))
	h, m, s := ms/3_600_000, ms/60_000%60, ms%60_000
	var terms []string
	if h > 0 {
		terms = append(terms, strconv.FormatInt(h, 10)+" h")
	}
	if m > 0 {
		terms = append(terms, strconv.FormatInt(m, 10)+" min")
	}
	if s > 0 || len(terms) == 0 {
		terms = append(terms, strconv.FormatFloat(float64(s)/1000, 'f', -1, 64)+" s")
	}
	return sign + strings.Join(terms, " ")
}

// round rounds to a number of significant digits.
func round(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', digits-1, 64), 64)
	if err != nil {
		return v
	}
	return r
}
