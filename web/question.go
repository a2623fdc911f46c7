package web

import (
	"bufio"
	"context"
	"fmt"
	"net/http"

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

// numbers works out what takes seconds, and tells how far it is: a line for each
// thousandth, and then "ready" or "refused". It is given up when nobody listens.
func (s *server) numbers(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", "text/plain; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	far, end := make(chan int, 1), make(chan string, 1)
	go func() { end <- s.work(r.Context(), r.PathValue("name"), far) }()
	out, last := bufio.NewWriter(w), -1
	tell := func(line string) {
		fmt.Fprintln(out, line)
		out.Flush()
		http.NewResponseController(w).Flush() // what cannot be flushed comes at the end
	}
	for {
		select {
		case n := <-far:
			if n > last {
				last = n
				tell(fmt.Sprint(n))
			}
		case word := <-end:
			tell(word)
			return
		}
	}
}

// work works it out; far has the newest thousandth.
func (s *server) work(ctx context.Context, name string, far chan int) (word string) {
	defer func() {
		if p := recover(); p != nil {
			s.log.Error("numbers", "study", name, "panic", p)
			word = "refused"
		}
	}()
	_, err := s.desk.Plan(ctx, name, func(done, all int) {
		select { // who reads slowly misses some, and holds nobody up
		case far <- 1000 * done / max(1, all):
		default:
		}
	})
	_, said := statuses[problem.KindOf(err)]
	switch {
	case err == nil:
		return "ready"
	case !said && ctx.Err() == nil:
		s.log.Error("numbers", "study", name, "error", err)
	}
	return "refused"
}
