package figure

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// Comparisons are the differences of conditions to one baseline, for Effects.
type Comparisons struct {
	Measure  campaign.Measure
	Baseline string
	Percent  bool    // of the baseline, in the place of amounts
	Margin   float64 // the band, in per cent or in SI as the differences are; 0 for none
	Each     []compare.Difference
	Overall  []compare.Difference // over all falls
}

// Heights of Effects, in px.
const (
	effectRow   = 17.0
	effectGroup = 24.0 // a condition's name and the room above it
)

// widthForNumbers is the width from which Effects writes its numbers beside the
// intervals.
const widthForNumbers = 600

const overAll = "all falls"

// Effects draws every difference to the baseline with its 95 % interval, fall by
// fall and over all of them, over the margin as a band and a line at zero.
// conditions are the plan's, in order. The height follows from the number of
// rows, not from the canvas.
func Effects(k Comparisons, conditions []string, c Canvas) *Scene {
	e := newEffects(k, conditions, c.Width-34)
	s := newScene(c, fmt.Sprintf("%s against %s", upper(string(k.Measure)), k.Baseline))
	s.Desc = e.words()
	if e.rows == 0 {
		s.Frame = Box{14, 8, s.Width - 14, 72}
		s.empty("nothing to compare")
		return s.finish(80, c)
	}
	right := s.Width - 14
	if s.Width >= widthForNumbers {
		right -= e.numbersWidth()
	}
	s.Frame = Box{textWidth(overAll) + labelGap + 2, 4, right, 4 + e.height()}
	x, ticks, _ := covering(s.Frame.Left, s.Frame.Right, e.extent()...)
	if m := e.margin(); m > 0 {
		s.add(Band{Box{x.At(-m), s.Frame.Top, x.At(m), s.Frame.Bottom}, SeaSoft})
	}
	alongAxis(s, x, ticks, "")
	s.add(Line{Points: []Point{{x.At(0), s.Frame.Top}, {x.At(0), s.Frame.Bottom}}, Ink: Soft, Width: 1})
	y := s.Frame.Top
	for _, g := range e.groups {
		e.group(s, x, g, y)
		y += g.height()
	}
	s.add(Text{X: inside((s.Frame.Left+s.Frame.Right)/2, e.along(), s.Width), Y: s.Frame.Bottom + 2*lineHeight, Anchor: Middle, Body: e.along(), Ink: Soft})
	return s.finish(s.Frame.Bottom+2*lineHeight+8, c)
}

// effects is Effects on its way.
type effects struct {
	Comparisons
	unit   Unit
	groups []effectsGroup
	rows   int
}

// effectsGroup is the differences of one condition.
type effectsGroup struct {
	name  string
	lines []string // of the name
	place int
	rows  []effectsRow
}

type effectsRow struct {
	label         string
	at, low, high float64 // in the unit shown
}

// newEffects groups the differences by condition; a name gets so many px.
func newEffects(k Comparisons, conditions []string, room float64) *effects {
	e := &effects{Comparisons: k, unit: UnitOf(k.Measure)}
	if k.Percent {
		e.unit = Unit{"%", 1, 1}
	}
	names := newPalette(conditions)
	for _, d := range k.Each {
		names.index(d.Condition)
	}
	for _, d := range k.Overall {
		names.index(d.Condition)
	}
	for i, name := range names {
		g := effectsGroup{name: name, lines: wrap(name, room), place: i}
		for _, d := range k.Each {
			if d.Condition == name {
				g.rows = append(g.rows, e.row("fall "+string(d.Fall), d))
			}
		}
		for _, d := range k.Overall {
			if d.Condition == name {
				g.rows = append(g.rows, e.row(overAll, d))
			}
		}
		if len(g.rows) > 0 {
			e.groups, e.rows = append(e.groups, g), e.rows+len(g.rows)
		}
	}
	return e
}

