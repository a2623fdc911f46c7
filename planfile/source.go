package planfile

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
)

// span is a piece of a file, in bytes.
type span struct{ from, to int }

// source is a file as it was read, for showing where a fault is.
type source struct {
	name string
	data []byte
}

// line returns the number of the line that an offset is in, from 1, and where
// that line begins and ends.
func (s source) line(offset int) (number int, at span) {
	offset = min(offset, len(s.data))
	before := s.data[:offset]
	at.from = bytes.LastIndexByte(before, '\n') + 1
	at.to = len(s.data)
	if i := bytes.IndexByte(s.data[offset:], '\n'); i >= 0 {
		at.to = offset + i
	}
	return bytes.Count(before, []byte{'\n'}) + 1, at
}

// widest line shown whole; a longer one is cut around the fault.
const widest = 120

// foreign refuses bytes that are no text; ok is true when there are none.
func (r *refusals) foreign(hint string) (ok bool) {
	for at := 0; at < len(r.data); {
		c, size := utf8.DecodeRune(r.data[at:])
		if c == utf8.RuneError && size <= 1 || c == 0 {
			r.add(span{at, at + 1}, problem.New(problem.Unreadable, "", "this is not text in UTF-8")).Hint("%s", hint)
			return false
		}
		at += size
	}
	return true
}

// quote shows the line with the span underlined. A span over several lines is
// underlined to the end of its first.
func (s source) quote(at span) string {
	number, line := s.line(at.from)
	from, to := at.from-line.from, min(at.to, line.to)-line.from
	text := strings.TrimSuffix(string(s.data[line.from:line.to]), "\r")
	from = min(from, len(text))
	to = max(min(to, len(text)), from)
	before, marked, after := visible(text[:from]), visible(text[from:to]), visible(text[to:])
	if n := utf8.RuneCountInString(before); n+utf8.RuneCountInString(marked+after) > widest {
		if n > widest/3 {
			before = "… " + string([]rune(before)[n-widest/3:])
		}
		marked, after = shorten(marked, widest/2), shorten(after, widest/6)
	}
	gutter := strconv.Itoa(number)
	return fmt.Sprintf("%s | %s\n%s | %s%s",
		gutter, strings.TrimRight(before+marked+after, " "), strings.Repeat(" ", len(gutter)),
		strings.Repeat(" ", utf8.RuneCountInString(before)), strings.Repeat("^", max(1, utf8.RuneCountInString(marked))))
}

// visible makes text one column a rune: tabs become single spaces, and bytes or
// runes that a terminal would act on are shown as a mark.
func visible(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case !strconv.IsPrint(r):
			return utf8.RuneError
		}
		return r
	}, text)
}

func shorten(text string, n int) string {
	if runes := []rune(text); len(runes) > n {
		return string(runes[:n]) + " …"
	}
	return text
}

// refusals gathers the faults of one file.
type refusals struct {
	source
	found []refusal
}

// refusal is a fault with its place in the file.
type refusal struct {
	at      span
	problem *problem.Problem
}

// refuse adds a fault at a span and returns its problem, for hints.
func (r *refusals) refuse(at span, format string, args ...any) *problem.Problem {
	return r.add(at, problem.New(problem.Invalid, "", format, args...))
}

// lacks adds a fault of the file as a whole, which no line shows.
func (r *refusals) lacks(at int, format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, r.name, format, args...)
	r.found = append(r.found, refusal{span{at, at}, p})
	return p
}

// add adds a fault that is known already, and gives it its place.
func (r *refusals) add(at span, p *problem.Problem) *problem.Problem {
	number, _ := r.line(at.from)
	p.Where = r.name + ":" + strconv.Itoa(number)
	p.Quote = r.quote(at)
	r.found = append(r.found, refusal{at, p})
	return p
}

// err returns the faults in the order of the file, or nil.
func (r *refusals) err() error {
	slices.SortStableFunc(r.found, func(a, b refusal) int { return a.at.from - b.at.from })
	var list problem.List
	for _, f := range r.found {
		list = append(list, f.problem)
	}
	return list.Err()
}
