package uptake

import (
	"fmt"
	"math"

	"fallwright.example/num/dist"
	"fallwright.example/num/lmm"
	"fallwright.example/num/oneway"
)

// Quantity is what two conditions are compared in.
type Quantity string

// The quantities.
const (
	InSaturation Quantity = "saturation"
	InRate       Quantity = "rate" // mean rate up to half of the saturation, W∞/(2·t₅₀), as a ratio
	AtTime       Quantity = "uptake at a time"
)

// Contrast is one condition against another.
type Contrast struct {
	Quantity Quantity
	A, B     string  // A less B, or A over B
	Time     float64 // s, of AtTime; NaN otherwise

	// Estimate is a difference in kg/kg, or of rates a ratio, with its interval at
	// Level; what cannot be given is NaN, and Said says why.
	Estimate, SE, DF, Lower, Upper float64
	P, PHolm                       float64 // of no difference, and adjusted over all of Differences
	How                            string  // "specimens weighed at that time", "by the fitted laws"
	Said                           string
	Marks                          []string // in what the protocols differ, where it was forced
}

// Differences compares every condition with a baseline: in saturation, in rate, and
// at each time asked for, with p adjusted over all of them after [Holm1979].
//
// At a time that was weighed in both, with two specimens or more in each, the
// values of the specimens are compared by [Welch1947]; otherwise the fitted curves
// are, each with its own standard error and degrees of freedom joined as in
// [Welch1947]. Rates are compared on the logarithmic scale.
func Differences(answers []*Answer, baseline int, times []float64) []Contrast {
	var out []Contrast
	b := answers[baseline]
	for i, a := range answers {
		if i == baseline {
			continue
		}
		out = append(out, saturations(a, b), rates(a, b))
		for _, t := range times {
			out = append(out, AgainstAt(a, b, t))
		}
	}
	var p []float64
	var of []int
	for i := range out {
		out[i].unclaimed(answers)
	}
	for i, c := range out {
		out[i].PHolm = math.NaN()
		if !math.IsNaN(c.P) {
			p, of = append(p, c.P), append(of, i)
		}
	}
	if adjusted, err := lmm.Holm(p); err == nil {
		for k, i := range of {
			out[i].PHolm = adjusted[k]
		}
	}
	return out
}

// unclaimed takes interval and p from a difference in which one specimen stands for
// a condition: what varies between specimens is not known.
func (c *Contrast) unclaimed(answers []*Answer) {
	for _, a := range answers {
		if a.Kind == Alone && (a.Condition == c.A || a.Condition == c.B) && !math.IsNaN(c.Estimate) {
			nan := math.NaN()
			c.SE, c.DF, c.Lower, c.Upper, c.P = nan, nan, nan, nan, nan
			c.Said = fmt.Sprintf("no claim: there is one specimen of %s", a.Condition)
		}
	}
}

// saturations is the difference of two saturations. Its interval is made of both
// profile intervals [DonnerZou2012], which are not symmetric; p goes with it.
func saturations(a, b *Answer) Contrast {
	c := Contrast{Quantity: InSaturation, A: a.Condition, B: b.Condition, Time: math.NaN(), How: "by the fitted laws"}
	if open := notEnded(a, b); open != "" {
		return c.none("the saturation of %s is not in reach of the weighings", open)
	}
	c = c.welch(a.Saturation.Value-b.Saturation.Value, a.Saturation.SE, a.DF, b.Saturation.SE, b.DF)
	below := math.Hypot(a.Saturation.Value-a.Saturation.Lower, b.Saturation.Upper-b.Saturation.Value)
	above := math.Hypot(a.Saturation.Upper-a.Saturation.Value, b.Saturation.Value-b.Saturation.Lower)
	c.Lower, c.Upper = c.Estimate-below, c.Estimate+above
	half := below // towards zero
	if c.Estimate < 0 {
		half = above
	}
	c.P = 2 * dist.TTail(math.Abs(c.Estimate)/half*tQuantile(c.DF), c.DF)
	return c
}

