package readertest

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// examine runs the whole exam of one format.
func examine(f traceio.Format, cases []Case) result {
	r := result{lined: slices.ContainsFunc(cases, func(c Case) bool { return c.Line > 0 })}
	if strings.TrimSpace(f.Name()) == "" {
		r.fault("the format has no name")
	}
	for _, c := range cases {
		r.ofClaims(f, c)
		r.ofReading(f, c)
		if c.Rows > 0 {
			r.ofPrefixes(f, c)
		}
	}
	for _, c := range strangers() {
		r.strangers++
		if claimed, panicked := claims(f, c.Name, c.Data); claimed || panicked != "" {
			r.fault("%s: claimed (%v), panic %q", c.Name, claimed, panicked)
		}
		r.outcome(f, c)
	}
	return r
}

func (r *result) ofClaims(f traceio.Format, c Case) {
	r.claims++
	before := bytes.Clone(c.Data)
	claimed, panicked := claims(f, c.Name, c.Data)
	again, _ := claims(f, c.Name, c.Data)
	switch {
	case panicked != "":
		r.fault("%s: Claims panics: %s", c.Name, panicked)
	case !bytes.Equal(before, c.Data):
		r.fault("%s: Claims alters the bytes", c.Name)
	case claimed != again:
		r.fault("%s: Claims says now %v, now %v", c.Name, claimed, again)
	case !claimed:
		r.fault("%s: not claimed", c.Name)
	}
}

// ofReading checks one case against what it has to give.
func (r *result) ofReading(f traceio.Format, c Case) {
	file, p, ok := r.outcome(f, c)
	switch {
	case !ok:
	case c.Rows == 0:
		r.refused++
		if p == nil {
			r.fault("%s: read, but it has to be refused", c.Name)
		} else if c.Line > 0 && p.Where != fmt.Sprintf("%s:%d", c.Name, c.Line) {
			r.fault("%s: refused at %q, want line %d (%s)", c.Name, p.Where, c.Line, p.What)
		}
	default:
		r.read++
		if p != nil {
			r.fault("%s: refused: %s", c.Name, p.Error())
		} else if len(file.Parts) != max(1, c.Drops) {
			r.fault("%s: %d drops, want %d", c.Name, len(file.Parts), max(1, c.Drops))
		} else if got := len(file.Parts[0].Force); got != c.Rows {
			r.fault("%s: %d samples, want %d", c.Name, got, c.Rows)
		}
	}
}

// ofPrefixes cuts the file off at every byte, or at every byte of its first and
// last two thousand.
func (r *result) ofPrefixes(f traceio.Format, c Case) {
	const near = 2000
	for n := range len(c.Data) {
		if n > near && n < len(c.Data)-near {
			continue
		}
		r.prefixes++
		r.outcome(f, Case{Name: c.Name, Data: c.Data[:n:n], Ask: c.Ask})
	}
}

// outcome reads a file three times and checks what holds of every answer: it is
// sound recordings with a layout or a whole refusal, the same each time, made of
// nothing that lies in the bytes. ok is false when there is no answer to go on
// with.
func (r *result) outcome(f traceio.Format, c Case) (file *trace.File, p *problem.Problem, ok bool) {
	data := bytes.Clone(c.Data)
	file, panicked, err := read(f, c, data)
	if panicked != "" {
		r.fault("%s: Read panics on %d bytes: %s", c.Name, len(c.Data), panicked)
		return nil, nil, false
	}
	if !bytes.Equal(data, c.Data) {
		r.fault("%s: Read alters the bytes", c.Name)
	}
	for i := range data {
		data[i] = '!'
	}
	again, _, errAgain := read(f, c, bytes.Clone(c.Data))
	if !reflect.DeepEqual(err, errAgain) || !alike(file, again) {
		r.fault("%s: two readings of the same bytes differ, or one of them lies in the bytes", c.Name)
	}
	switch isProblem := errors.As(err, &p); {
	case err != nil && !isProblem:
		r.fault("%s: a plain error instead of a problem: %v", c.Name, err)
		return nil, nil, false
	case file == nil:
		r.fault("%s: no file, not even a layout", c.Name)
		return nil, nil, false
	case err != nil && len(file.Parts) > 0:
		r.fault("%s: a recording beside a refusal", c.Name)
	case err == nil && len(file.Parts) == 0:
		r.fault("%s: neither a recording nor a refusal", c.Name)
		return nil, nil, false
	}
	r.understood(f, c, file.Layout, err == nil)
	if err != nil {
		r.whole(c, p)
		return file, p, true
	}
	for i, rec := range file.Parts {
		r.sound(c, rec)
		if len(file.Parts) > 1 && (rec.Part == "" || slices.ContainsFunc(file.Parts[:i], func(o *trace.Recording) bool { return o.Part == rec.Part })) {
			r.fault("%s: drop %d is called %q, which tells it from no other", c.Name, i+1, rec.Part)
		}
	}
	return file, p, true
}

