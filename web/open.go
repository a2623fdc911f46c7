package web

import (
	"context"
	"net/url"

	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
)

// frame is the frame of a page outside any study.
func (s *server) frame(title string) frame.View {
	return frame.View{Title: title, Assets: s.assets.addresses, Program: s.options.Program}
}

// opened is a study as every page of it needs it.
type opened struct {
	overview *study.Overview
	findings *study.Findings // nil when there is too little to find anything from
	tooFew   error           // why findings is nil
	frame    frame.View
}

// open loads a study for a page of the step here.
func (s *server) open(ctx context.Context, name, title, here string) (*opened, error) {
	o, err := s.desk.Overview(ctx, name)
	if err != nil {
		return nil, err
	}
	f, err := s.desk.Findings(ctx, name)
	if err != nil && problem.KindOf(err) != problem.TooFew {
		return nil, err
	}
	if err != nil {
		f = nil
	}
	v := s.frame(title)
	v.Here = here
	p := &o.Study.Plan
	v.Study = &frame.Study{Title: p.Title, Href: studyPath(p.Name), Invented: p.Invented, Zone: o.Study.Created.At.Format("MST"), Steps: s.steps(o, f)}
	return &opened{o, f, err, v}, nil
}

// inFrame is a refusal that is shown inside the frame of its study.
type inFrame struct {
	error
	frame frame.View
}

func (e inFrame) Unwrap() error { return e.error }

func studyPath(name string) string { return "/study/" + url.PathEscape(name) }

func tracePath(name, drop string) string {
	return studyPath(name) + "/trace/" + url.PathEscape(drop)
}

func seriesPath(name, specimen string) string {
	return studyPath(name) + "/series/" + url.PathEscape(specimen)
}
