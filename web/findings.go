package web

import (
	"fmt"
	"net/http"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/findings"
	"fallwright.example/web/page/frame"
)

// findings is the page of answers.
func (s *server) findings(r *http.Request) (answer, error) {
	open, err := s.open(r.Context(), r.PathValue("name"), "Findings", "findings")
	if err != nil {
		return answer{}, err
	}
	if open.findings == nil {
		return answer{}, inFrame{open.tooFew, open.frame}
	}
	o, f := open.overview, open.findings
	view := findings.View{Frame: open.frame, Findings: f, Overview: o, Path: studyPath(o.Study.Plan.Name), Counting: count(o).counting}
	names := conditionNames(&o.Study.Plan)
	for i, a := range f.Answers {
		view.Answers = append(view.Answers, findings.Answer{
			Answer: a, Anchor: answerAnchor(i),
			Picture: effectPicture(a, names, o.Study.Plan.Invented),
		})
	}
	for _, m := range f.Measures {
		view.Measures = append(view.Measures, measureView(m, names, o.Study.Plan.Invented))
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
	return drawn(520, 170, invented, func(c figure.Canvas) *figure.Scene { return figure.Effect(a, names, c) })
}

func measureView(m study.MeasureTable, names []string, invented bool) findings.Measure {
	v := findings.Measure{MeasureTable: m}
	for _, c := range m.Cells {
		if !slices.Contains(v.Falls, c.Fall) {
			v.Falls = append(v.Falls, c.Fall)
		}
	}
	slices.Sort(v.Falls)
	v.Picture = drawn(wideFigure, 400, invented, func(c figure.Canvas) *figure.Scene {
		return figure.ForceByFall(m.Measure, names, m.Cells, c)
	})
	return v
}
