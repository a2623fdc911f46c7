package pick

import (
	"fmt"
	"math"
	"slices"

	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// Evenness is what the time stamps of a recording say of its rate: that of the
// usual interval, and how far the intervals stray from it. There have to be two at
// least.
func Evenness(rec *trace.Recording) trace.Fact {
	rec.SeeSteps()
	times, shortest, longest := rec.Time, rec.Steps[0], rec.Steps[1]
	n := len(times) - 1
	usual := (times[n] - times[0]) / float64(n)
	if longest-shortest > 0.02*usual {
		usual = median(times)
	}
	stray := max(longest-usual, usual-shortest) / usual
	why := fmt.Sprintf("the usual interval of %s is %.4g s; ", traceio.Count(len(times), "stamp"), usual)
	switch {
	case stray < 1e-6:
		why += "all are the same"
	case stray < 0.02:
		why += fmt.Sprintf("they stray from it by %.2g %%", 100*stray)
	default:
		why += fmt.Sprintf("they go from %.4g to %.4g s", shortest, longest)
	}
	rate := 1 / usual
	if whole := math.Round(rate); whole > 0 && math.Abs(rate-whole) < 1e-6*rate {
		rate = whole
	}
	return trace.Fact{What: "rate", Is: fmt.Sprintf("%.6g Hz", rate), Why: why, Flag: "--rate"}
}

// median is that of the intervals, or of ten thousand of them throughout.
func median(times []float64) float64 {
	const most = 10_000
	n := len(times) - 1
	var steps []float64
	for i := 0; i < n; i += 1 + n/most {
		steps = append(steps, times[i+1]-times[i])
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}
