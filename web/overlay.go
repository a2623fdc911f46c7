package web

import (
	"net/http"
	"strconv"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/overlay"
	"fallwright.example/web/say"
)

// overlayHeight is that of the wide picture, in px.
const overlayHeight = 420

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
	pick, picked := r.URL.Query().Get("pick"), -1
	var traces []figure.OverlayTrace
	title := titles(o.Rows)
	for _, row := range o.Rows {
		v.Rows = append(v.Rows, overlay.Row{
			Name: title(row.Drop), Href: tracePath(name, row.Drop.ID), Condition: mark.Of(p, row.Condition),
			Drawn: row.Trace != nil, Void: row.Drop.Void != nil, Reading: row.Reading,
		})
		if row.Trace != nil {
			at := &v.Rows[len(v.Rows)-1]
			at.Of, at.ID = strconv.Itoa(len(traces)), row.Drop.ID
			if row.Drop.ID == pick {
				picked, at.Picked = len(traces), true
			}
			t := figure.OverlayTrace(*row.Trace)
			t.Name = title(row.Drop)
			if t.Condition == "" {
				t.Condition = "trials and checks"
			}
			traces = append(traces, t)
		}
	}
	names := conditionsOf(o, p)
	v.Picture = drawn(wideFigure, overlayHeight, p.Invented, func(c figure.Canvas) *figure.Scene {
		return figure.OverlayPicked(names, traces, picked, c)
	})
	v.Drops = r.URL.Query()["drop"]
	v.Named = figure.OverlayNamed(traces, figure.Canvas{Width: wideFigure, Height: overlayHeight})
	for i, sample := range figure.OverlayKey(names, traces) {
		for k := range v.Rows {
			if v.Rows[k].Of == strconv.Itoa(i) {
				v.Rows[k].Sample = sample
			}
		}
	}
	return page(r.Context(), overlay.Page(v))
}

// titles returns what each drop is called, with its time where others are called
// the same.
func titles(rows []study.OverlaidRow) func(campaign.Drop) string {
	times := map[string]int{}
	for _, row := range rows {
		times[dropTitle(row.Drop)]++
	}
	return func(d campaign.Drop) string {
		if name := dropTitle(d); times[name] < 2 {
			return name
		}
		return dropTitle(d) + ", " + say.Clock(d.At)
	}
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
