package web

import (
	"context"
	"net/http"

	"fallwright.example/compare"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/counting"
	"fallwright.example/web/page/question"
)

// question is the page of the questions.
func (s *server) question(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Question", "question")
	if err != nil {
		return answer{}, err
	}
	v := question.View{Frame: open.frame, Path: studyPath(name), Counting: countingWay(name, "question"), Findings: map[string]question.Answer{}}
	if v.Planned, v.Refused, err = s.planned(r); err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	if open.findings != nil {
		for i, a := range open.findings.Answers {
			if a.Verdict == compare.NoClaim {
				continue
			}
			v.Findings[a.Question.Name] = question.Answer{Verdict: a.Verdict.Word(a.Question.Measure), Href: v.Path + "/findings#" + answerAnchor(i)}
		}
	}
	return page(r.Context(), question.Page(v))
}

// The word of an address that waits for what takes seconds.
const waiting = "numbers"

func countingWay(name, page string) counting.Way {
	return counting.Way{Progress: studyPath(name) + "/plan/numbers", Whole: studyPath(name) + "/" + page + "?" + waiting + "=wait"}
}

// planned is what a plan comes to, without what takes seconds unless that is known
// or the address waits for it. A refusal of that alone is refused.
func (s *server) planned(r *http.Request) (p *study.Planned, refused, err error) {
	name := r.PathValue("name")
	if r.URL.Query().Has(waiting) {
		p, err = s.desk.Plan(r.Context(), name, nil)
		if _, said := statuses[problem.KindOf(err)]; err == nil || !said {
			return p, nil, err
		}
		refused = err
	}
	p, err = s.desk.PlanAtOnce(r.Context(), name)
	return p, refused, err
}

// numbers works out what takes seconds, and tells how far it is.
func (s *server) numbers(w http.ResponseWriter, r *http.Request) {
	s.progress(w, r, func(ctx context.Context, told study.Progress) error {
		_, err := s.desk.Plan(ctx, r.PathValue("name"), told)
		return err
	})
}
