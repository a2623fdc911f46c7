package cutlist

import "slices"

// stretch is a part of a rope, in mm, that pieces may be cut from.
type stretch struct{ from, to int }

func (s stretch) length() int { return s.to - s.from }

// stretches are what is left of a rope between its discarded ends without damage
// and mark, in order.
func (r Rope) stretches() []stretch {
	bad := make([]stretch, 0, len(r.Damage)+1)
	for _, d := range r.Damage {
		bad = append(bad, stretch{mmDown(d.From), mmUp(d.To)})
	}
	if r.Middle > 0 {
		bad = append(bad, stretch{mmDown(r.Middle - r.MiddleClear), mmUp(r.Middle + r.MiddleClear)})
	}
	slices.SortFunc(bad, func(a, b stretch) int { return a.from - b.from })
	at, end := mmUp(r.DiscardStart), mmDown(r.Length-r.DiscardEnd)
	var out []stretch
	for _, b := range append(bad, stretch{end, end}) {
		if to := min(b.from, end); to > at {
			out = append(out, stretch{at, to})
		}
		at = max(at, b.to)
	}
	return out
}

// Holds is how many pieces of one length can be cut from a rope, with so much lost
// at each cut between two: both in m, taken to whole millimetres as a cut list does.
func (r Rope) Holds(piece, kerf float64) int {
	length, lost := mmUp(piece), mmUp(kerf)
	if length <= 0 {
		return 0
	}
	n := 0
	for _, s := range r.stretches() {
		n += (s.length() + lost) / (length + lost)
	}
	return n
}

func usable(stretches []stretch) int {
	n := 0
	for _, s := range stretches {
		n += s.length()
	}
	return n
}
