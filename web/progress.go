package web

import (
	"bufio"
	"context"
	"fmt"
	"net/http"

	"fallwright.example/problem"
	"fallwright.example/study"
)

// progress does what takes seconds, and tells how far it is: a line for each
// thousandth, and then "ready" or "refused". It is given up when nobody listens.
func (s *server) progress(w http.ResponseWriter, r *http.Request, do func(context.Context, study.Progress) error) {
	h := w.Header()
	h.Set("Content-Type", "text/plain; charset=utf-8")
	h.Set("Cache-Control", "no-store")
	far, end := make(chan int, 1), make(chan string, 1)
	go func() { end <- s.work(r, far, do) }()
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

// work does it; far has the newest thousandth.
func (s *server) work(r *http.Request, far chan int, do func(context.Context, study.Progress) error) (word string) {
	defer func() {
		if p := recover(); p != nil {
			s.log.Error("working out", "address", r.URL.Path, "panic", p)
			word = "refused"
		}
	}()
	err := do(r.Context(), func(done, all int) {
		select { // who reads slowly misses some, and holds nobody up
		case far <- 1000 * done / max(1, all):
		default:
		}
	})
	_, said := statuses[problem.KindOf(err)]
	switch {
	case err == nil:
		return "ready"
	case !said && r.Context().Err() == nil:
		s.log.Error("working out", "address", r.URL.Path, "error", err)
	}
	return "refused"
}
