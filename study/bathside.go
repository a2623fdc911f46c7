package study

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// What is typed at the bath side: text as it stands in the fields. A number without
// a unit is in the unit of its field, and its decimal mark may be a comma.

// WeighingTyped is a weighing as it was typed; the mass in g, times in min.
type WeighingTyped struct {
	Specimen, Of, Soak, Hung, Mass, By, Replaces string
}

// GaugingTyped is a gauging as it was typed; diameters, length and sheath in mm, the
// load in kg. A level has its two directions.
type GaugingTyped struct {
	Specimen, State            string
	Wet                        bool
	Levels                     [3][2]string
	Load, Contact, Length      string
	Sheath, Note, By, Replaces string
}

// PullTyped is a pull as it was typed; forces in N, the speed in m/s.
type PullTyped struct {
	Specimen, Device, State       string
	Wet                           bool
	Force, StickSlip, Speed, Held string
	Note, By, Replaces            string
}

// Weighing reads it. Refusals name their field: "specimen", "mass", "soak" and so on.
func (t WeighingTyped) Weighing(now time.Time) (campaign.Weighing, error) {
	r := typed{state: "the weighing was not stored"}
	w := campaign.Weighing{Specimen: t.Specimen, Of: campaign.WeighedAs(t.Of), Replaces: t.Replaces}
	w.Stamp = r.stamp(t.By, now)
	r.need("specimen", t.Specimen, "tap the specimen that is on the scale")
	r.need("of", t.Of, "say what is on the scale: dry, soaked, drained or dried")
	if r.need("mass", t.Mass, "write what the scale shows, in grams") {
		w.Mass = r.number("mass", t.Mass, quantity.Mass, "g")
	}
	if w.IsWet() && r.need("soak", t.Soak, "say how long it was under water") {
		w.Soak = r.number("soak", t.Soak, quantity.Time, "min")
	}
	if (w.Of == campaign.Drained || w.Of == campaign.Dried) && r.need("hung", t.Hung, "say how long it hung") {
		w.Hung = r.number("hung", t.Hung, quantity.Time, "min")
	}
	return w, r.list.Err()
}

// Gauging reads it. Refusals name their field.
func (t GaugingTyped) Gauging(now time.Time) (campaign.Gauging, error) {
	r := typed{state: "the gauging was not stored"}
	g := campaign.Gauging{Specimen: t.Specimen, Wet: t.Wet, State: t.State, Note: t.Note, Replaces: t.Replaces}
	g.Stamp = r.stamp(t.By, now)
	r.need("specimen", t.Specimen, "choose the specimen that is under the gauge")
	for _, typedLevel := range t.Levels {
		var level []float64
		for _, text := range typedLevel {
			if strings.TrimSpace(text) != "" {
				level = append(level, r.number("diameters", text, quantity.Length, "mm"))
			}
		}
		if len(level) > 0 {
			g.Levels = append(g.Levels, level)
		}
	}
	for _, f := range []struct {
		field, text, unit string
		of                quantity.Dimension
		to                *float64
	}{{"load", t.Load, "kg", quantity.Mass, &g.Load}, {"contact", t.Contact, "mm", quantity.Length, &g.Contact}, {"length", t.Length, "mm", quantity.Length, &g.Length}} {
		if strings.TrimSpace(f.text) != "" {
			*f.to = r.number(f.field, f.text, f.of, f.unit)
		}
	}
	if strings.TrimSpace(t.Sheath) != "" {
		v := r.number("sheath", t.Sheath, quantity.Length, "mm")
		g.Sheath = &v
	}
	return g, r.list.Err()
}

// Pull reads it. Refusals name their field.
func (t PullTyped) Pull(now time.Time) (campaign.Pull, error) {
	r := typed{state: "the pull was not stored"}
	p := campaign.Pull{Specimen: t.Specimen, Device: strings.TrimSpace(t.Device), Wet: t.Wet, State: t.State, Note: t.Note, Replaces: t.Replaces}
	p.Stamp = r.stamp(t.By, now)
	r.need("specimen", t.Specimen, "choose the specimen that was pulled")
	r.need("device", t.Device, `name the device, such as "tube", and the same each time`)
	if r.need("force", t.Force, "write the mean force of the steady part, in newtons") {
		p.Mean = r.number("force", t.Force, quantity.Force, "N")
	}
	for _, f := range []struct {
		field, text, unit string
		of                quantity.Dimension
		to                *float64
	}{{"speed", t.Speed, "m/s", quantity.Speed, &p.Speed}, {"held", t.Held, "N", quantity.Force, &p.Held}} {
		if strings.TrimSpace(f.text) != "" {
			*f.to = r.number(f.field, f.text, f.of, f.unit)
		}
	}
	if strings.TrimSpace(t.StickSlip) != "" {
		v := r.number("stick-slip", t.StickSlip, quantity.Force, "N")
		p.StickSlip = &v
	}
	return p, r.list.Err()
}

// typed reads fields and gathers what is wrong with them.
type typed struct {
	state string
	list  problem.List
}

func (r *typed) refuse(field, format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, field, format, args...).In(r.state)
	r.list = append(r.list, p)
	return p
}

func (r *typed) need(field, text, hint string) bool {
	if strings.TrimSpace(text) == "" {
		r.refuse(field, "it is not said").Hint("%s", hint)
		return false
	}
	return true
}

func (r *typed) stamp(by string, now time.Time) campaign.Stamp {
	by = strings.TrimSpace(by)
	if by == "" {
		r.refuse("by", "nobody is named who does this").Hint("write a name")
	}
	return campaign.Stamp{At: now, By: by}
}

// numeral takes what a text begins with as a number: its sign and digits, a mark and
// digits behind it, and what follows.
func numeral(text string) (whole, mark, part, rest string) {
	digits := func(s string) int {
		n := 0
		for n < len(s) && s[n] >= '0' && s[n] <= '9' {
			n++
		}
		return n
	}
	n := 0
	if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "+") {
		n = 1
	}
	n += digits(text[n:])
	whole, rest = text[:n], text[n:]
	if len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') {
		if k := digits(rest[1:]); k > 0 {
			return whole, rest[:1], rest[1 : 1+k], rest[1+k:]
		}
	}
	return whole, "", "", rest
}

// number reads a quantity; without a unit it is in that of the field.
func (r *typed) number(field, text string, of quantity.Dimension, unit string) float64 {
	text = strings.TrimSpace(text)
	whole, mark, part, rest := numeral(text)
	if mark == "," && len(part) == 3 && len(whole) <= 3 && whole != "0" && rest == "" {
		r.refuse(field, "%q may be a thousand and more, or have a decimal comma", text).Hint("write it with a decimal point, or without the comma")
		return 0
	}
	if mark == "," {
		text = whole + "." + part + rest
	}
	if whole != "" && rest == "" {
		text += " " + unit
	}
	v, err := quantity.Parse(text, of)
	var fault *quantity.Fault
	switch {
	case errors.As(err, &fault):
		r.refuse(field, "%s", fault.What).Hint("write the number alone, in %s", unit)
	case err != nil:
		r.refuse(field, "%s is no number", strconv.Quote(text))
	}
	return v
}
