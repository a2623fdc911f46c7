package delimited

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// mostDrops is our own limit to the drops in a file.
const mostDrops = 1000

// record reads the rows of a group and makes a recording of each drop in them,
// in SI.
func (r *rows) record(group string) ([]*trace.Recording, []drop, error) {
	if err := r.read(); err != nil {
		return nil, nil, err
	}
	if err := r.plenty(); err != nil {
		return nil, nil, err
	}
	if i := r.missing(); i >= 0 {
		return nil, nil, r.refuse(problem.Unreadable, r.lineOf(i), "%s has %g again and again, far from all other values: a code of programs for a sample that is missing", r.Force, r.forces[i]).
			Hint("export the recording again without it, or cut the lines off where they stand before or after the drop")
	}
	if err := r.pointed(); err != nil {
		return nil, nil, err
	}
	if group == "" {
		if err := r.byColumn(); err != nil {
			return nil, nil, err
		}
	}
	drops, err := r.drops()
	if err != nil {
		return nil, nil, err
	}
	if err := r.within(drops); err != nil {
		return nil, nil, err
	}
	r.TimeUnit.Convert(r.times)
	r.ForceUnit.Convert(r.forces)
	r.StretchUnit.Convert(r.stretch.values)
	var out []*trace.Recording
	for i := range drops {
		d := &drops[i]
		if group != "" {
			d.name = strings.TrimSpace(group + " " + d.name)
		}
		rec := r.recording(*d)
		if err := r.sound(rec); err != nil {
			return nil, nil, err
		}
		out = append(out, rec)
	}
	if r.ended.rows > 0 {
		last := out[len(out)-1]
		last.Notes = append(last.Notes, trace.Note{Grade: trace.Said, Text: fmt.Sprintf("%s ends at line %d; the %s after it have no value there", r.Force, r.lastRow, traceio.Count(r.ended.rows, "row"))})
	}
	if r.below > 0 {
		last := out[len(out)-1]
		last.Notes = append(last.Notes, trace.Note{Grade: trace.Said, Text: fmt.Sprintf("comments stand below the table, from line %d on, and were passed over", r.below)})
	}
	return out, drops, nil
}

// missing is the first force that is a code of a missing sample; -1 for none.
func (r *rows) missing() int {
	if r.rest != nil && !r.rest.large {
		return -1 // as was seen piece by piece
	}
	return traceio.MissingCode(r.forces)
}

// recording is one drop.
func (r *rows) recording(d drop) *trace.Recording {
	rec := &trace.Recording{
		Force: d.of(r.forces), Unit: r.ForceUnit.Symbol, PerMass: r.PerMass, ForceColumn: r.Force.Own(), Part: d.name,
		Notes: append(slices.Clone(r.Notes), d.notes(r.Time.String())...),
	}
	switch {
	case r.t < 0:
		rec.Time = evenly(d.to-d.from, r.Rate)
	case d.rate > 0:
		rec.Time, rec.TimeColumn = evenly(d.to-d.from, d.rate), r.Time.Own()
	default:
		rec.Time, rec.TimeColumn = d.of(r.times), r.Time.Own()
	}
	if r.stretch.values != nil {
		rec.Stretch = d.of(r.stretch.values)
	}
	if r.gate.values != nil {
		rec.Gate = d.of(r.gate.values)
	}
	return rec
}

// of is the drop's part of some values, with what room is left behind the last.
func (d drop) of(values []float64) []float64 {
	if d.to == len(values) {
		return values[d.from:]
	}
	return values[d.from:d.to:d.to]
}

// plenty refuses fewer than two samples.
func (r *rows) plenty() error {
	n := len(r.forces)
	if n >= 2 {
		return nil
	}
	p := r.refuse(problem.TooFew, r.lines[r.first].no, "%s has %s; a trace has 2 at least", r.Force, traceio.Count(n, "value")).
		Hint("export the recording again")
	if r.ended.rows > 0 {
		p.Hint("or choose a column that is filled: %s", pick.Catalogue(r.filled()))
	}
	return p
}

// lonely refuses a drop of one sample.
func (r *rows) lonely(d drop) error {
	return r.refuse(problem.TooFew, r.lineOf(d.from), "the drop that begins here has 1 sample; a trace has 2 at least").
		Hint("delete the line, if it is none").
		Hint("if the samples are evenly spaced and all of one drop, give the rate: --rate HZ")
}

// tooMany refuses more drops than anybody puts into a file.
func (r *rows) tooMany(d drop) error {
	return r.refuse(problem.Invalid, r.lineOf(d.from), "more than %d drops begin in the file, which is our own limit", mostDrops).
		Hint("if the samples are evenly spaced and all of one drop, give the rate: --rate HZ")
}

// nameDrops gives each of several drops a name of its own: the file's where it
// has one, or its number.
func nameDrops(parts []*trace.Recording) {
	if len(parts) == 1 {
		return
	}
	times := map[string]int{}
	for i, p := range parts {
		times[p.Part]++
		times[strconv.Itoa(i+1)]++
	}
	for i, p := range parts {
		if p.Part == "" || times[p.Part] > 1 {
			p.Part = strconv.Itoa(i + 1)
		}
	}
}

// wanted returns the drops that are asked for: all, or the one by name or
// number. Where there is one only, it has no name of its own.
func (s source) wanted(t *table, parts []*trace.Recording) ([]*trace.Recording, error) {
	ask := strings.TrimSpace(s.ask.Part)
	if ask == "" {
		if len(parts) == 1 {
			parts[0].Part = ""
		}
		return parts, nil
	}
	for _, p := range parts {
		if strings.EqualFold(p.Part, ask) {
			return []*trace.Recording{p}, nil
		}
	}
	if n, err := strconv.Atoi(ask); err == nil && n >= 1 && n <= len(parts) {
		return []*trace.Recording{parts[n-1]}, nil
	}
	var names []string
	for i, p := range parts {
		names = append(names, fmt.Sprintf("%d %q", i+1, traceio.Shorten(p.Part)))
	}
	if len(names) > 12 {
		names = append(names[:12], "\u2026")
	}
	return nil, s.refuse(problem.NotFound, t.headLine(), "--part %q: the file holds %s: %s", traceio.Shorten(ask), traceio.Count(len(parts), "drop"), strings.Join(names, ", ")).
		Hint("choose one by name or number, as --part 1")
}

// evenly returns n times at the rate, from zero.
func evenly(n int, rate float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = float64(i) / rate
	}
	return out
}

// sound refuses what bringing the values to SI has made of extreme ones: past
// what a number can hold, or no longer apart.
func (r *rows) sound(rec *trace.Recording) error {
	last := rec.Time[len(rec.Time)-1]
	if math.IsInf(last, 0) || rec.Time[1] <= rec.Time[0] || r.t >= 0 && !r.TimeUnit.Plain() && !rising(rec.Time) {
		return r.refuse(problem.Unreadable, r.lines[r.first].no, "the times are too large or too close together to be told apart in seconds").
			Hint("give a rate that the logger can have: --rate HZ")
	}
	large := func(v float64) bool { return math.IsInf(v, 0) }
	if !r.ForceUnit.Plain() && slices.ContainsFunc(rec.Force, large) {
		return r.refuse(problem.Unreadable, r.lines[r.first].no, "a force in %s is larger than a number can be in newtons", r.Force).
			Hint("check the unit: --unit %s", r.ForceUnit.Symbol)
	}
	return nil
}

func rising(v []float64) bool {
	for i := 1; i < len(v); i++ {
		if !(v[i] > v[i-1]) {
			return false
		}
	}
	return true
}
