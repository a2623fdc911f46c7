// Package water is the page of what the water did, and of the bath side where it is
// written down.
package water

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/uptake"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is the page.
type View struct {
	Frame             frame.View
	Water             *study.Water
	Path              string // of the study
	Curves, Residuals frame.Picture
	Doses             []DosePicture
}

// DosePicture is a value of the falls against the water in the rope.
type DosePicture struct {
	Measure campaign.Measure
	Picture frame.Picture
	Rows    []study.Dose
}

func (v View) condition(name string) mark.Condition { return mark.Of(&v.Water.Study.Plan, name) }

// sentence begins with a capital and ends with a stop.
func sentence(text string) string {
	if text == "" {
		return text
	}
	return say.Bound(strings.ToUpper(text[:1]) + text[1:] + ".")
}

// apart says the differences at the last time that all were compared at.
func (v View) apart() []string {
	var out []string
	last := math.NaN()
	for _, c := range v.Water.Contrasts {
		if c.Quantity == uptake.AtTime && !math.IsNaN(c.P) && !(c.Time < last) {
			last = c.Time
		}
	}
	for _, c := range v.Water.Contrasts {
		if c.Quantity != uptake.AtTime || c.Time != last || math.IsNaN(c.P) {
			continue
		}
		word, low, high := "more", c.Lower, c.Upper
		if c.Estimate < 0 {
			word, low, high = "less", -c.Upper, -c.Lower
		}
		settled := ""
		if c.PHolm >= 0.05 {
			settled = "; that is not settled"
		}
		out = append(out, sentence(fmt.Sprintf("after %s %s holds %s points of its dry mass %s than %s (95 %% interval %s)%s",
			uptake.Minutes(c.Time), c.A, figure.Fixed(100*math.Abs(c.Estimate), 1), word, c.B, figure.Range(100*low, 100*high, 1), settled)))
	}
	return out
}

func percent(v float64) string { return figure.Fixed(100*v, 1) }

func span(e uptake.Estimate) string {
	if math.IsInf(e.Upper, 1) && !math.IsNaN(e.Lower) {
		return percent(e.Lower) + " or more"
	}
	return figure.Range(100*e.Lower, 100*e.Upper, 1)
}

func ends(a *uptake.Answer) string {
	if !a.Law.Saturates() {
		return "no end"
	}
	return percent(a.Saturation.Value)
}

func endSpan(a *uptake.Answer) string {
	if !a.Law.Saturates() {
		return ""
	}
	return span(a.Saturation)
}

func reached(r uptake.Reached) string {
	if math.IsNaN(r.Value) || r.Lower <= 0 {
		return figure.Missing
	}
	return uptake.InMinutes(r.Value)
}

func share(of float64) string { return fmt.Sprintf("%g\u202f%%", 100*of) }

// at is the uptake at each of the times, as far as it was weighed.
func (v View) at(a *uptake.Answer, t float64) (value, interval string) {
	if t > a.Last()*(1+1e-9) {
		return figure.Missing, "not weighed so long"
	}
	e := a.At(t)
	return percent(e.Value), figure.Range(100*e.Lower, 100*e.Upper, 1)
}

func of(c uptake.Contrast) string {
	if c.Quantity == uptake.AtTime {
		return "uptake after " + uptake.Minutes(c.Time)
	}
	return string(c.Quantity)
}

func difference(c uptake.Contrast) string {
	switch {
	case math.IsNaN(c.Estimate):
		return figure.Missing
	case c.Quantity == uptake.InRate:
		return "× " + figure.Fixed(c.Estimate, 2)
	}
	return figure.Signed(100*c.Estimate, 1)
}

func interval(c uptake.Contrast) string {
	if c.Quantity == uptake.InRate {
		return figure.Range(c.Lower, c.Upper, 2)
	}
	return figure.Range(100*c.Lower, 100*c.Upper, 1)
}

func how(c uptake.Contrast) string {
	if c.Said != "" {
		return c.Said
	}
	return c.How
}

// chance is a p value.
func chance(p float64) string {
	switch {
	case math.IsNaN(p):
		return figure.Missing
	case p < 0.0001:
		return "< 0.0001"
	}
	return figure.Fixed(p, 4)
}

func wetWord(wet bool) string {
	if wet {
		return "wet"
	}
	return "dry"
}

func mm(v float64, decimals int) string { return figure.Fixed(1000*v, decimals) }

func mmSpan(e uptake.Estimate) string { return figure.Range(1000*e.Lower, 1000*e.Upper, 2) }

func optional(v *float64, scale float64, decimals int) string {
	if v == nil {
		return figure.Missing
	}
	return figure.Fixed(*v*scale, decimals)
}

