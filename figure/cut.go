package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/campaign"
)

// Cut draws a rope with the pieces that are cut from it: each with its label and
// the mark of its condition, a spare in dashes, ends that are not used, damage and
// the middle mark. conditions are the plan's, in order; with blind the pieces say
// nothing of theirs. The rope runs along a wide sheet and down a narrow one; its
// length makes the height there, whatever the Canvas has. Without a length it ends
// with its last piece.
func Cut(rope campaign.Rope, pieces []campaign.Specimen, conditions []string, blind bool, c Canvas) *Scene {
	s := newScene(c, "Cut from "+rope.ID())
	p := &cut{Scene: s, rope: rope, names: newPalette(conditions), blind: blind, down: s.Width < narrowGantt}
	for _, one := range pieces {
		if one.To > one.From {
			p.pieces = append(p.pieces, one)
		}
	}
	slices.SortStableFunc(p.pieces, func(a, b campaign.Specimen) int { return compareFloat(a.From, b.From) })
	p.length = rope.Length
	if p.length == 0 && len(p.pieces) > 0 {
		p.length = p.pieces[len(p.pieces)-1].To
	}
	s.Desc = p.words()
	if p.length == 0 {
		s.Frame = Box{0, 0, s.Width, 60}
		s.empty("no piece has a place in this rope")
		return s.finish(60, c)
	}
	return s.finish(p.draw(), c)
}

func compareFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

const (
	ropeThick = 22.0 // px across a rope
	perMetre  = 11.0 // px at least where the rope runs down
	pieceGap  = 1.5  // px between neighbours
)

// cut is a Cut on its way.
type cut struct {
	*Scene
	rope   campaign.Rope
	pieces []campaign.Specimen
	names  palette
	blind  bool
	down   bool
	length float64
	along  Scale
	mid    float64 // px across, of the rope's middle
}

// point is a place along the rope, in px, and across it.
func (p *cut) point(along, across float64) Point {
	if p.down {
		return Point{across, along}
	}
	return Point{along, across}
}

func (p *cut) box(from, to, across float64) Box {
	a, b := p.point(p.along.At(from), p.mid-across), p.point(p.along.At(to), p.mid+across)
	return Box{a.X, a.Y, b.X, b.Y}
}

// draw draws all and returns where it ends.
func (p *cut) draw() float64 {
	p.along = Scale{Low: 0, High: p.length, From: 6, To: p.Width - 18}
	p.mid = 2*lineHeight + ropeThick/2
	if p.down {
		closest := math.Inf(1)
		for _, one := range p.pieces {
			closest = math.Min(closest, one.To-one.From)
		}
		each := perMetre
		if !math.IsInf(closest, 1) {
			each = math.Max(each, math.Min(60, lineHeight/closest))
		}
		p.mid = textWidth(fmt.Sprintf("%.0f m", p.length)) + labelGap + 6 + ropeThick/2
		p.along = Scale{Low: 0, High: p.length, From: 12, To: 12 + each*p.length}
	}
	p.Frame = p.box(0, p.length, ropeThick/2)
	p.unused(0, p.rope.Discard)
	p.unused(p.length-p.rope.Discard, p.length)
	p.add(Line{Points: ring(p.box(0, p.length, ropeThick/2)), Ink: Soft, Width: 1})
	for _, d := range p.rope.Damage {
		p.damage(d)
	}
	p.ticks()
	p.middle()
	labels := math.Inf(-1)
	for _, one := range p.pieces {
		labels = p.piece(one, labels)
	}
	if p.down {
		return p.along.To + 12
	}
	return p.mid + ropeThick/2 + 8 + lineHeight + 6
}

// ring is the outline of a box.
func ring(b Box) []Point {
	return []Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Right, b.Bottom}, {b.Left, b.Bottom}, {b.Left, b.Top}}
}

// unused shades a stretch that no piece is cut from.
func (p *cut) unused(from, to float64) {
	if to > from {
		p.add(Band{p.box(from, to, ropeThick/2), Rule})
	}
}

// damage is shaded and crossed out.
func (p *cut) damage(d campaign.Stretch) {
	p.unused(d.From, d.To)
	b := p.box(d.From, d.To, ropeThick/2)
	p.add(
		Line{Points: []Point{{b.Left, b.Top}, {b.Right, b.Bottom}}, Ink: Warn, Width: 1.6},
		Line{Points: []Point{{b.Left, b.Bottom}, {b.Right, b.Top}}, Ink: Warn, Width: 1.6},
	)
	p.note((d.From+d.To)/2, "damage", Warn)
}

// middle is a stroke across the rope.
func (p *cut) middle() {
	m := p.rope.MiddleMark
	if m == 0 {
		return
	}
	at := p.along.At(m)
	p.add(Line{Points: []Point{p.point(at, p.mid-ropeThick/2-5), p.point(at, p.mid+ropeThick/2+5)}, Ink: Sea, Width: 2.2})
	p.note(m, "middle", Sea)
}

