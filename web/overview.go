package web

import (
	"net/http"

	"fallwright.example/web/page/overview"
)

// overview is a study at a glance.
func (s *server) overview(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "", "")
	if err != nil {
		return answer{}, err
	}
	open.frame.Title = open.overview.Study.Plan.Title
	v := overview.View{
		Frame: open.frame, Overview: open.overview, Path: studyPath(name),
		Trace:   func(drop string) string { return tracePath(name, drop) },
		Series:  func(specimen string) string { return seriesPath(name, specimen) },
		Grid:    overview.MakeGrid(open.overview),
		Answers: map[string]overview.Answer{},
	}
	if open.findings != nil {
		for i, a := range open.findings.Answers {
			v.Answers[a.Question.Name] = overview.Answer{
				Verdict: a.Verdict.Word(a.Question.Measure),
				Href:    v.Path + "/findings#" + answerAnchor(i),
			}
		}
	}
	return page(r.Context(), overview.Page(v))
}
