package cutlist

import (
	"cmp"
	"math"
	"slices"

	"fallwright.example/problem"
)

const slip = 0.0015 // m: lengths are rounded to whole millimetres

// Check holds a cut list to the ropes and the demand by itself, whoever made it:
// pieces lie on usable rope and do not overlap, have the length asked for, are as
// many as asked for, and are balanced. It returns a problem.List of all that is
// wrong, nil when nothing is. Conditions have to be in the list: not Hidden ones.
//
// Balanced means that of two conditions of one lot with as many pieces neither has
// 2 more in any rope, and that no more than MaxRun pieces of one condition follow
// each other where the lot has several.
func Check(l *List, ropes []Rope, d Demand) error {
	var all problem.List
	labels := map[string]bool{}
	for _, p := range l.Pieces {
		if p.Label == "" || labels[p.Label] {
			all = append(all, problem.New(problem.Invalid, "piece "+p.Label, "its label is not its own"))
		}
		labels[p.Label] = true
		if !slices.ContainsFunc(ropes, func(r Rope) bool { return r.Name == p.Rope && r.Lot == p.Lot }) {
			all = append(all, problem.New(problem.Invalid, "piece "+p.Label, "there is no rope %q of lot %q", p.Rope, p.Lot))
		}
		if want := d.PieceLength(p.FreeLength); math.Abs(p.To-p.From-want) > slip {
			all = append(all, problem.New(problem.Invalid, "piece "+p.Label, "it is %.3f m long, %.3f m are needed", p.To-p.From, want))
		}
	}
	for _, r := range ropes {
		all = append(all, checkRope(l.of(r.Name), r, d)...)
	}
	return append(all, checkNumbers(l, d)...).Err()
}

func checkRope(pieces []Piece, r Rope, d Demand) problem.List {
	var all problem.List
	bad := slices.Clone(r.Damage)
	if r.Middle > 0 {
		bad = append(bad, Interval{r.Middle - r.MiddleClear, r.Middle + r.MiddleClear})
	}
	conditions := 0
	for _, w := range d.Wants {
		if w.Lot == r.Lot && w.Condition != "" {
			conditions++
		}
	}
	run := 0
	for i, p := range pieces {
		where := "piece " + p.Label
		if p.From < r.DiscardStart-slip || p.To > r.Length-r.DiscardEnd+slip {
			all = append(all, problem.New(problem.Invalid, where, "it reaches from %.3f m to %.3f m, the rope is usable from %.3f m to %.3f m", p.From, p.To, r.DiscardStart, r.Length-r.DiscardEnd))
		}
		for _, b := range bad {
			if p.From < b.To-slip && p.To > b.From+slip {
				all = append(all, problem.New(problem.Invalid, where, "it reaches from %.3f m to %.3f m over the rope from %.3f m to %.3f m, which is not to be used", p.From, p.To, b.From, b.To))
			}
		}
		run++
		if i > 0 {
			if gap := p.From - pieces[i-1].To; gap < d.Kerf-slip {
				all = append(all, problem.New(problem.Invalid, where, "it begins %.3f m after the end of %s, a cut takes %.3f m", gap, pieces[i-1].Label, d.Kerf))
			}
			if p.Condition != pieces[i-1].Condition {
				run = 1
			}
		}
		if d.MaxRun > 0 && run > d.MaxRun && !p.Spare && conditions > 1 {
			all = append(all, problem.New(problem.Invalid, where, "it is number %d in a row of %s, %d are allowed", run, p.Condition, d.MaxRun))
		}
	}
	return all
}

func checkNumbers(l *List, d Demand) problem.List {
	var all problem.List
	count := func(w Want, rope string) int {
		n := 0
		for _, p := range l.Pieces {
			if p.Lot == w.Lot && p.Condition == w.Condition && (rope == "" || p.Rope == rope) && (w.Condition != "" || p.FreeLength == w.FreeLength) {
				n++
			}
		}
		return n
	}
	asked := 0
	for i, w := range d.Wants {
		asked += w.Count
		if got := count(w, ""); got != w.Count {
			all = append(all, problem.New(problem.Invalid, "specimens of "+w.name(), "%d are in the list, %d are asked for", got, w.Count))
		}
		for _, o := range d.Wants[:i] {
			if o.Lot != w.Lot || o.Count != w.Count || o.Condition == "" || w.Condition == "" {
				continue
			}
			for _, u := range l.Uses {
				if a, b := count(w, u.Rope), count(o, u.Rope); a-b > 1 || b-a > 1 {
					all = append(all, problem.New(problem.Invalid, "rope "+u.Rope, "it gives %d of %s and %d of %s", a, w.Condition, b, o.Condition))
				}
			}
		}
	}
	if len(l.Pieces) != asked {
		all = append(all, problem.New(problem.Invalid, "cut list", "%d pieces, %d are asked for", len(l.Pieces), asked))
	}
	slices.SortStableFunc(all, func(a, b *problem.Problem) int { return cmp.Compare(a.Where, b.Where) })
	return all
}