func (e *effects) row(label string, d compare.Difference) effectsRow {
	if e.Percent {
		return effectsRow{label, d.Percent, d.PercentLower, d.PercentUpper}
	}
	return effectsRow{label, d.Amount * e.unit.Scale, d.Lower * e.unit.Scale, d.Upper * e.unit.Scale}
}

// margin is the margin in the unit shown.
func (e *effects) margin() float64 {
	if e.Percent {
		return e.Margin
	}
	return e.Margin * e.unit.Scale
}

// marginWords is empty without a margin.
func (e *effects) marginWords() string {
	if e.Margin <= 0 {
		return ""
	}
	u := e.unit
	u.Scale = 1
	return asSet(u, e.margin())
}

func (e *effects) height() float64 {
	h := 6.0
	for _, g := range e.groups {
		h += g.height()
	}
	return h
}

func (g effectsGroup) height() float64 {
	return effectGroup + lineHeight*float64(len(g.lines)-1) + effectRow*float64(len(g.rows))
}

func (e *effects) extent() []float64 {
	out := []float64{0, -1.1 * e.margin(), 1.1 * e.margin()}
	for _, g := range e.groups {
		for _, r := range g.rows {
			out = append(out, r.at, r.low, r.high)
		}
	}
	return out
}

// along names the axis; the baseline is in the title.
func (e *effects) along() string {
	name := "difference in " + e.unit.Name
	if m := e.marginWords(); m != "" {
		name += ", band: margin ±" + m
	}
	return name
}

func (e *effects) numbersWidth() float64 {
	w := 0.0
	for _, g := range e.groups {
		for _, r := range g.rows {
			w = math.Max(w, textWidth(e.numbers(r)))
		}
	}
	return w + labelGap
}

func (e *effects) numbers(r effectsRow) string {
	if !known(r.at) {
		return Missing
	}
	limits := Range(r.low, r.high, e.unit.Decimals)
	if limits == Missing {
		limits = "no interval"
	}
	return Signed(r.at, e.unit.Decimals) + " (" + limits + ")"
}

// group draws one condition from y on.
func (e *effects) group(s *Scene, x Scale, g effectsGroup, y float64) {
	y += effectGroup
	s.add(Dot{X: 8, Y: y - 9, Shape: ShapeOf(g.place), Size: 4.8, Ink: Ink(g.place)})
	for i, l := range g.lines {
		if i > 0 {
			y += lineHeight
		}
		s.add(Text{X: 20, Y: y - 4.5, Body: l, Ink: Plain, Bold: true})
	}
	for _, r := range g.rows {
		mid, whole := y+effectRow/2, r.label == overAll
		s.add(Text{X: s.Frame.Left - labelGap, Y: mid + 4.5, Anchor: End, Body: r.label, Ink: Soft, Bold: whole})
		if known(r.low) && known(r.high) {
			width := 2.0
			if whole {
				width = 4
			}
			s.add(Bar{A: Point{x.At(r.low), mid}, B: Point{x.At(r.high), mid}, Ink: Ink(g.place), Width: width})
		}
		if known(r.at) {
			s.add(Dot{X: x.At(r.at), Y: mid, Shape: ShapeOf(g.place), Size: 4.5, Ink: Ink(g.place)})
		}
		if s.Width >= widthForNumbers {
			s.add(Text{X: s.Width - 2, Y: mid + 4.5, Anchor: End, Body: e.numbers(r), Ink: Plain, Bold: whole})
		}
		y += effectRow
	}
}

// words says what the picture shows.
func (e *effects) words() string {
	if e.rows == 0 {
		return "There is nothing to compare."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Differences to %s in %s with 95 %% intervals.", e.Baseline, e.unit.Name)
	if m := e.marginWords(); m != "" {
		fmt.Fprintf(&b, " The band is the margin of ±%s.", m)
	}
	for _, g := range e.groups {
		fmt.Fprintf(&b, " %s:", g.name)
		for i, r := range g.rows {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, " %s %s", r.label, e.numbers(r))
		}
		b.WriteByte('.')
	}
	return b.String()
}
