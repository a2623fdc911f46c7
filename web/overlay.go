package web

import (
	"net/http"
	"strconv"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/overlay"
)

// overlay is the traces that the address names, over each other.
func (s *server) overlay(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Traces over each other", "traces")
	if err != nil {
		return answer{}, err
	}
	o, err := s.desk.Overlay(r.Context(), name, r.URL.Query()["drop"])
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	p := &o.Study.Plan
	v := overlay.View{Frame: open.frame, Traces: studyPath(name) + "/traces"}
	var traces []figure.OverlayTrace
	for _, row := range o.Rows {
		v.Rows = append(v.Rows, overlay.Row{
			Name: dropTitle(row.Drop), Href: tracePath(name, row.Drop.ID), Condition: mark.Of(p, row.Condition),
			Drawn: row.Trace != nil, Void: row.Drop.Void != nil, Reading: row.Reading,
		})
		if row.Trace != nil {
			v.Rows[len(v.Rows)-1].Of = strconv.Itoa(len(traces))
			t := figure.OverlayTrace(*row.Trace)
			if t.Condition == "" {
				t.Condition = "trials and checks"
			}
			traces = append(traces, t)
		}
	}
	names := conditionsOf(o, p)
	v.Picture = drawn(wideFigure, 420, p.Invented, func(c figure.Canvas) *figure.Scene {
		return figure.OverlayChosen(names, traces, c)
	})
	return page(r.Context(), overlay.Page(v))
}

// conditionsOf are the plan's conditions, empty where no trace is of it: the
// others keep their colour and mark, and the legend names only what is drawn.
func conditionsOf(o *study.Overlaid, p *campaign.Plan) []string {
	names := make([]string, len(p.Conditions))
	for i, c := range p.Conditions {
		for _, row := range o.Rows {
			if row.Condition == c.Name {
				names[i] = c.Name
			}
		}
	}
	return names
}
