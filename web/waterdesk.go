package web

import (
	"context"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/uptake"
)

// WaterDesk is what the page of the water and the bath side ask.
type WaterDesk interface {
	// Water says what the weighings, gaugings and pulls of a study tell.
	Water(ctx context.Context, name string, ask study.WaterAsk) (*study.Water, error)
	// Weigh records a mass.
	Weigh(ctx context.Context, name string, w campaign.Weighing) error
	// Gauge records a gauging.
	Gauge(ctx context.Context, name string, g campaign.Gauging) error
	// Pull records a pull, read from a trace where there is one.
	Pull(ctx context.Context, name string, p campaign.Pull, file string, data []byte) (campaign.Pull, *uptake.PullReading, error)
}
