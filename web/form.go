package web

import (
	"net/http"

	"fallwright.example/problem"
)

// mostForm is how many bytes a form without a file may have.
const mostForm = 64 << 10

// readForm reads a form that was sent, within mostForm.
func readForm(r *http.Request) error {
	r.Body = http.MaxBytesReader(nil, r.Body, mostForm)
	if err := r.ParseForm(); err != nil {
		return problem.New(problem.Invalid, "form", "what was sent is no form of up to %d kB: %v", mostForm>>10, err).In("nothing was stored")
	}
	return nil
}
