// Package web shows a book in the browser: server-rendered pages over the use
// cases of package study, readable without script and livelier with it.
//
// A handler decodes the address, asks the Desk one thing for the page and one
// or two for the line of the job, and hands a typed view to a template. It
// computes nothing that a finding rests on.
package web

import (
	"context"
	"io"
	"log/slog"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// Desk is what the pages ask of package study. Refusals are *problem.Problem;
// any other error is a fault of the program and is shown as a reference only.
type Desk interface {
	WaterDesk
	// Studies lists the book's studies, the newest first.
	Studies(ctx context.Context) ([]study.Summary, error)
	// Overview is a study at a glance.
	Overview(ctx context.Context, name string) (*study.Overview, error)
	// Trace is one trace, ready to be drawn.
	Trace(ctx context.Context, name, dropID string) (*study.TraceView, error)
	// Curves are what is drawn of a trace, in any window at once.
	Curves(ctx context.Context, name, dropID string, f study.Filter) (*study.Curves, error)
	// Reread is a second reading of a trace; it is not stored.
	Reread(ctx context.Context, name, dropID string, class int) (*study.Second, error)
	// StoreReading takes that reading and stores it as the newest.
	StoreReading(ctx context.Context, name, dropID string, class int, by string) (*study.StoredReading, error)
	// Overlay is traces over each other.
	Overlay(ctx context.Context, name string, ids []string) (*study.Overlaid, error)
	// Series follows one specimen from fall to fall.
	Series(ctx context.Context, name, specimen string) (*study.Series, error)
	// Preview reads a file and stores nothing.
	Preview(ctx context.Context, name string, u study.Upload) (*study.Preview, error)
	// AddDrop records a drop with its trace.
	AddDrop(ctx context.Context, name string, r study.Release) (campaign.Drop, *trace.Reading, error)
	// KeepRecipe keeps how the files of a rig are read.
	KeepRecipe(ctx context.Context, rig, name string, ask trace.Ask, by string) (campaign.Recipe, error)
	// Recipes lists the recipes of a rig.
	Recipes(ctx context.Context, rig string) ([]campaign.Recipe, error)
	// Clock is the time now.
	Clock() time.Time
	// Findings is every question with its answer.
	Findings(ctx context.Context, name string) (*study.Findings, error)
	// Checked is Findings with the checks of every model.
	Checked(ctx context.Context, name string) (*study.Findings, error)
	// WhatIf is the findings by another analysis than the plan's; it stores nothing.
	WhatIf(ctx context.Context, name string, a study.Alternative) (*study.Findings, error)
	// Plan is what a study's plan comes to; told hears how far it is.
	Plan(ctx context.Context, name string, told study.Progress) (*study.Planned, error)
	// PlanAtOnce is Plan without what takes seconds, unless that is known already.
	PlanAtOnce(ctx context.Context, name string) (*study.Planned, error)
	// Replan plans the rest of the days from a time on.
	Replan(ctx context.Context, name string, from time.Time) (*study.Replanned, error)
	// Freeze freezes the plan as it stands.
	Freeze(ctx context.Context, name, by string) (campaign.Freeze, error)
	// Deviate notes what was done other than the frozen plan says.
	Deviate(ctx context.Context, name, text, by string) error
	// Rig is what dialling in for a study starts from.
	Rig(ctx context.Context, name string) (*study.Rig, error)
	// WallRopes are the states of the rope by the laws fitted to a study's own falls,
	// or that those are pending.
	WallRopes(ctx context.Context, name string) (ropes []study.WallRope, pending bool, err error)
	// Laws fits a law to the falls of every specimen of a study.
	Laws(ctx context.Context, name, law string, told study.Progress) (*study.Laws, error)
	// SpecimenLaw fits a law to the falls of one specimen.
	SpecimenLaw(ctx context.Context, name, specimen, law string) (*study.SpecimenLaw, error)
	// Report is everything that the report says.
	Report(ctx context.Context, name string) (*study.Report, error)
}

// Options is what the pages need beside the Desk.
type Options struct {
	// Program is the name and version in the foot of every page.
	Program string
	// Report writes the self-contained report. Without it there is no Publish
	// step and no report page.
	Report func(io.Writer, study.Report) error
	// Calendar writes a plan's timetable as a file for calendars. Without it there
	// is none.
	Calendar func(io.Writer, *study.Planned) error
	// Fall reads a fall on the wall with its states of the rope from text, as the
	// command takes it from a file; the fall is nil where the text has states
	// alone. Without it the page takes no pasted text.
	Fall func(text []byte) (*study.WallFall, []study.WallRope, error)
	// Log takes faults of the program with their references; nil drops them.
	Log *slog.Logger
}
