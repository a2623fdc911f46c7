package study

import (
	"context"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Release is one drop as it is reported to the desk.
type Release struct {
	Drop  campaign.Drop // ID and Trace are filled in here; Setting defaults to the series'
	Trace []byte        // the trace file to the byte; nil when there is none
	Name  string        // of the trace file

	// How the file is read: by Ask, or by the recipe of that name for the
	// study's rig, or, with neither, by the plan's rule.
	Ask    *trace.Ask
	Recipe string
}

// AddDrop records a drop, takes the reading of its trace, and stores both in
// one go. A trace that cannot be read refuses the drop: record it without the
// trace, or void. So does a file of several drops without a Part that says
// which, and a trace that another fall, or for a trial or check any other drop,
// has already.
func (d *Desk) AddDrop(ctx context.Context, name string, r Release) (campaign.Drop, *trace.Reading, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return campaign.Drop{}, nil, err
	}
	drop := r.Drop
	drop.ID = d.NewID()
	if drop.Setting == "" {
		drop.Setting = s.Plan.Series.Setting
	}
	if drop.Void != nil && drop.Void.At.IsZero() {
		drop.Void.Stamp = drop.Stamp
	}
	if r.Trace == nil {
		return drop, nil, d.Store.AddDrop(ctx, name, drop, nil, nil)
	}
	source := sourceFile(r.Name, r.Trace)
	drop.Trace = &source
	ask, err := d.askOf(ctx, s, r)
	if err != nil {
		return drop, nil, err
	}
	rec, err := d.part(r.Name, r.Trace, ask)
	if err != nil {
		return drop, nil, err
	}
	drop.Part, ask.Part = rec.Part, rec.Part
	if err := twice(s, drop); err != nil {
		return drop, nil, err
	}
	reading, err := d.take(s, drop, rec, ask)
	if err != nil {
		return drop, nil, err
	}
	if err := d.Store.AddDrop(ctx, name, drop, r.Trace, reading); err != nil {
		return drop, nil, err
	}
	return drop, &reading.Reading, nil
}

// twice refuses a trial or a check whose trace another drop has already. Of
// falls the study decides; a fall may take over the trace of a trial, which
// cannot be voided. A void drop claims nothing.
func twice(s *campaign.Study, drop campaign.Drop) error {
	if drop.Kind == campaign.Fall || drop.Void != nil {
		return nil
	}
	for _, o := range s.Drops {
		if o.Trace != nil && o.Void == nil && o.Trace.SHA256 == drop.Trace.SHA256 && strings.EqualFold(o.Part, drop.Part) {
			return problem.New(problem.Conflict, string(drop.Kind), "%s is the trace of %s already", drop.Trace.Name, dropName(o)).
				Hint("choose the trace that was recorded at this drop").In("the drop was not stored")
		}
	}
	return nil
}

// askOf is how a release's file is read.
func (d *Desk) askOf(ctx context.Context, s *campaign.Study, r Release) (trace.Ask, error) {
	ask := s.Plan.Reading.Ask
	switch {
	case r.Ask != nil && r.Recipe != "":
		return ask, problem.New(problem.Invalid, "recipe", "both the recipe %q and corrections of one's own are given", r.Recipe).
			Hint("keep the corrections as a recipe, or leave the recipe out").In("the drop was not stored")
	case r.Ask != nil:
		ask = *r.Ask
	case r.Recipe != "":
		recipe, err := d.Recipe(ctx, s.Plan.Rig.Name, r.Recipe)
		if err != nil {
			return ask, err
		}
		ask = recipe.Ask
	}
	if r.Drop.Part != "" {
		ask.Part = r.Drop.Part
	}
	return ask, nil
}

// part is the one drop of a file that ask wants.
func (d *Desk) part(name string, data []byte, ask trace.Ask) (*trace.Recording, error) {
	file, err := d.Read(name, data, ask)
	if err != nil {
		return nil, err
	}
	if len(file.Parts) == 1 {
		return file.Parts[0], nil
	}
	i, err := choose(name, file.Parts, ask.Part)
	if err != nil {
		return nil, err
	}
	return file.Parts[i], nil
}

// choose finds a drop of a file by name or by number counted from 1.
func choose(name string, parts []*trace.Recording, want string) (int, error) {
	names := make([]string, len(parts))
	for i, p := range parts {
		names[i] = p.Part
		if names[i] == "" {
			names[i] = itoa(i + 1)
		}
	}
	if want != "" {
		if i := slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(n, want) }); i >= 0 {
			return i, nil
		}
		for i := range parts {
			if itoa(i+1) == want {
				return i, nil
			}
		}
		return 0, problem.New(problem.NotFound, name, "the file has no drop %q", want).Hint("its drops are: %s", strings.Join(names, ", "))
	}
	return 0, problem.New(problem.Invalid, name, "the file holds %d drops, and it is not said which is meant", len(parts)).
		Hint("name one of them: %s", strings.Join(names, ", "))
}

func (d *Desk) take(s *campaign.Study, drop campaign.Drop, rec *trace.Recording, ask trace.Ask) (*StoredReading, error) {
	set := settings(s, drop, ask)
	reading, err := trace.Read(rec, set)
	if err != nil {
		return nil, located(err, drop.Trace.Name)
	}
	return &StoredReading{
		ID: d.NewID(), Stamp: campaign.Stamp{At: d.now(), By: drop.By},
		Program: d.Program, Ask: ask, Settings: set, Reading: *reading,
	}, nil
}

// settings are what the plan and the ask know of a drop.
func settings(s *campaign.Study, drop campaign.Drop, ask trace.Ask) trace.Settings {
	set := s.Plan.ReadingSettings(drop)
	set.Pull = ask.Pull
	return set
}
