package compare

import (
	"math"

	"fallwright.example/num/oneway"
)

// contrast is Welch's difference of two groups on one scale, with the limits
// that findings need. What cannot be had is NaN.
type contrast struct {
	amount, se, df, t, p float64
	lower, upper         float64 // 95 %
	lower90, upper90     float64
}

// welch contrasts a with b. Without values on both sides nothing can be had;
// with one on a side, or no spread on both, the difference alone.
func welch(a, b []float64) contrast {
	nan := math.NaN()
	out := contrast{nan, nan, nan, nan, nan, nan, nan, nan, nan}
	sa, errA := oneway.Summarise(a)
	sb, errB := oneway.Summarise(b)
	if errA != nil || errB != nil {
		return out
	}
	out.amount = sa.Mean - sb.Mean
	c, err := oneway.Welch(sa, sb)
	if err != nil {
		return out
	}
	out.se, out.df, out.t, out.p = c.SE, c.DF, c.T, c.P
	out.lower, out.upper = limits(c, 0.95)
	out.lower90, out.upper90 = limits(c, 0.90)
	return out
}

// interval is what a mean and a difference of means have in common.
type interval interface {
	Interval(level float64) (oneway.Interval, error)
}

// limits returns NaN where there is no interval.
func limits(of interval, level float64) (lower, upper float64) {
	i, err := of.Interval(level)
	if err != nil {
		return math.NaN(), math.NaN()
	}
	return i.Lower, i.Upper
}

// difference contrasts the values of a condition with those of the baseline,
// as they are and in per cent.
func difference(condition, baseline string, fall int, values, base []float64) Difference {
	d := Difference{Condition: condition, Baseline: baseline, Fall: fall, N: len(values), NBaseline: len(base)}
	c := welch(values, base)
	d.Amount, d.SE, d.DF, d.T, d.P = c.amount, c.se, c.df, c.t, c.p
	d.Lower, d.Upper, d.Lower90, d.Upper90 = c.lower, c.upper, c.lower90, c.upper90
	l := welch(logs(values), logs(base))
	d.Percent, d.PercentDF, d.PercentP = percent(l.amount), l.df, l.p
	d.PercentLower, d.PercentUpper = percent(l.lower), percent(l.upper)
	d.PercentLower90, d.PercentUpper90 = percent(l.lower90), percent(l.upper90)
	return d
}

// percent turns a difference of logarithms into per cent, 100·(exp(x) − 1).
func percent(x float64) float64 { return 100 * math.Expm1(x) }

// logs returns the logarithms, or nothing when a value is not positive.
func logs(values []float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		if v <= 0 {
			return nil
		}
		out[i] = math.Log(v)
	}
	return out
}
