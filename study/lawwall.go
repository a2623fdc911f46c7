package study

import (
	"cmp"
	"context"
	"slices"
)

// WallRopes are the states of the rope by the laws that were fitted to a study's
// own falls: of each condition its last fall, then the others from the first on.
// Where the laws are not worked out yet there are none, and they are pending: Laws
// works them out.
func (d *Desk) WallRopes(ctx context.Context, name string) (ropes []WallRope, pending bool, err error) {
	l, err := d.LawsAtOnce(ctx, name, UsualLaw)
	if err != nil || l.Pending {
		return nil, err == nil, err
	}
	last := map[string]int{}
	for _, s := range l.States {
		last[s.Condition] = max(last[s.Condition], s.Fall)
	}
	order := slices.Clone(l.States)
	slices.SortStableFunc(order, func(a, b LawState) int {
		endA, endB := a.Fall == last[a.Condition], b.Fall == last[b.Condition]
		switch {
		case endA && !endB:
			return -1
		case endB && !endA:
			return 1
		case endA:
			return cmp.Compare(a.Place, b.Place)
		}
		return cmp.Or(cmp.Compare(a.Fall, b.Fall), cmp.Compare(a.Place, b.Place))
	})
	for _, s := range order {
		w, err := LawRope(s.Name(), s.From(), s.Place, s.Known)
		if err != nil {
			return nil, false, err
		}
		ropes = append(ropes, w)
	}
	return ropes, false, nil
}
