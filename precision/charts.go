package precision

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/num/runlength"
)

// individuals draws values and ranges. Limits lie at three standard deviations;
// the range of neighbours has one at d₂ + 3·d₃.
func (c *Chart) individuals(o ChartOptions) func(shift float64) float64 {
	limit := 3.0
	words := make([]string, len(o.Rules))
	for i, r := range o.Rules {
		words[i] = ruleWords(r)
		if r.Of == 1 && r.Among == 1 {
			limit = r.Beyond
		}
	}
	c.Lower, c.Upper = known(c.Centre-limit*c.Spread), known(c.Centre+limit*c.Spread)
	c.MeanRange = known(rangeFactor * c.Spread)
	c.RangeLimit = known((rangeFactor + 3*rangeSpread) * c.Spread)
	c.Settings = "signals: " + strings.Join(words, "; ") + "; a range beyond its limit"
	for i := range c.Plotted {
		p := &c.Plotted[i]
		if i > 0 {
			p.Range = known(math.Abs(p.Value - c.Plotted[i-1].Value))
		}
		for j, r := range o.Rules {
			if side := c.meets(r, i); side != "" {
				c.signal(i, words[j], side)
			}
		}
		if p.Range != nil && *p.Range > *c.RangeLimit {
			c.signal(i, "the range to the point before is beyond its limit", "")
		}
	}
	return func(shift float64) float64 { return runlength.Rules(o.Rules, shift) }
}

// meets gives the side on which a rule is met by point i, which itself must take
// part.
func (c *Chart) meets(r Rule, i int) string {
	side, sign := "high", 1.0
	if c.Plotted[i].Value < c.Centre {
		side, sign = "low", -1
	}
	z := func(i int) float64 { return sign * (c.Plotted[i].Value - c.Centre) / c.Spread }
	if z(i) <= r.Beyond {
		return ""
	}
	count := 0
	for j := max(0, i-r.Among+1); j <= i; j++ {
		if z(j) > r.Beyond {
			count++
		}
	}
	if count < r.Of {
		return ""
	}
	return side
}

// ewma draws zₜ = λxₜ + (1−λ)zₜ₋₁ from the centre, with limits at point t of
// ± L·s·√(λ/(2−λ)·(1 − (1−λ)²ᵗ)) [Roberts1959] [LucasSaccucci1990]; the final
// ones lack the bracket. The run lengths are for the final limits.
func (c *Chart) ewma(o ChartOptions) func(shift float64) float64 {
	final := o.Limit * c.Spread * math.Sqrt(o.Lambda/(2-o.Lambda))
	c.Lower, c.Upper = known(c.Centre-final), known(c.Centre+final)
	c.Settings = fmt.Sprintf("weight of the newest value %g, limits at %g standard deviations of the mean", o.Lambda, o.Limit)
	z := c.Centre
	for i := range c.Plotted {
		p := &c.Plotted[i]
		z = o.Lambda*p.Value + (1-o.Lambda)*z
		half := final * math.Sqrt(-math.Expm1(2*float64(i+1)*math.Log1p(-o.Lambda)))
		p.EWMA, p.Lower, p.Upper = known(z), known(c.Centre-half), known(c.Centre+half)
		if z > c.Centre+half {
			c.signal(i, "the weighted mean is beyond its limit", "high")
		}
		if z < c.Centre-half {
			c.signal(i, "the weighted mean is beyond its limit", "low")
		}
	}
	return func(shift float64) float64 { return runlength.EWMA(o.Lambda, o.Limit, shift) }
}

// cusum draws Sₜ = max(0, Sₜ₋₁ ± (xₜ − centre) − k·s) from zero, in the unit of
// the values, with a signal above h·s [Page1954]. The sums run on after a signal.
func (c *Chart) cusum(o ChartOptions) func(shift float64) float64 {
	k, h := o.Reference*c.Spread, o.Decision*c.Spread
	c.Upper = known(h)
	c.Settings = fmt.Sprintf("reference value %g and decision interval %g standard deviations", o.Reference, o.Decision)
	high, low := 0.0, 0.0
	for i := range c.Plotted {
		p := &c.Plotted[i]
		high = max(0, high+p.Value-c.Centre-k)
		low = max(0, low+c.Centre-k-p.Value)
		p.High, p.Low = known(high), known(low)
		if high > h {
			c.signal(i, "the sum is beyond the decision interval", "high")
		}
		if low > h {
			c.signal(i, "the sum is beyond the decision interval", "low")
		}
	}
	return func(shift float64) float64 { return runlength.CUSUM(o.Reference, o.Decision, shift) }
}