// rates is the ratio of two rates; that of uptake to half the saturation.
func rates(a, b *Answer) Contrast {
	c := Contrast{Quantity: InRate, A: a.Condition, B: b.Condition, Time: math.NaN(), How: "by the fitted laws, on the logarithmic scale"}
	if open := notEnded(a, b); open != "" {
		return c.none("the saturation of %s is not in reach of the weighings, and half of it neither", open)
	}
	for _, x := range []*Answer{a, b} {
		if x.Times[0].Lower == 0 {
			return c.none("%s had risen by its first weighing: its rate is not known", x.Condition)
		}
	}
	ra, sa := a.LogRate()
	rb, sb := b.LogRate()
	c = c.welch(ra-rb, sa, a.DF, sb, b.DF)
	c.SE *= math.Exp(c.Estimate) // of the ratio
	c.Estimate, c.Lower, c.Upper = math.Exp(c.Estimate), math.Exp(c.Lower), math.Exp(c.Upper)
	return c
}

func notEnded(a, b *Answer) string {
	for _, x := range []*Answer{a, b} {
		if x.State == StillRising {
			return x.Condition
		}
	}
	return ""
}

// LogRate is the logarithm of the mean rate up to half the saturation, 1/s, with
// its standard error. The law has to have a saturation.
func (f *Fit) LogRate() (value, se float64) {
	half := f.Law.TimeTo(0.5, f.P)
	g := f.timeGradient(0.5)
	for k := range g {
		g[k] /= -half
	}
	g[0] += 1 / f.P[0]
	return math.Log(f.P[0] / (2 * half)), f.engine.seOf(g)
}

// AgainstAt is the difference of uptake at a time.
func AgainstAt(a, b *Answer, t float64) Contrast {
	c := Contrast{Quantity: AtTime, A: a.Condition, B: b.Condition, Time: t}
	x, y := a.weighedAt(t), b.weighedAt(t)
	if len(x) >= 2 && len(y) >= 2 {
		sx, errX := oneway.Summarise(x)
		sy, errY := oneway.Summarise(y)
		if errX == nil && errY == nil {
			if w, err := oneway.Welch(sx, sy); err == nil {
				c.How = fmt.Sprintf("%d and %d specimens weighed at that time", len(x), len(y))
				return c.fill(w.Amount, w.SE, w.DF)
			}
		}
	}
	for _, f := range []*Answer{a, b} {
		if t > f.Last() {
			return c.none("%s was weighed up to %s only, and a law is not read beyond that", f.Condition, minutes(f.Last()))
		}
	}
	c.How = "by the fitted laws"
	p, q := a.At(t), b.At(t)
	return c.welch(p.Value-q.Value, p.SE, a.DF, q.SE, b.DF)
}

// weighedAt are the uptakes at a time, to a second.
func (f *Fit) weighedAt(t float64) []float64 {
	var out []float64
	for _, p := range f.Points {
		if math.Abs(p.Time-t) < 0.5 {
			out = append(out, p.Uptake)
		}
	}
	return out
}

// welch joins two standard errors and their degrees of freedom.
func (c Contrast) welch(estimate, sa, dfa, sb, dfb float64) Contrast {
	va, vb := sa*sa, sb*sb
	return c.fill(estimate, math.Sqrt(va+vb), (va+vb)*(va+vb)/(va*va/dfa+vb*vb/dfb))
}

func (c Contrast) fill(estimate, se, df float64) Contrast {
	h := tQuantile(df) * se
	c.Estimate, c.SE, c.DF, c.Lower, c.Upper = estimate, se, df, estimate-h, estimate+h
	c.P = 2 * dist.TTail(math.Abs(estimate)/se, df)
	return c
}

func (c Contrast) none(format string, args ...any) Contrast {
	nan := math.NaN()
	c.Estimate, c.SE, c.DF, c.Lower, c.Upper, c.P = nan, nan, nan, nan, nan, nan
	c.Said = fmt.Sprintf(format, args...)
	return c
}

// PassLimit is the share of water, 0.05, up to which a rope passes the UIAA's
// test of water repellence, by its news item of 2014: light abrasion first, then a
// soak of 15 min by a rig of its own. That item has an untreated rope at 50 % and
// one whose treatment does not do at 20 to 40 %. It is drawn as a line to read
// other soaks by; a rope is not rated by it here, since the rig is not that.
const (
	PassLimit     = 0.05
	PassLimitTime = 15 * 60.0 // s
	PassLimitSaid = "5 %, the limit of the UIAA test of water repellence after 15 min (UIAA news item, 2014); that test abrades the rope first and has a rig of its own, so this is no rating"
)
