package compare

import (
	"math"

	"fallwright.example/num/lmm"
)

// memo keeps quantiles of t, of which a balanced table needs few.
type memo map[[2]float64]float64

// critical is the t that |T| exceeds with a chance.
func (m memo) critical(beyond, df float64) float64 {
	return m.keep(beyond, df, func(beyond, df float64) float64 {
		_, t := lmm.Contrast{SE: 1, DF: df}.Interval(1 - beyond)
		return t
	})
}

// keep looks a quantile up, or makes and keeps it. Degrees of freedom that
// agree to eleven digits share one: they are one number and its rounding.
func (m memo) keep(beyond, df float64, quantile func(beyond, df float64) float64) float64 {
	if !(df > 0) {
		return math.NaN()
	}
	key := [2]float64{beyond, math.Float64frombits((math.Float64bits(df) + 0x8000) &^ 0xffff)}
	t, known := m[key]
	if !known {
		t = quantile(beyond, df)
		m[key] = t
	}
	return t
}
