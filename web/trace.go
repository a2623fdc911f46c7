package web

import (
	"fmt"
	"net/http"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/mark"
	pagetrace "fallwright.example/web/page/trace"
	"fallwright.example/web/say"
)

// trace is the page of one trace, drawn in the window that the address asks.
func (s *server) trace(r *http.Request) (answer, error) {
	name, drop := r.PathValue("name"), r.PathValue("drop")
	t, err := s.desk.Trace(r.Context(), name, drop)
	if err != nil {
		return answer{}, err
	}
	title := dropTitle(t.Row.Drop)
	o, err := s.open(r.Context(), name, title, "traces")
	if err != nil {
		return answer{}, err
	}
	p := &o.overview.Study.Plan
	v := pagetrace.View{Frame: o.frame, Title: title, Trace: t, Condition: mark.Of(p, t.Row.Condition)}
	if t.Before != "" {
		v.Before = tracePath(name, t.Before)
	}
	if t.After != "" {
		v.After = tracePath(name, t.After)
	}
	if v.Plot, err = drawPlot(r, t, title, v.Condition.Place, p.Invented); err != nil {
		return answer{}, inFrame{err, o.frame}
	}
	return page(r.Context(), pagetrace.Page(v))
}

func dropTitle(d campaign.Drop) string {
	switch {
	case d.Kind == campaign.Fall:
		return fmt.Sprintf("%s, fall %d", d.Specimen, d.Fall)
	case d.Specimen != "":
		return fmt.Sprintf("%s, %s", d.Specimen, d.Kind)
	case d.Kind == campaign.Trial:
		return "Trial drop"
	}
	return "Check drop"
}

func drawPlot(r *http.Request, t *study.TraceView, title string, condition int, invented bool) (pagetrace.Plot, error) {
	if t.Signal == nil {
		return pagetrace.Plot{}, problem.New(problem.NotFound, title, "no trace was recorded")
	}
	w, err := readWindow(r.URL.Query(), t.Signal)
	if err != nil {
		return pagetrace.Plot{}, err
	}
	path := tracePath(r.PathValue("name"), r.PathValue("drop"))
	p := pagetrace.Plot{
		Points: path + "/points", Path: path, Ink: "--sea",
		Window: fmt.Sprintf("%s to %s of the recorder's clock", say.Number(w.From, 3), say.Seconds(w.To)),
		Links:  zoomLinks(path, t, w),
	}
	if all, _ := whole(t.Signal); w != all {
		p.From, p.To = seconds(w.From), seconds(w.To)
	}
	if condition >= 0 {
		p.Ink = fmt.Sprintf("--c%d", condition%6)
	}
	win := figure.Window{Name: title, Condition: condition, Signal: t.Signal, From: w.From, To: w.To}
	if t.Row.Reading != nil {
		win.Contacts = t.Row.Reading.Contacts
	}
	p.Picture = drawn(wideFigure, 360, invented, func(c figure.Canvas) *figure.Scene { return figure.Trace(win, c) })
	return p, nil
}
