package campaign

import (
	"strconv"
	"strings"
	"time"
)

// Water is the protocol by which a study soaks, drains and weighs: what a figure
// of uptake means. Figures of two protocols are not comparable. What is empty or
// nil is not stated.
type Water struct {
	Definition string   // "mass gained over dry mass", which an empty one means too
	DryState   string   // how the dry mass is had: "24 h at 50 °C", "as bought"
	Drain      *float64 // s, hung up before it is weighed
	Blot       string   // "none", "one turn in a dry towel"
	Bath       string   // what is in it: "sea water"
	Celsius    *float64 // °C of the bath
	Ends       string   // "open" or "sealed"
	Depth      *float64 // m under water

	Resolution    float64 // kg, the step of the scale's last digit; 0 when not known
	Repeatability float64 // kg, standard deviation of one load weighed again; 0 when not known

	At []time.Duration // soak times at which conditions are compared
}

// UptakeDefinition is the one definition of uptake that is computed with.
const UptakeDefinition = "mass gained over dry mass"

// Stated reports whether anything of the protocol is.
func (w Water) Stated() bool {
	return w.Definition != "" || w.DryState != "" || w.Drain != nil || w.Blot != "" || w.Bath != "" || w.Celsius != nil ||
		w.Ends != "" || w.Depth != nil || w.Resolution != 0 || w.Repeatability != 0 || len(w.At) > 0
}

// WeighedAs is what a specimen was when it was weighed.
type WeighedAs string

const (
	AsSaid    WeighedAs = ""        // by State alone, as weighings of older books are
	DryMassOf WeighedAs = "dry"     // before any soak: the dry mass
	Soaked    WeighedAs = "soaked"  // so long under water, then drained and blotted as the protocol says
	Drained   WeighedAs = "drained" // so long under water, and hung so long, another time than the protocol's
	Dried     WeighedAs = "dried"   // after a soak, hung to dry so long
)

// WeighedAll lists what a weighing can be of.
func WeighedAll() []WeighedAs { return []WeighedAs{DryMassOf, Soaked, Drained, Dried} }

// IsDry reports whether the mass is a dry mass.
func (w Weighing) IsDry() bool {
	return w.Of == DryMassOf || w.Of == AsSaid && w.State == string(DryMassOf)
}

// IsWet reports whether the mass is known to hold water.
func (w Weighing) IsWet() bool { return w.Of == Soaked || w.Of == Drained }

// Said is the state of a weighing in words: its own, or those that follow from
// what it is of and its times.
func (w Weighing) Said() string {
	switch {
	case strings.TrimSpace(w.State) != "" || w.Of == AsSaid:
		return w.State
	case w.Of == Drained:
		return "soaked " + Span(w.Soak) + ", drained " + Span(w.Hung)
	case w.Of == Soaked:
		return "soaked " + Span(w.Soak)
	case w.Of == Dried:
		return "dried " + Span(w.Hung)
	}
	return string(w.Of)
}

// Span writes a time in s as the trade says it: "45 s", "5 min", "18 h".
func Span(s float64) string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
	switch {
	case s < 60:
		return number(s) + " s"
	case s < 10*3600:
		return number(s/60) + " min"
	}
	return number(s/3600) + " h"
}

// Standing returns the weighings that none replaced, in the order of time.
func (s *Study) Standing() []Weighing {
	gone := map[string]bool{}
	for _, w := range s.Weighings {
		gone[w.Replaces] = true
	}
	var out []Weighing
	for _, w := range s.Weighings {
		if !gone[w.ID] {
			out = append(out, w)
		}
	}
	return out
}

// DryMass is the last dry mass of a specimen up to a time, in kg, and whether
// there is one.
func (s *Study) DryMass(specimen string, at time.Time) (mass float64, known bool) {
	for _, w := range s.Standing() {
		if w.Specimen == specimen && w.IsDry() && !w.At.After(at) {
			mass, known = w.Mass, true
		}
	}
	return mass, known
}
