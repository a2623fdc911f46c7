package web

import (
	"fmt"
	"net/http"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/findings"
	"fallwright.example/web/page/frame"
)

// findings is the page of answers.
func (s *server) findings(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Findings", "findings")
	if err != nil {
		return answer{}, err
	}
	if open.findings == nil {
		return answer{}, inFrame{open.tooFew, open.frame}
	}
	f, err := s.desk.Checked(r.Context(), name)
	if err != nil {
		return answer{}, err
	}
	o := open.overview
	view := findings.View{Frame: open.frame, Findings: f, Overview: o, Path: studyPath(o.Study.Plan.Name), Counting: count(o).counting}
	names := conditionNames(&o.Study.Plan)
	for i, a := range f.Answers {
		view.Answers = append(view.Answers, findings.Answer{
			Answer: a, Anchor: answerAnchor(i),
			Picture: effectPicture(a, names, o.Study.Plan.Invented),
		})
	}
	for _, m := range f.Measures {
		measure := findings.Measure{Measure: m.Measure}
		for _, model := range m.Models {
			measure.Models = append(measure.Models, modelView(model, names, o.Study.Plan.Invented))
		}
		view.Measures = append(view.Measures, measure)
	}
	if view.WhatIf, err = s.whatIf(r, o); err != nil {
		return answer{}, err
	}
	return page(r.Context(), findings.Page(view))
}

func answerAnchor(i int) string { return fmt.Sprintf("answer-%d", i+1) }

func conditionNames(p *campaign.Plan) []string {
	var names []string
	for _, c := range p.Conditions {
		names = append(names, c.Name)
	}
	return names
}

// effectPicture is the difference against the margin; none where there is no
// difference to draw.
func effectPicture(a compare.Answer, names []string, invented bool) frame.Picture {
	if a.Verdict == compare.NoClaim {
		return frame.Picture{}
	}
	return drawn(halfFigure, 170, invented, func(c figure.Canvas) *figure.Scene { return figure.Effect(a, names, c) })
}

func modelView(model study.Model, names []string, invented bool) findings.Model {
	v, m := findings.Model{Model: model}, model.Measure
	if model.Analysis == nil {
		return v
	}
	v.ByFall = drawn(wideFigure, 400, invented, func(c figure.Canvas) *figure.Scene {
		return figure.ForceByFall(m, names, model.Analysis.Means, c)
	})
	v.Effects = drawn(wideFigure, 0, invented, func(c figure.Canvas) *figure.Scene {
		return figure.Effects(figure.ComparisonsOf(m, model.Analysis), names, c)
	})
	if model.Checks == nil {
		return v
	}
	v.Residuals = drawn(halfFigure, 300, invented, func(c figure.Canvas) *figure.Scene {
		return figure.Residuals(model.Checks.Residuals, names, model.Scale, figure.UnitOf(m), c)
	})
	v.Quantiles = drawn(halfFigure, 300, invented, func(c figure.Canvas) *figure.Scene {
		return figure.Quantiles(model.Checks.Residuals, names, c)
	})
	return v
}
