package study

import (
	"context"
	"fmt"
	"strings"

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
	Fall      string // the fall that has this trace already: "M-07 fall 3"; or empty
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
	part := PreviewPart{Recording: rec, Fall: fallOf(s, p.File.SHA256, rec.Part)}
	set := settings(s, campaign.Drop{Setting: p.Setting}, p.Ask)
	r, signal, err := trace.Take(rec, set)
	if err != nil {
		part.Refused = located(err, p.File.Name)
		return part, nil
	}
	part.Reading = r
	return part, NewCurves(r, signal)
}

// fallOf names the fall that has a trace already; empty when none has.
func fallOf(s *campaign.Study, sha, part string) string {
	for _, d := range s.Counting() {
		if d.Trace != nil && d.Trace.SHA256 == sha && strings.EqualFold(d.Part, part) {
			return fmt.Sprintf("%s fall %d", d.Specimen, d.Fall)
		}
	}
	return ""
}
