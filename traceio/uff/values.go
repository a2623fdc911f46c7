package uff

import (
	"bytes"
	"fmt"
	"math"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// widths are the columns of the numbers of one full line, by precision and
// spacing: 6E13.5, 4E20.12 and 2(E13.5,E20.12).
func (c *channel) widths() []int {
	switch {
	case !c.double:
		return []int{13, 13, 13, 13, 13, 13}
	case c.even:
		return []int{20, 20, 20, 20}
	}
	return []int{13, 20, 13, 20}
}

// read58 returns the values of a channel as they stand in the file, and its
// abscissa where that is uneven.
func (s *source) read58(c *channel) (x, y []float64, err error) {
	if c.complex {
		return nil, nil, s.refuse(problem.Invalid, c.line, "the values of this set are complex, and a force in time is real").Hint("export the time history")
	}
	if c.n < 2 {
		return nil, nil, s.refuse(problem.TooFew, c.line, "the set says that it has %s; a trace has 2 at least", traceio.Count(max(0, c.n), "value")).
			Hint("export the recording again")
	}
	want := c.n
	if !c.even {
		want *= 2
	}
	all, err := s.numbers(c, want)
	if err != nil || c.even {
		return nil, all, err
	}
	x, y = make([]float64, c.n), make([]float64, c.n)
	for i := range x {
		x[i], y[i] = all[2*i], all[2*i+1]
	}
	return x, y, nil
}

// numbers reads so many numbers from the lines of a set.
func (s *source) numbers(c *channel, want int) ([]float64, error) {
	widths := c.widths()
	// A number takes two bytes at least, whatever the head says of how many.
	out := make([]float64, 0, min(want, len(c.values)/2+1))
	l := lines{rest: c.values, no: c.valuesLine - 1}
	for l.next() {
		if len(bytes.TrimSpace(l.text)) == 0 && len(out) == want {
			continue
		}
		if len(out) == want {
			return nil, s.refuse(problem.Unreadable, l.no, "the set says that it has %d numbers, and more follow", want).
				Hint("export the recording again")
		}
		full := min(len(widths), want-len(out))
		before := len(out)
		var bad string
		if out, bad = inColumns(out, l.text, widths[:full]); bad != "" {
			if out, bad = betweenBlanks(out[:before], l.text, full, bad); bad != "" {
				return nil, s.refuse(problem.Unreadable, l.no, "%s", bad).Hint("export the recording again")
			}
		}
	}
	if len(out) < want {
		return nil, s.refuse(problem.Unreadable, l.no, "the set ends after %d of its %d numbers", len(out), want).
			Hint("export the recording again")
	}
	return out, nil
}

// inColumns reads the numbers that stand in columns of the given widths. Numbers
// may touch there, when the one has its exponent or the other a sign.
func inColumns(out []float64, line []byte, widths []int) ([]float64, string) {
	at := 0
	for i, w := range widths {
		cell := line[min(at, len(line)):min(at+w, len(line))]
		at += w
		number := bytes.TrimSpace(cell)
		v, ok := parse(number)
		switch {
		case len(number) == 0:
			return out, fmt.Sprintf("number %d of the line is missing: its columns are blank", i+1)
		case !ok:
			return out, fmt.Sprintf("%q stands where number %d of the line has to be", traceio.Shorten(latin(cell)), i+1)
		case at < len(line) && line[at-1] != ' ' && !bytes.ContainsRune([]byte(" +-"), rune(line[at])) && !ended(number):
			return out, fmt.Sprintf("number %d of the line runs over the edge of its columns", i+1)
		}
		out = append(out, v)
	}
	if rest := bytes.TrimSpace(line[min(at, len(line)):]); len(rest) > 0 {
		return out, fmt.Sprintf("%q follows the last number of the line", traceio.Shorten(latin(rest)))
	}
	return out, ""
}

// ended reports whether a number has an exponent of two digits or more, so that
// it is whole where its columns end.
func ended(number []byte) bool {
	i := bytes.LastIndexAny(number, "+-")
	return i > 0 && len(number)-i >= 3
}

// betweenBlanks reads the numbers of a line that are parted by blanks, as some
// programs write them; bad is what is wrong with them otherwise.
func betweenBlanks(out []float64, line []byte, want int, bad string) ([]float64, string) {
	cells := bytes.Fields(line)
	if len(cells) != want {
		return out, bad
	}
	for _, cell := range cells {
		v, ok := parse(cell)
		if !ok {
			return out, bad
		}
		out = append(out, v)
	}
	return out, ""
}

// parse reads a number as Fortran writes it: with E or D before the exponent, or
// with the sign alone where it has three digits, "1.5-101".
func parse(b []byte) (float64, bool) {
	const longest = 40
	if len(b) == 0 || len(b) > longest {
		return 0, false
	}
	buf := make([]byte, 0, longest+1)
	for i, c := range b {
		switch {
		case c >= '0' && c <= '9' || c == '.':
		case c == 'D' || c == 'd' || c == 'E' || c == 'e':
			c = 'e'
		case c == '+' || c == '-':
			if last := len(buf) - 1; i > 0 && buf[last] != 'e' {
				buf = append(buf, 'e')
			}
		default:
			return 0, false
		}
		buf = append(buf, c)
	}
	v, err := strconv.ParseFloat(string(buf), 64)
	return v, err == nil && !math.IsInf(v, 0)
}