func claims(f traceio.Format, name string, data []byte) (claimed bool, panicked string) {
	defer func() {
		if v := recover(); v != nil {
			panicked = fmt.Sprint(v)
		}
	}()
	return f.Claims(name, data), ""
}

func read(f traceio.Format, c Case, data []byte) (file *trace.File, panicked string, err error) {
	defer func() {
		if v := recover(); v != nil {
			panicked = fmt.Sprint(v)
		}
	}()
	file, err = f.Read(c.Name, data, c.Ask)
	return file, "", err
}

// alike compares two files to the bit: NaN is like NaN, 0 is not like -0.
func alike(a, b *trace.File) bool {
	if a == nil || b == nil {
		return a == b
	}
	return reflect.DeepEqual(a.Layout, b.Layout) && slices.EqualFunc(a.Parts, b.Parts, sameDrop)
}

func sameDrop(a, b *trace.Recording) bool {
	same := func(x, y float64) bool { return math.Float64bits(x) == math.Float64bits(y) }
	for _, s := range [][2][]float64{{a.Time, b.Time}, {a.Force, b.Force}, {a.Stretch, b.Stretch}, {a.Gate, b.Gate}} {
		if !slices.EqualFunc(s[0], s[1], same) {
			return false
		}
	}
	return a.Unit == b.Unit && a.ForceColumn == b.ForceColumn && a.TimeColumn == b.TimeColumn && slices.Equal(a.Notes, b.Notes) &&
		a.Part == b.Part && a.PerMass == b.PerMass
}

// understood checks what a layout has to say.
func (r *result) understood(f traceio.Format, c Case, l trace.Layout, wasRead bool) {
	if l.Format != f.Name() {
		r.fault("%s: the layout is of format %q, not %q", c.Name, l.Format, f.Name())
	}
	for _, fact := range l.Facts {
		if fact.What == "" || fact.Is == "" || strings.HasSuffix(fact.Why, ".") || fact.Flag != "" && !strings.HasPrefix(fact.Flag, "--") {
			r.fault("%s: a fact says %+v", c.Name, fact)
		}
	}
	if !wasRead {
		return
	}
	uses := map[string]int{}
	for i, col := range l.Columns {
		uses[col.Use]++
		if col.No != i+1 {
			r.fault("%s: column %d has number %d", c.Name, i+1, col.No)
		}
	}
	if len(l.Facts) == 0 || uses["force"] == 0 {
		r.fault("%s: read with %d facts and %d columns of force in the layout", c.Name, len(l.Facts), uses["force"])
	}
	for use := range uses {
		if !slices.Contains([]string{"", "force", "time", "stretch", "gate"}, use) {
			r.fault("%s: a column is used as %q", c.Name, use)
		}
	}
}