func known(v float64, scale float64, decimals int) string {
	if v == 0 || math.IsNaN(v) {
		return figure.Missing
	}
	return figure.Fixed(v*scale, decimals)
}

func grams(kg float64) string { return figure.Fixed(1000*kg, 1) }

// doseSentence says what more water did, or that it is not settled.
func doseSentence(d study.Dose) string {
	if d.Dose == nil {
		return sentence(fmt.Sprintf("%s: no line for its %s: %s", d.Lot, d.Measure, d.Why))
	}
	word := "more"
	if d.PerTenth.Value < 0 {
		word = "less"
	}
	text := fmt.Sprintf("%s: with 10 points more water the %s was %s %% %s than %s (95 %% interval %s), seen from %s to %s %%",
		d.Lot, d.Measure, figure.Fixed(100*math.Abs(d.Share()), 1), word, least(d), shareSpan(d), percent(d.From), percent(d.To))
	if d.P >= 0.05 {
		text += "; whether there is any change is not settled"
	}
	return sentence(text)
}

// least names the water that a change is a share of the value at.
func least(d study.Dose) string {
	if d.From == 0 {
		return "dry"
	}
	return "with " + percent(d.From) + " %"
}

func shareSpan(d study.Dose) string {
	return figure.Signed(100*d.PerTenth.Lower/d.AtLeast(), 1) + " to " + figure.Signed(100*d.PerTenth.Upper/d.AtLeast(), 1)
}

func doseValue(d study.Dose, v float64, signed bool) string {
	u := figure.UnitOf(d.Measure)
	if signed {
		return figure.Signed(v*u.Scale, u.Decimals+1)
	}
	return figure.Fixed(v*u.Scale, u.Decimals)
}

// driedSentence says how far a condition came back to its dry mass.
func driedSentence(d study.DriedBack) string {
	word := "more than before"
	if d.Amount.Value < 0 {
		word = "less than before"
	}
	text := fmt.Sprintf("%s: %s g %s", d.Outcome, figure.Fixed(1000*math.Abs(d.Amount.Value), 2), word)
	if !math.IsNaN(d.Amount.Lower) {
		text += fmt.Sprintf(" (95 %% interval %s)", figure.Range(1000*d.Amount.Lower, 1000*d.Amount.Upper, 2))
	}
	return say.Bound(fmt.Sprintf("%s, with %s g counted as nothing, by %s.", text, figure.Fixed(1000*d.Limit, 2), figure.Counted(d.N, "specimen")))
}

// swellSentence says how a lot swelled.
func swellSentence(s study.SwellingRow) string {
	c := s.Diameter
	text := fmt.Sprintf("%s was %s %% thicker wet than dry", s.Lot, figure.Fixed(100*c.Share.Value, 1))
	if !math.IsNaN(c.Share.Lower) {
		text += fmt.Sprintf(" (95 %% interval %s), by %s", figure.Range(100*c.Share.Lower, 100*c.Share.Upper, 1), figure.Counted(c.N, "specimen"))
	} else {
		text += ", by one specimen, so without an interval"
	}
	return sentence(text)
}

// stated lists the protocol, field by field.
func (v View) stated() (out [][2]string) {
	p := v.Water.Study.Plan.Water
	add := func(name, value string) {
		if value == "" {
			value = "not stated"
		}
		out = append(out, [2]string{name, value})
	}
	number := func(x *float64, unit string) string {
		if x == nil {
			return ""
		}
		if unit == "s" {
			return campaign.Span(*x)
		}
		return say.Known(*x, unit)
	}
	add("uptake is", campaign.UptakeDefinition)
	add("dry mass", p.DryState)
	add("drained", number(p.Drain, "s"))
	add("blotted", p.Blot)
	add("bath", p.Bath)
	add("its temperature", number(p.Celsius, "°C"))
	add("ends", p.Ends)
	add("depth", number(p.Depth, "m"))
	scale := func(kg float64) string {
		if kg == 0 {
			return ""
		}
		return campaign.Grams(kg)
	}
	add("scale's last step", scale(p.Resolution))
	add("scale's repeatability", scale(p.Repeatability))
	return out
}

func (v View) missing() string {
	var out []string
	for _, f := range v.Water.Protocol.Missing() {
		out = append(out, string(f))
	}
	return strings.Join(out, ", ")
}

// methods says once each how the numbers were had.
func (v View) methods() []string {
	var out []string
	seen := map[string]bool{}
	for _, a := range v.Water.Soaked {
		if m := sentence(a.Method()); !seen[m] {
			seen[m] = true
			out = append(out, m)
		}
	}
	return out
}
