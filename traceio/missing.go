package traceio

import (
	"math"
	"strings"
)

// overRange are the words that meters and loggers write for a value past their
// range; common usage, no source.
var overRange = map[string]bool{
	"ovl": true, "ovld": true, "ol": true, "o.l": true, "0l": true, "ovr": true, "ovf": true, "ofl": true, "over": true, "overload": true, "overrange": true,
	"over range": true, "over-range": true, "out of range": true, "range": true, "overflow": true, "ovrng": true, "ovrflw": true, "sat": true, "saturated": true, "clip": true, "clipped": true,
	"uberlauf": true, "\u00fcberlauf": true, "ueberlauf": true, "saturation": true,
}

// OverRange reports whether a cell says that the value was past the range.
func OverRange(cell string) bool {
	return overRange[strings.ToLower(strings.Trim(strings.TrimSpace(cell), "+->< *!"))]
}

// missingCodes are the numbers that programs write where a sample is missing or
// out of range; common usage, no source, but for 9.9e37 and 9.91e37, infinity
// and not-a-number of instruments [SCPI1999].
var missingCodes = map[float64]bool{9999: true, 99999: true, 999999: true, 9999999: true, 9.9e37: true, 9.91e37: true, 1e30: true, 1e31: true, 1e38: true}

// leastCode is the smallest of missingCodes.
const leastCode = 9999

// MayMiss reports whether some value is as large as a code of a missing sample.
func MayMiss(values []float64) bool {
	for _, v := range values {
		if v >= leastCode || v <= -leastCode {
			return true
		}
	}
	return false
}

// MissingCode is the place of the first of several values that are the same
// code of a missing sample and far from all others, by a tenth at least; -1 when
// there are none. A force that passes by such a number has others near it.
func MissingCode(values []float64) int {
	for i, v := range values {
		if math.Abs(v) < leastCode || !missingCodes[math.Abs(v)] {
			continue
		}
		same, near := 0, false
		for _, o := range values {
			if o == v {
				same++
			} else if math.Abs(o-v) < 0.1*math.Abs(v) {
				near = true
			}
		}
		if same > 1 && !near {
			return i
		}
		if near {
			return -1
		}
	}
	return -1
}