// sound checks what holds of every recording.
func (r *result) sound(c Case, rec *trace.Recording) {
	if len(rec.Time) != len(rec.Force) || len(rec.Force) < 2 {
		r.fault("%s: %d times, %d forces", c.Name, len(rec.Time), len(rec.Force))
		return
	}
	for i := range rec.Time {
		t, f := rec.Time[i], rec.Force[i]
		if math.IsNaN(t-t) || math.IsNaN(f-f) {
			r.fault("%s: sample %d is not finite: %g s, %g N", c.Name, i, t, f)
			return
		}
		if i > 0 && t <= rec.Time[i-1] {
			r.fault("%s: time does not rise at sample %d: %g s after %g s", c.Name, i, t, rec.Time[i-1])
			return
		}
	}
	for what, v := range map[string][]float64{"stretch": rec.Stretch, "gate": rec.Gate} {
		if v != nil && (len(v) != len(rec.Time) || slices.ContainsFunc(v, func(x float64) bool { return math.IsNaN(x - x) })) {
			r.fault("%s: %d values of %s beside %d times, or not finite", c.Name, len(v), what, len(rec.Time))
		}
	}
	if _, ok := traceio.ForceUnit(rec.Unit); !ok && !rec.PerMass || rec.PerMass && rec.Unit != "g" && rec.Unit != "m/s2" {
		r.fault("%s: unit %q is none of force, and %v that force is by mass", c.Name, rec.Unit, rec.PerMass)
	}
	if rec.ForceColumn == "" {
		r.fault("%s: the force column is not named", c.Name)
	}
	for _, n := range rec.Notes {
		if n.Grade == "" || n.Text == "" || strings.HasSuffix(n.Text, ".") {
			r.fault("%s: note %q %q", c.Name, n.Grade, n.Text)
		}
	}
}

var (
	lined  = regexp.MustCompile(`^:[1-9][0-9]*$`)
	placed = regexp.MustCompile(`^(:[1-9][0-9]*|, [^\n]*[^.\n])?$`)
	rude   = regexp.MustCompile(`(?i)\b(invalid|failed to|please)\b`)
)

// whole checks what holds of every refusal.
func (r *result) whole(c Case, p *problem.Problem) {
	place, inFile := strings.CutPrefix(p.Where, c.Name)
	inPlace := placed
	if r.lined {
		inPlace = lined
	}
	switch {
	case p.Kind == 0:
		r.fault("%s: the refusal has no kind: %s", c.Name, p.What)
	case !(inFile && inPlace.MatchString(place)) && !strings.HasPrefix(p.Where, "--"):
		r.fault("%s: the refusal names no place in the file: %q", c.Name, p.Where)
	case p.What == "" || strings.HasSuffix(p.What, ".") || rude.MatchString(p.What):
		r.fault("%s: the refusal says %q", c.Name, p.What)
	case len(p.Hints) == 0 || slices.Contains(p.Hints, ""):
		r.fault("%s: the refusal has no hint: %s", c.Name, p.What)
	case p.State != "nothing was read from "+c.Name:
		r.fault("%s: the refusal leaves the state open: %q", c.Name, p.State)
	}
}

// strangers are files that are traces in no format.
func strangers() []Case {
	return []Case{
		{Name: "picture.png", Data: []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01")},
		{Name: "picture.jpg", Data: []byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01")},
		{Name: "picture.gif", Data: []byte("GIF89a\x01\x00\x01\x00\x80\x00\x00\xff\xff\xff;")},
		{Name: "article.pdf", Data: []byte("%PDF-1.7\n1 0 obj\n<< /Type /Catalog >>\nendobj\n")},
		{Name: "packed.csv.gz", Data: []byte("\x1f\x8b\x08\x00\x00\x00\x00\x00\x00\x03+\xc9\xccM\x05")},
		{Name: "packed.csv.zst", Data: []byte("\x28\xb5\x2f\xfd\x24\x05)\x00\x00hello")},
		{Name: "archive.zip", Data: []byte("PK\x03\x04\x14\x00\x00\x00\x08\x00notes.txt")},
		{Name: "noise.bin", Data: []byte{1, 2, 3, 0, 0, 0, 7, 200, 13, 10, 0, 1, 255, 254, 3, 4}},
		{Name: "empty.csv"},
		{Name: "blank.csv", Data: []byte(" \r\n\r\n\t\r\n")},
	}
}
