package cutlist

import (
	"cmp"
	"fmt"
	"slices"
)

// Step is one row of the list to tick, in the order of the work.
type Step struct {
	Rope string
	Do   string  // "measure 12.45 m and mark", "cut", ...
	Tool string  // "tape measure and pen", ...
	At   float64 // m from the rope's zero
	Tag  string  // label of the piece concerned; empty for none
}

// Steps are what is done, rope by rope from the zero end: look the rope over, cut
// off what is not used, cut each piece and label both of its ends before the next,
// knot, and put what is left over away under the rope's name.
func (l *List) Steps(ropes []Rope, d Demand) []Step {
	var out []Step
	for _, r := range ropes {
		pieces := l.of(r.Name)
		if len(pieces) == 0 {
			continue
		}
		out = append(out, Step{Rope: r.Name, Tool: "hands and eyes", Do: fmt.Sprintf("lay out from the %s, without load, and run it through the hand: note damage", r.zero())})
		at := 0.0
		for _, p := range pieces {
			if p.From-at > d.Kerf+0.0005 {
				out = append(out, Step{Rope: r.Name, Tool: "tape measure, pen, " + l.Cutter, At: p.From, Do: fmt.Sprintf("cut at %.3f m; what lies before it is no specimen", p.From)})
			}
			out = append(
				out,
				Step{Rope: r.Name, Tool: "tape measure and pen", At: p.To, Tag: p.Label, Do: fmt.Sprintf("mark %.3f m, which is %.3f m from the last cut", p.To, p.To-p.From)},
				Step{Rope: r.Name, Tool: "adhesive tape", At: p.To, Tag: p.Label, Do: "tape either side of the mark"},
				Step{Rope: r.Name, Tool: l.Cutter, At: p.To, Tag: p.Label, Do: "cut at the mark"},
				Step{Rope: r.Name, Tool: "labels and tape", At: p.To, Tag: p.Label, Do: "label both ends"},
			)
			at = p.To
		}
	}
	for _, p := range l.Pieces {
		if d.Knots.Count > 0 {
			out = append(out, Step{Rope: p.Rope, Tool: "hands, tape measure", Tag: p.Label, Do: fmt.Sprintf("tie %d × %s, tails %.2f m; %.3f m free between them", d.Knots.Count, d.Knots.name(), d.Knots.Tail, p.FreeLength)})
		}
	}
	for _, u := range l.Uses {
		if u.Pieces == 0 {
			continue
		}
		for _, left := range u.Left {
			out = append(out, Step{Rope: u.Rope, Tool: "label", At: left.From, Do: fmt.Sprintf("label what is left, %.2f to %.2f m, and put it away as test rope: not for climbing", left.From, left.To)})
		}
		out = append(out, Step{Rope: u.Rope, Tool: l.Cutter, Do: "cut offcuts and discarded ends short and throw them away"})
	}
	return out
}

// of are the pieces of a rope along it.
func (l *List) of(rope string) []Piece {
	var out []Piece
	for _, p := range l.Pieces {
		if p.Rope == rope {
			out = append(out, p)
		}
	}
	slices.SortFunc(out, func(a, b Piece) int { return cmp.Compare(a.From, b.From) })
	return out
}

func (r Rope) zero() string {
	if r.Zero == "" {
		return "zero end"
	}
	return r.Zero
}

func (k Knots) name() string {
	if k.Name == "" {
		return "knot"
	}
	return k.Name
}

// Label is what stands on a specimen. Two are printed, one for each end.
type Label struct {
	Title string   // large, and what the code beside it holds
	Lines []string // small
}

// Labels are the texts for all pieces, in the order of the list. A blinded label
// says neither condition nor whether it is a spare.
func (l *List) Labels() []Label {
	var out []Label
	for _, p := range l.Pieces {
		lines := []string{p.Rope, fmt.Sprintf("%.2f to %.2f m", p.From, p.To)}
		switch {
		case l.Blind:
			lines = []string{p.Lot}
		case p.Spare:
			lines = append(lines, "spare")
		default:
			lines = append(lines, p.Condition)
		}
		out = append(out, Label{Title: p.Label, Lines: append(lines, "test specimen, not for climbing", "after use: destroy")})
	}
	return out
}
