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

// Desk is a book with everything needed to work on it. It may be used by
// several at once.
type Desk struct {
	Store   Store
	Read    func(name string, data []byte, ask trace.Ask) (*trace.File, error) // of a trace file
	Now     func() time.Time
	Zone    *time.Location // in which answers give times; nil for UTC
	NewID   func() string  // unique, sorting by time of creation
	Program string         // name and version, kept with every reading

	// KeepBytes is how much memory the recordings and signals that are kept for
	// the next question may take; 0 means 512 MiB, below 0 nothing is kept.
	KeepBytes int64

	kept   keeper
	counts counts[counted]
	laws   counts[Laws]
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

// VoidDrop marks a drop void.
func (d *Desk) VoidDrop(ctx context.Context, name, dropID, reason string, loaded bool, by string) error {
	return d.Store.VoidDrop(ctx, name, dropID, campaign.Void{
		Stamp: campaign.Stamp{At: d.now(), By: by}, Reason: reason, Loaded: loaded,
	})
}

// Weigh records a mass.
func (d *Desk) Weigh(ctx context.Context, name string, w campaign.Weighing) error {
	w.ID = d.NewID()
	w.State = w.Said()
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

// Clock is the time now, in the desk's zone.
func (d *Desk) Clock() time.Time {
	if d.Zone != nil {
		return d.now().In(d.Zone)
	}
	return d.now()
}

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
