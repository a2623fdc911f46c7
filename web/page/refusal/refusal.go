// Package refusal is the page for what cannot be shown: where, what, what to
// do, and what state things are in.
package refusal

import (
	"net/http"

	"fallwright.example/problem"
	"fallwright.example/web/page/frame"
)

// View is one refusal.
type View struct {
	Frame     frame.View
	Status    int
	Problems  []*problem.Problem
	Reference string // of a fault of the program; also in its log
}

// Title says a status in words.
func Title(status int) string {
	switch status {
	case http.StatusNotFound:
		return "Not here"
	case http.StatusBadRequest:
		return "Not understood"
	case http.StatusConflict:
		return "Not in this state"
	case http.StatusUnprocessableEntity:
		return "Cannot be answered"
	case http.StatusServiceUnavailable:
		return "Stopped"
	}
	return "A fault of the program"
}
