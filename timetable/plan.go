package timetable

import (
	"context"
	"time"
)

// Build makes the timetable of an Ask with the earliest finish that it finds. It
// refuses an Ask that is not sound (Validate) and one that does not fit its days;
// the refusal says how much is needed and what would fit.
//
// Specimens are placed one after the other, each at its earliest times beside
// what is there already, and a search of so many steps changes order (where it is
// free), towers and delays. The same Ask gives the same timetable. When ctx ends
// the search does, with its error.
func Build(ctx context.Context, ask Ask) (*Table, error) {
	if err := ask.Validate(); err != nil {
		return nil, err
	}
	return build(ctx, &ask, newYard(&ask, 0), nil)
}

func build(ctx context.Context, ask *Ask, y *yard, past []Op) (*Table, error) {
	b, err := newBuilder(y)
	if err != nil {
		return nil, err
	}
	bound := b.bound()
	p, steps, err := b.search(ctx, bound.at)
	if err != nil {
		return nil, err
	}
	if len(p.left) > 0 {
		return nil, b.refuse(p)
	}
	p = b.carryOut(p.recipe) // so that what is taken is what this plan takes
	t := b.table(p, past, steps)
	t.Bound, t.BoundBy = time.Duration(b.open(bound.at))*time.Second, bound.by
	return t, nil
}
