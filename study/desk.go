// Package study holds the use cases: what can be asked of a book and what can
// be recorded in it. Command line and web app both call it and nothing else;
// stores and readers of files are handed to it.
package study

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Desk is a book with everything needed to work on it.
type Desk struct {
	Store   Store
	Read    func(name string, data []byte) (*trace.Recording, error) // of a trace file
	Now     func() time.Time
	Zone    *time.Location // in which answers give times; nil for UTC
	NewID   func() string  // unique, sorting by time of creation
	Program string         // name and version, kept with every reading
}

// PutPlan adds a study, or replaces the plan of one that is not frozen. file is
// the study file to the byte. It reports whether the study is new.
func (d *Desk) PutPlan(ctx context.Context, plan campaign.Plan, fileName string, file []byte, by string) (added bool, err error) {
	stamp := campaign.Stamp{At: d.now(), By: by}
	source := sourceFile(fileName, file)
	_, err = d.Store.Study(ctx, plan.Name)
	if problem.KindOf(err) == problem.NotFound {
		s := &campaign.Study{ID: d.NewID(), Created: stamp, Plan: plan, File: source}
		return true, d.Store.AddStudy(ctx, s, file)
	}
	if err != nil {
		return false, err
	}
	return false, d.Store.ReplacePlan(ctx, plan.Name, plan, source, file, stamp)
}

// Freeze freezes the plan of a study as it stands.
func (d *Desk) Freeze(ctx context.Context, name, by string) (campaign.Freeze, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return campaign.Freeze{}, err
	}
	f := campaign.Freeze{Stamp: campaign.Stamp{At: d.now(), By: by}, PlanSHA256: s.File.SHA256}
	return f, d.Store.FreezePlan(ctx, name, f)
}

// Release is one drop as it is reported to the desk.
type Release struct {
	Drop  campaign.Drop // ID and Trace are filled in here; Setting defaults to the series'
	Trace []byte        // the trace file to the byte; nil when there is none
	Name  string        // of the trace file
}

// AddDrop records a drop, takes the reading of its trace, and stores both in
// one go. A trace that cannot be read refuses the drop: record it without the
// trace, or void.
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
	reading, err := d.take(s, drop, r.Name, r.Trace)
	if err != nil {
		return drop, nil, err
	}
	if err := d.Store.AddDrop(ctx, name, drop, r.Trace, reading); err != nil {
		return drop, nil, err
	}
	return drop, &reading.Reading, nil
}

func (d *Desk) take(s *campaign.Study, drop campaign.Drop, name string, data []byte) (*StoredReading, error) {
	rec, err := d.Read(name, data)
	if err != nil {
		return nil, err
	}
	set := settings(s, drop)
	reading, _, err := trace.Take(rec, set)
	if err != nil {
		return nil, located(err, name)
	}
	return &StoredReading{
		ID: d.NewID(), Stamp: campaign.Stamp{At: d.now(), By: drop.By},
		Program: d.Program, Settings: set, Reading: *reading,
	}, nil
}

// settings are what the plan knows of a drop.
func settings(s *campaign.Study, drop campaign.Drop) trace.Settings {
	set := trace.Settings{Class: s.Plan.Reading.Class, Gravity: s.Plan.Rig.Gravity}
	if rig, ok := s.Plan.Setting(drop.Setting); ok {
		set.Mass, set.Drop, set.Length = rig.Mass, rig.Drop, rig.FreeLength
	}
	return set
}

// VoidDrop marks a drop void.
func (d *Desk) VoidDrop(ctx context.Context, name, dropID, reason string, loaded bool, by string) error {
	return d.Store.VoidDrop(ctx, name, dropID, campaign.Void{
		Stamp: campaign.Stamp{At: d.now(), By: by}, Reason: reason, Loaded: loaded,
	})
}

// Weigh records a mass.
func (d *Desk) Weigh(ctx context.Context, name string, w campaign.Weighing) error {
	w.ID = d.NewID()
	return d.Store.AddWeighing(ctx, name, w)
}

// Deviate records what was done other than the frozen plan says.
func (d *Desk) Deviate(ctx context.Context, name, text, by string) error {
	return d.Store.AddDeviation(ctx, name, campaign.Deviation{
		ID: d.NewID(), Stamp: campaign.Stamp{At: d.now(), By: by}, Text: text,
	})
}

// Studies lists the book's studies.
func (d *Desk) Studies(ctx context.Context) ([]Summary, error) { return d.Store.Studies(ctx) }

// now is to the millisecond, which is what a book keeps.
func (d *Desk) now() time.Time { return d.Now().UTC().Truncate(time.Millisecond) }

func sourceFile(name string, data []byte) campaign.SourceFile {
	sum := sha256.Sum256(data)
	return campaign.SourceFile{Name: name, SHA256: hex.EncodeToString(sum[:]), Size: int64(len(data))}
}

// located puts a file's name on a refusal that does not carry one.
func located(err error, name string) error {
	for _, p := range problem.All(err) {
		switch p.Where {
		case "":
			p.Where = name
		default:
			p.Where = name + ": " + p.Where
		}
	}
	return err
}
