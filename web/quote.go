package web

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
)

// mostQuoted is how many characters of a line are quoted.
const mostQuoted = 160

var lineWhere = regexp.MustCompile(`:(\d+)(?::\d+)?$`)

// quoted gives problems that name a line of the file, or of its side-car, the
// line itself. Files that are packed or not written in 8-bit characters are not
// quoted.
func quoted(problems []*problem.Problem, packed string, file pendingFile) []*problem.Problem {
	closed := packed != "" || bytes.IndexByte(file.data[:min(len(file.data), 4096)], 0) >= 0
	out := make([]*problem.Problem, len(problems))
	for i, p := range problems {
		one := *p
		if found := lineWhere.FindStringSubmatch(p.Where); found != nil && p.Quote == "" {
			no, _ := strconv.Atoi(found[1])
			data := file.data
			if beside := file.sideCarName != "" && strings.HasPrefix(p.Where, file.sideCarName+":"); beside {
				data = []byte(file.sideCar)
			} else if closed {
				data = nil
			}
			if line, ok := lineOf(data, no); ok {
				one.Quote = line
			}
		}
		out[i] = &one
	}
	return out
}

// lineOf is a line of a text counted from 1, without its end and shortened.
func lineOf(data []byte, no int) (string, bool) {
	end := byte('\n')
	if bytes.IndexByte(data, end) < 0 {
		end = '\r'
	}
	for ; no > 1; no-- {
		at := bytes.IndexByte(data, end)
		if at < 0 {
			return "", false
		}
		data = data[at+1:]
	}
	if no < 1 || len(data) == 0 {
		return "", false
	}
	if at := bytes.IndexByte(data, end); at >= 0 {
		data = data[:at]
	}
	data = bytes.TrimRight(data, "\r")
	text := []rune(string(data[:min(len(data), 4*mostQuoted)]))
	if !utf8.Valid(data) {
		text = text[:0]
		for _, b := range data[:min(len(data), mostQuoted+1)] {
			text = append(text, rune(b))
		}
	}
	if len(text) > mostQuoted {
		text = append(text[:mostQuoted], '…')
	}
	return string(text), true
}
