package study

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// mostPreviewed is how many drops of one file a preview reads.
const mostPreviewed = 200

// Upload is a file that somebody wants to see read before anything is stored.
type Upload struct {
	Name    string
	Data    []byte
	Ask     trace.Ask
	Setting string // of the plan, that the drop is read with; empty for the series'
}

// Preview is what was understood of a file.
type Preview struct {
	File    campaign.SourceFile
	Ask     trace.Ask
	Setting string
	Layout  trace.Layout
	Parts   []PreviewPart
	Chosen  int     // in Parts, the drop that is drawn; -1 for none
	Curves  *Curves // of the chosen
	Refused error   // why the file, or the chosen drop, cannot be read
}

// PreviewPart is one drop of a previewed file.
type PreviewPart struct {
	Recording *trace.Recording
	Reading   *trace.Reading // nil where Refused says why
	Refused   error
	Recorded  []string // the drops that have this trace already: "M-07 fall 3", "trial of 2026-05-04 10:15:00"
	// Unfiltered says why the plan's class could not be used; the reading is then
	// an unfiltered one, and the drop cannot be recorded. Empty otherwise.
	Unfiltered string
}

// Preview reads a file for a study and stores nothing. A file that cannot be
// read is no error: the Preview says why it was refused, with the layout as far
// as it was understood.
func (d *Desk) Preview(ctx context.Context, name string, u Upload) (*Preview, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, err
	}
	p := &Preview{File: sourceFile(u.Name, u.Data), Ask: u.Ask, Setting: u.Setting, Chosen: -1}
	if p.Setting == "" {
		p.Setting = s.Plan.Series.Setting
	}
	if _, known := s.Plan.Setting(p.Setting); !known {
		return nil, problem.New(problem.NotFound, "setting", "there is no setting %q", p.Setting)
	}
	every := u.Ask
	every.Part = "" // all are shown, so that another can be chosen
	file, err := d.Read(u.Name, u.Data, every)
	if file != nil {
		p.Layout = file.Layout
	}
	if err != nil {
		if len(problem.All(err)) == 0 {
			return nil, err
		}
		p.Refused = err
		return p, nil
	}
	if n := len(file.Parts); n > mostPreviewed {
		p.Refused = problem.New(problem.TooFew, u.Name, "the file holds %d drops, a preview shows up to %d", n, mostPreviewed).
			Hint("record it from the command line: fallwright read")
		return p, nil
	}
	if p.Chosen, err = choosePreview(u, file.Parts); err != nil {
		p.Refused = err
	}
	for i, rec := range file.Parts {
		part, curves := previewPart(s, p, rec)
		p.Parts = append(p.Parts, part)
		if i == p.Chosen {
			p.Curves, p.Refused = curves, part.Refused
		}
	}
	return p, nil
}

func choosePreview(u Upload, parts []*trace.Recording) (int, error) {
	if u.Ask.Part == "" || len(parts) == 1 {
		return 0, nil
	}
	i, err := choose(u.Name, parts, u.Ask.Part)
	if err != nil {
		return -1, err
	}
	return i, nil
}

func previewPart(s *campaign.Study, p *Preview, rec *trace.Recording) (PreviewPart, *Curves) {
	part := PreviewPart{Recording: rec, Recorded: recordedAs(s, p.File.SHA256, rec.Part)}
	set := settings(s, campaign.Drop{Setting: p.Setting}, p.Ask)
	r, signal, err := trace.Take(rec, set)
	if len(problem.All(err)) > 0 && set.Class != 0 {
		// The class may be what does not fit. The trace is worth a look all the same.
		why := err
		set.Class = 0
		if r, signal, err = trace.Take(rec, set); err == nil {
			part.Unfiltered = problem.All(why)[0].What
		}
	}
	if err != nil {
		part.Refused = located(err, p.File.Name)
		return part, nil
	}
	part.Reading = r
	return part, NewCurves(r, signal)
}

// recordedAs names the drops that have a trace already, void ones too.
func recordedAs(s *campaign.Study, sha, part string) []string {
	var out []string
	for _, d := range s.Drops {
		if d.Trace == nil || d.Trace.SHA256 != sha || !strings.EqualFold(d.Part, part) {
			continue
		}
		out = append(out, dropName(d))
	}
	return out
}

// dropName is a drop in words: "M-07 fall 3", "trial of 2026-05-04 10:15:00",
// "void check of M-07 of 2026-05-04 10:20:00".
func dropName(d campaign.Drop) string {
	name := fmt.Sprintf("%s fall %d", d.Specimen, d.Fall)
	if d.Kind != campaign.Fall {
		name = string(d.Kind)
		if d.Specimen != "" {
			name += " of " + d.Specimen
		}
		name += " of " + d.At.Format(time.DateTime)
	}
	if d.Void != nil {
		name = "void " + name
	}
	return name
}
