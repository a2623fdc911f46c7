package study

import "math"

// fewestTrend is how many falls a trend needs: two always lie on a line.
const fewestTrend = 3

// Trend is how a value changes from fall to fall, by least squares over the
// falls of one run without a long rest: the longest, the first of equals.
type Trend struct {
	Value    int     // in SeriesValues
	From, To int     // fall numbers of the run
	Points   int     // falls with the value, 3 or more
	Slope    float64 // per fall
	SE       float64 // standard error of the slope, Points−2 degrees of freedom
	Level    float64 // of the line at fall From
}

// Recovery is what a long rest did to a value: the change across it, and the
// difference to where the line through the run of falls before it leads.
type Recovery struct {
	Value    int // in SeriesValues
	Fall     int // the first after the rest
	Change   float64
	Points   int     // falls of the line, 2 or more; 0 when there are too few for one
	Expected float64 // by the line; NaN without one
	SE       float64 // of the difference to Expected; NaN with fewer than three falls
}

// line is a straight line by least squares.
type line struct {
	n            int
	meanX, meanY float64
	slope        float64
	sxx          float64
	residual     float64 // standard deviation about the line; NaN with fewer than 3 points
}

// leastSquares fits y = a + b·x: b = Σ(x−x̄)(y−ȳ)/Σ(x−x̄)². The residual
// variance is the sum of squares about the line over n−2. x must hold two
// different values.
//
// Source: [JCGM100] H.3.
func leastSquares(x, y []float64) line {
	l := line{n: len(x), residual: math.NaN()}
	for i := range x {
		l.meanX += x[i] / float64(l.n)
		l.meanY += y[i] / float64(l.n)
	}
	sxy := 0.0
	for i := range x {
		l.sxx += (x[i] - l.meanX) * (x[i] - l.meanX)
		sxy += (x[i] - l.meanX) * (y[i] - l.meanY)
	}
	l.slope = sxy / l.sxx
	if l.n > 2 {
		sum := 0.0
		for i := range x {
			e := y[i] - l.at(x[i])
			sum += e * e
		}
		l.residual = math.Sqrt(sum / float64(l.n-2))
	}
	return l
}

func (l line) at(x float64) float64 { return l.meanY + l.slope*(x-l.meanX) }

// slopeSE is the standard error of the slope, s/√Σ(x−x̄)².
func (l line) slopeSE() float64 { return l.residual / math.Sqrt(l.sxx) }

// newSE is the standard error of one new value at x minus the line's:
// s·√(1 + 1/n + (x−x̄)²/Σ(x−x̄)²).
func (l line) newSE(x float64) float64 {
	return l.residual * math.Sqrt(1+1/float64(l.n)+(x-l.meanX)*(x-l.meanX)/l.sxx)
}

// run is the known values of a stretch of falls without a long rest.
type run struct{ x, y []float64 }

// runs parts a series at its long rests.
func (s *Series) runs(value int) []run {
	var out []run
	for i, f := range s.Falls {
		if i == 0 || f.Long {
			out = append(out, run{})
		}
		if v := f.Values[value]; v.Known() {
			r := &out[len(out)-1]
			r.x, r.y = append(r.x, float64(f.Row.Drop.Fall)), append(r.y, float64(v))
		}
	}
	return out
}

func (s *Series) trend(value int) (Trend, bool) {
	var best run
	for _, r := range s.runs(value) {
		if len(r.x) > len(best.x) {
			best = r
		}
	}
	if len(best.x) < fewestTrend {
		return Trend{}, false
	}
	l := leastSquares(best.x, best.y)
	from, to := best.x[0], best.x[len(best.x)-1]
	return Trend{
		Value: value, From: int(from), To: int(to), Points: l.n, Slope: l.slope, SE: l.slopeSE(), Level: l.at(from),
	}, true
}

// recoveries compares the first known value after each long rest with those
// before it.
func (s *Series) recoveries(value int) []Recovery {
	var out []Recovery
	all := s.runs(value)
	for i := 1; i < len(all); i++ {
		before, after := all[i-1], all[i]
		if len(before.x) == 0 || len(after.x) == 0 {
			continue
		}
		r := Recovery{
			Value: value, Fall: int(after.x[0]), Change: after.y[0] - before.y[len(before.y)-1],
			Expected: math.NaN(), SE: math.NaN(),
		}
		if len(before.x) >= 2 {
			l := leastSquares(before.x, before.y)
			r.Points, r.Expected = l.n, l.at(after.x[0])
			r.SE = l.newSE(after.x[0])
		}
		out = append(out, r)
	}
	return out
}
