// Package mark draws the small signs of the pages: a condition's mark in its
// colour, the grade of a reading, the sign of a verdict. Each stands beside its
// word; none stands for it.
package mark

import (
	"fmt"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/trace"
)

// Condition is a condition with its place in the plan, which fixes its colour
// and mark everywhere.
type Condition struct {
	Place int
	Name  string
}

// Of finds a condition of the plan; Place is -1 when the plan has none of that
// name.
func Of(p *campaign.Plan, name string) Condition {
	for i, c := range p.Conditions {
		if c.Name == name {
			return Condition{Place: i, Name: name}
		}
	}
	return Condition{Place: -1, Name: name}
}

// GradeWord is how a grade is said of a whole trace.
func GradeWord(g trace.Grade) string {
	switch g {
	case trace.Doubtful:
		return "doubtful"
	case trace.Missing:
		return "incomplete"
	}
	return "good"
}

// verdictClass is the style of a verdict's line.
func verdictClass(v compare.Verdict) string {
	switch v {
	case compare.Higher:
		return "higher"
	case compare.Lower:
		return "lower"
	case compare.NoDifference:
		return "same"
	}
	return "open"
}

// outlines are the marks of the conditions by place, as the figures draw them,
// around (0, 0) with the weight of a circle of radius 6.
var outlines = func() (all [36]string) {
	for i := range all {
		scene := figure.Scene{Width: 16, Height: 16, Marks: []figure.Mark{
			figure.Dot{Shape: figure.ShapeOf(i), Size: 6, Ink: figure.Ink(i)},
		}}
		_, after, _ := strings.Cut(scene.SVG(), "</desc>")
		all[i], _, _ = strings.Cut(strings.TrimSpace(after), "\n")
	}
	return all
}()

func outline(place int) string { return outlines[place%len(outlines)] }

// shape is a condition's mark as a picture of its own.
func shape(place int) string {
	return fmt.Sprintf(`<svg class="mark fig" viewBox="-8 -8 16 16" aria-hidden="true">%s</svg>`, outline(place))
}

// strip puts a condition's mark at a place from 0 to 100 on a line: a table's
// own picture of a value.
func strip(place int, at float64) string {
	dot := `<circle r="4" class="dot sea" fill="currentColor"/>`
	if place >= 0 {
		dot = outline(place)
	}
	return fmt.Sprintf(`<svg class="strip fig" aria-hidden="true"><line class="rule" stroke="currentColor" x2="100%%" y1="50%%" y2="50%%"/>`+
		`<svg x="%.1f%%" y="50%%" overflow="visible">%s</svg></svg>`, at, dot)
}