// note names a place of the rope above it, or at its far side where it runs down.
func (p *cut) note(at float64, word string, ink Ink) {
	x := p.along.At(at)
	if p.down {
		p.add(Text{X: p.Width - 4, Y: x + 4.5, Anchor: End, Body: word, Ink: ink})
		return
	}
	p.add(Text{X: inside(x, word, p.Width), Y: lineHeight - 5, Anchor: Middle, Body: word, Ink: ink})
}

// ticks are metres from the rope's zero.
func (p *cut) ticks() {
	step := 1.0
	for _, each := range []float64{1, 2, 5, 10, 20, 50, 100} {
		step = each
		if p.along.At(each)-p.along.At(0) >= 4*lineHeight {
			break
		}
	}
	for m := 0.0; m <= p.length+1e-9; m += step {
		at, word := p.along.At(m), fmt.Sprintf("%g", m)
		if m+step > p.length {
			word += " m"
		}
		if p.down {
			p.add(Line{Points: []Point{p.point(at, p.mid-ropeThick/2-5), p.point(at, p.mid-ropeThick/2)}, Ink: Soft, Width: 1},
				Text{X: p.mid - ropeThick/2 - labelGap, Y: at + 4.5, Anchor: End, Body: word, Ink: Soft})
			continue
		}
		p.add(Line{Points: []Point{p.point(at, p.mid+ropeThick/2), p.point(at, p.mid+ropeThick/2+5)}, Ink: Soft, Width: 1},
			Text{X: inside(at, word, p.Width), Y: p.mid + ropeThick/2 + 6 + lineHeight, Anchor: Middle, Body: word, Ink: Soft})
	}
}

// piece draws one piece; its label stands where the one before leaves room.
func (p *cut) piece(one campaign.Specimen, labels float64) float64 {
	ink, dash, place := Plain, []float64(nil), -1
	if !p.blind {
		place = p.names.index(one.Condition)
		ink = Ink(place)
	}
	if one.Spare && !p.blind {
		dash = []float64{3, 3}
	}
	b := p.box(one.From, one.To, ropeThick/2)
	if p.down {
		b.Top, b.Bottom = b.Top+pieceGap/2, b.Bottom-pieceGap/2
	} else {
		b.Left, b.Right = b.Left+pieceGap/2, b.Right-pieceGap/2
	}
	p.add(Line{Points: ring(b), Ink: ink, Width: 1.8, Dash: dash, Of: one.Label})
	at := p.along.At((one.From + one.To) / 2)
	if place >= 0 {
		m := p.point(at, p.mid)
		p.add(Dot{X: m.X, Y: m.Y, Shape: ShapeOf(place), Size: math.Min(5, 0.36*(p.along.At(one.To)-p.along.At(one.From))), Ink: ink, Of: one.Label})
	}
	if p.down {
		if at-lineHeight/2 < labels {
			return labels
		}
		p.add(Text{X: p.mid + ropeThick/2 + labelGap, Y: at + 4.5, Body: p.label(one), Ink: Plain, Of: one.Label})
		return at + lineHeight/2
	}
	if w := textWidth(one.Label); at-w/2 >= labels {
		p.add(Text{X: inside(at, one.Label, p.Width), Y: p.mid - ropeThick/2 - 6, Anchor: Middle, Body: one.Label, Ink: Plain, Of: one.Label})
		return at + w/2 + 3
	}
	return labels
}

// label is what stands beside a piece where there is room for more than its own.
func (p *cut) label(one campaign.Specimen) string {
	text := one.Label
	if !p.blind && one.Condition != "" {
		text += ", " + one.Condition
	}
	if one.Spare && !p.blind {
		text += ", spare"
	}
	return short(text, p.Width-(p.mid+ropeThick/2+labelGap)-textWidth("damage")-10)
}

// words says what the picture shows.
func (p *cut) words() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s of %s", Counted(len(p.pieces), "piece"), p.rope.ID())
	if p.rope.Length > 0 {
		fmt.Fprintf(&b, ", which is %g m", p.rope.Length)
	}
	b.WriteString(".")
	if p.rope.Discard > 0 {
		fmt.Fprintf(&b, " %g m at each end are not used.", p.rope.Discard)
	}
	for _, d := range p.rope.Damage {
		fmt.Fprintf(&b, " Damage from %g to %g m.", d.From, d.To)
	}
	if p.rope.MiddleMark > 0 {
		fmt.Fprintf(&b, " Middle mark at %g m.", p.rope.MiddleMark)
	}
	for _, one := range p.pieces {
		fmt.Fprintf(&b, " %s %.2f to %.2f m", one.Label, one.From, one.To)
		if !p.blind && one.Condition != "" {
			fmt.Fprintf(&b, ", %s", one.Condition)
			if one.Spare {
				b.WriteString(", spare")
			}
		}
		b.WriteString(".")
	}
	return b.String()
}
