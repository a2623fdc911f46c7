package uff

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// set is one data set: what stands between two lines of -1.
type set struct {
	number string // "58"
	line   int    // of the number
	body   []byte // the lines under it
}

// mostSets is our own limit on the sets of a file.
const mostSets = 1 << 16

// mark reports whether a line is the -1, right in six columns, that stands
// before and after each set.
func mark(line []byte) bool { return string(bytes.TrimRight(line, " \t\r")) == "    -1" }

// number is the number of a set, right in six columns, with the b of a binary
// set behind it; "" when the line has none.
func number(line []byte) string {
	line = bytes.TrimRight(line, " \t\r")
	b := bytes.HasPrefix(line, []byte("    58b"))
	if b {
		return "58b"
	}
	if len(line) != 6 || len(bytes.TrimLeft(line, " 0123456789")) > 0 {
		return ""
	}
	digits := strings.TrimLeft(string(line), " ")
	if strings.Contains(digits, " ") {
		return ""
	}
	return digits
}

// sets cuts the file. What stands outside sets is let be.
func (s *source) sets() ([]set, error) {
	var out []set
	r := lines{rest: s.data}
	for r.next() {
		if !mark(r.text) {
			continue
		}
		if !r.next() {
			break
		}
		n := number(r.text)
		switch n {
		case "":
			return nil, s.refuse(problem.Unreadable, r.no, "%q stands where the number of a set has to be", traceio.Shorten(latin(r.text))).
				Hint("export the recording again: a line of -1 begins or ends a set")
		case "58b":
			return nil, s.refuse(problem.Unreadable, r.no, "set 58b is the binary kind of a function, and the ASCII kind is read").
				Hint("export it as UFF 58, ASCII")
		}
		if len(out) == mostSets {
			return nil, s.refuse(problem.Unreadable, r.no, "the file has more than %d sets, which is our limit", mostSets).
				Hint("export the force alone")
		}
		one := set{number: n, line: r.no, body: r.rest}
		closed := false
		for !closed && r.next() {
			closed = mark(r.text)
		}
		if !closed {
			return nil, s.refuse(problem.Unreadable, max(1, r.no), "the file ends within set %s, which began at line %d", n, one.line).
				Hint("export the recording again: its end is missing")
		}
		one.body = one.body[:len(one.body)-len(r.rest)-len(r.whole)]
		out = append(out, one)
	}
	if len(out) == 0 {
		return nil, s.refuse(problem.Unreadable, 1, "the file has no data set, which stands between two lines of -1").
			Hint("export it as UFF 58, ASCII")
	}
	return out, nil
}

// lines goes over text line by line.
type lines struct {
	rest  []byte
	text  []byte // the line, without its end
	whole []byte // with it
	no    int
}

func (l *lines) next() bool {
	if len(l.rest) == 0 {
		return false
	}
	i := bytes.IndexByte(l.rest, '\n')
	if i < 0 {
		i = len(l.rest) - 1
	}
	l.whole, l.rest = l.rest[:i+1], l.rest[i+1:]
	l.text = bytes.TrimRight(l.whole, "\r\n")
	l.no++
	return true
}

// latin is a line as text, one character a column: UTF-8, or Latin-1 where it is
// not.
func latin(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	out := make([]rune, len(b))
	for i, c := range b {
		out[i] = rune(c)
	}
	return string(out)
}
