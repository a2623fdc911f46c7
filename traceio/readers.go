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

// Read unpacks data that is packed with gzip or zstd, asks every format whether
// it claims what comes out and lets the one that does read it. name is shown in
// refusals, without .gz or .zst, and never opened. A file that no format
// claims, or more than one, is refused with a *problem.Problem; the File beside
// it is never nil.
func (r *Readers) Read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
	if int64(len(data)) > MostBytes {
		return &trace.File{}, tooLong(name, int64(len(data)))
	}
	name, data, packing, err := Unpack(name, data)
	if err != nil {
		return &trace.File{Layout: trace.Layout{Packed: packing}}, err
	}
	file, err := r.read(name, data, ask)
	if packing != "" {
		file.Layout.Packed = packing
		fact := trace.Fact{What: "packing", Is: packing, Why: "its first bytes say so"}
		file.Layout.Facts = append([]trace.Fact{fact}, file.Layout.Facts...)
	}
	return file, err
}

func (r *Readers) read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
	claims := r.claims(name, data)
	switch len(claims) {
	case 0:
		return &trace.File{}, r.stranger(name, data)
	case 1:
		file, err := claims[0].Read(name, data, ask)
		if file == nil {
			file = &trace.File{Layout: trace.Layout{Format: claims[0].Name()}}
		}
		return file, err
	}
	return &trace.File{}, problem.New(problem.Unreadable, name,
		"%d formats claim this file: %s", len(claims), list(claims, " and ")).
		Hint("keep the file and report it: only one of them should claim it").
		In("nothing was read from " + name)
}

// claims are the formats that data look like.
func (r *Readers) claims(name string, data []byte) (claims []Format) {
	for _, f := range r.formats {
		if f.Claims(name, data) {
			claims = append(claims, f)
		}
	}
	return claims
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
