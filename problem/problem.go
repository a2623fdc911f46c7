// Package problem is how fallwright refuses: one value that says where, what,
// what to do and what state things are in, whichever end shows it.
//
// A Problem is for a person who must act on it. A fault of the program itself
// stays an ordinary Go error, and the ends show it as such.
package problem

import (
	"errors"
	"fmt"
	"strings"
)

// Kind tells the ends how to answer; each has one exit code and one HTTP status.
type Kind int

const (
	// Invalid: the input is not what it has to be.
	Invalid Kind = iota + 1
	// NotFound: the thing named is not there.
	NotFound
	// Conflict: a rule of the study forbids it in the present state.
	Conflict
	// Unreadable: the bytes are not of a kind that can be read, or are damaged.
	Unreadable
	// TooFew: there is not enough to answer from.
	TooFew
)

// Problem is a refusal. Texts are lower case without a full stop; What carries
// the value with its unit and the limit with its owner.
type Problem struct {
	Kind  Kind
	Where string   // "falls.csv:12", "specimen M-07", "--rate"; empty when plain
	What  string   // the value, the limit, whose limit it is
	Hints []string // what to do, as a command where there is one
	State string   // what is true now: "nothing was stored"
	Quote string   // the lines of the input concerned, underlined; may be empty
}

// Error gives the one-line form, "where: what".
func (p *Problem) Error() string {
	if p.Where == "" {
		return p.What
	}
	return p.Where + ": " + p.What
}

// New returns a Problem with a formatted What.
func New(kind Kind, where, format string, args ...any) *Problem {
	return &Problem{Kind: kind, Where: where, What: fmt.Sprintf(format, args...)}
}

// Hint adds a way out and returns p, so that refusals read as one expression.
func (p *Problem) Hint(format string, args ...any) *Problem {
	p.Hints = append(p.Hints, fmt.Sprintf(format, args...))
	return p
}

// In says what state things were left in and returns p.
func (p *Problem) In(state string) *Problem {
	p.State = state
	return p
}

// List is several refusals of one input, shown together so that a file is
// mended in one go. An empty List is no error: use Err.
type List []*Problem

// Error joins the one-line forms with line breaks.
func (l List) Error() string {
	lines := make([]string, len(l))
	for i, p := range l {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Err returns nil for an empty list, so that callers can return it as is.
func (l List) Err() error {
	if len(l) == 0 {
		return nil
	}
	return l
}

// All returns the problems inside err, in order; none when err is a plain error.
func All(err error) []*Problem {
	var l List
	if errors.As(err, &l) {
		return l
	}
	var p *Problem
	if errors.As(err, &p) {
		return []*Problem{p}
	}
	return nil
}

// KindOf returns the kind of the first problem inside err, or 0.
func KindOf(err error) Kind {
	if all := All(err); len(all) > 0 {
		return all[0].Kind
	}
	return 0
}
