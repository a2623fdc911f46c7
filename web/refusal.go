package web

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"fallwright.example/problem"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/refusal"
)

// statuses is the one table from the kind of a problem to an HTTP status. What
// is not here is a fault of the program.
var statuses = map[problem.Kind]int{
	problem.Invalid:    http.StatusBadRequest,
	problem.NotFound:   http.StatusNotFound,
	problem.Conflict:   http.StatusConflict,
	problem.Unreadable: http.StatusUnprocessableEntity,
	problem.TooFew:     http.StatusUnprocessableEntity,
}

// refused is an error made ready to be shown.
type refused struct {
	status    int
	problems  []*problem.Problem
	reference string // of a fault of the program, also in the log
	frame     *frame.View
}

// attempt asks, and turns a panic into an error.
func (s *server) attempt(ask asker, r *http.Request) (a answer, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v", p)
		}
	}()
	return ask(r)
}

// refuse sorts an error: a problem is shown in its own words, anything else is
// logged and shown as a short reference.
func (s *server) refuse(r *http.Request, err error) refused {
	if status, ok := statuses[problem.KindOf(err)]; ok {
		f := refused{status: status, problems: problem.All(err)}
		var in inFrame
		if errors.As(err, &in) {
			f.frame = &in.frame
		}
		return f
	}
	if errors.Is(err, r.Context().Err()) && r.Context().Err() != nil {
		return refused{status: http.StatusServiceUnavailable}
	}
	reference := rand.Text()[:8]
	s.log.Error("page", "reference", reference, "path", r.URL.Path, "error", err)
	return refused{status: http.StatusInternalServerError, reference: reference}
}

func (s *server) refusalPage(r *http.Request, f refused) answer {
	if f.frame == nil {
		outside := s.frame(refusal.Title(f.status))
		f.frame = &outside
	}
	v := refusal.View{Frame: *f.frame, Status: f.status, Problems: f.problems, Reference: f.reference}
	a, err := page(context.WithoutCancel(r.Context()), refusal.Page(v))
	if err != nil {
		return answer{kind: "text/plain; charset=utf-8", body: []byte("the page could not be made\n")}
	}
	return a
}

// refusalData is a refusal as JSON, in the shape of RFC 9457.
func (s *server) refusalData(_ *http.Request, f refused) answer {
	said := struct {
		Status    int      `json:"status"`
		Title     string   `json:"title"`
		Detail    string   `json:"detail,omitempty"`
		Hints     []string `json:"hints,omitempty"`
		Reference string   `json:"reference,omitempty"`
	}{Status: f.status, Title: refusal.Title(f.status), Reference: f.reference}
	for _, p := range f.problems {
		if said.Detail == "" {
			said.Detail = p.Error()
		}
		said.Hints = append(said.Hints, p.Hints...)
	}
	body, _ := json.Marshal(said) // strings and a number always marshal
	return answer{kind: "application/problem+json", body: body}
}
