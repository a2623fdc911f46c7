package web

import (
	"context"

	"fallwright.example/study"
)

func (d *fakeDesk) Rig(ctx context.Context, name string) (*study.Rig, error) {
	o, err := d.Overview(ctx, name)
	if err != nil {
		return nil, err
	}
	return study.NewRig(o.Study, o.Drops), nil
}

func (d *fakeDesk) WallRopes(_ context.Context, name string) ([]study.WallRope, bool, error) {
	return d.ropes, d.pending, d.known(name)
}
