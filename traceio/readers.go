package traceio

import (
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Readers finds the format of a file and reads it.
type Readers struct {
	formats []Format
}

// New returns Readers that know the given formats. Their order does not matter:
// every format is asked, and the first is given no preference.
func New(formats ...Format) *Readers { return &Readers{formats: formats} }

// Read asks every format whether it claims data and lets the one that does
// read it. name is shown in refusals and never opened. A file that no format
// claims, or more than one, is refused with a *problem.Problem.
func (r *Readers) Read(name string, data []byte, ask Ask) (*trace.Recording, error) {
	var claims []Format
	for _, f := range r.formats {
		if f.Claims(name, data) {
			claims = append(claims, f)
		}
	}
	switch len(claims) {
	case 0:
		return nil, r.stranger(name, data)
	case 1:
		return claims[0].Read(name, data, ask)
	}
	return nil, problem.New(problem.Unreadable, name,
		"%d formats claim this file: %s", len(claims), list(claims, " and ")).
		Hint("keep the file and report it: only one of them should claim it").
		In("nothing was read from " + name)
}

// stranger refuses data that no format claims.
func (r *Readers) stranger(name string, data []byte) *problem.Problem {
	p := problem.New(problem.Unreadable, name, "the file is of no kind that can be read here")
	if what := LooksLike(data); what != "" {
		p.What = what + ", not a trace"
	}
	if cure := cureOf(data); cure != "" {
		p.Hint("%s", cure)
	}
	return p.Hint("formats that can be read: %s", list(r.formats, ", ")).
		In("nothing was read from " + name)
}

// list names formats.
func list(formats []Format, sep string) string {
	names := make([]string, len(formats))
	for i, f := range formats {
		names[i] = f.Name()
	}
	return strings.Join(names, sep)
}
