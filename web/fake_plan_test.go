package web

import (
	"context"
	"fmt"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// oneStudy is a store that has the fake study and nothing else.
type oneStudy struct {
	study.Store
	of *campaign.Study
}

func (s oneStudy) Study(_ context.Context, name string) (*campaign.Study, error) {
	if name != s.of.Plan.Name {
		return nil, problem.New(problem.NotFound, "study "+name, "the book has no study of that name")
	}
	return s.of, nil
}

// planning is the use case on the fake study.
func (d *fakeDesk) planning() *study.Desk {
	return &study.Desk{Store: oneStudy{of: d.study}, Now: d.Clock, Zone: time.UTC, Program: "fallwright test"}
}

func (d *fakeDesk) Plan(ctx context.Context, name string, told study.Progress) (*study.Planned, error) {
	return d.planning().Plan(ctx, name, told)
}

func (d *fakeDesk) PlanAtOnce(ctx context.Context, name string) (*study.Planned, error) {
	if err := d.known(name); err != nil {
		return nil, err
	}
	return d.planning().PlanAtOnce(ctx, name)
}

func (d *fakeDesk) Replan(ctx context.Context, name string, from time.Time) (*study.Replanned, error) {
	return d.planning().Replan(ctx, name, from)
}

func (d *fakeDesk) Freeze(_ context.Context, name, by string) (campaign.Freeze, error) {
	d.done = append(d.done, fmt.Sprintf("freeze %s by %s", name, by))
	return campaign.Freeze{}, nil
}

func (d *fakeDesk) Deviate(_ context.Context, name, text, by string) error {
	d.done = append(d.done, fmt.Sprintf("deviate %s: %s by %s", name, text, by))
	return nil
}
