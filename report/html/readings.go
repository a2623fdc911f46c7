package html

import (
	"fmt"
	"regexp"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// number writes a value of a reading.
func number(v trace.Value, scale float64, decimals int) string {
	return figure.Fixed(float64(v)*scale, decimals)
}

// column is one value of a reading as the table of readings shows it.
type column struct {
	name, unit string
	of         func(r *trace.Reading) string
}

var columns = []column{
	{"Peak", "kN", func(r *trace.Reading) string { return number(r.PeakForce, 1e-3, 2) }},
	{"Time to peak", "ms", func(r *trace.Reading) string { return number(r.TimeToPeak, 1e3, 1) }},
	{"Impulse", "N\u202fs", func(r *trace.Reading) string { return number(r.FirstImpulse, 1, 0) }},
	{"Impact speed", "m/s", func(r *trace.Reading) string { return number(r.ImpactSpeed, 1, 2) }},
	{"Stretch", "m", func(r *trace.Reading) string { return number(r.MaxStretch, 1, 3) }},
	{"Energy in", "J", func(r *trace.Reading) string { return number(r.EnergyIn, 1, 0) }},
	{"Absorbed", "J", func(r *trace.Reading) string { return number(r.EnergyAbsorbed, 1, 0) }},
	{"Rebound", "m/s", func(r *trace.Reading) string { return number(r.ReboundSpeed, 1, 2) }},
}

// cells are the values of a row. A drop without a reading has none.
func cells(row study.DropRow) []string {
	out := make([]string, len(columns))
	for i, c := range columns {
		out[i] = figure.Missing
		if row.Reading != nil {
			out[i] = c.of(row.Reading)
		}
	}
	return out
}

// series is one specimen's falls.
type series struct {
	specimen study.SpecimenRow
	rows     []study.DropRow
}

// serieses has every specimen, those without a fall too, and then what fell
// under a label that the plan does not have.
func (p *page) serieses() []series {
	place := map[string]int{}
	var all []series
	for _, s := range p.Overview.Specimens {
		place[s.Specimen.Label] = len(all)
		all = append(all, series{specimen: s})
	}
	for _, row := range p.Overview.Drops {
		if row.Drop.Kind != campaign.Fall {
			continue
		}
		label := row.Drop.Specimen
		i, ok := place[label]
		if !ok {
			i = len(all)
			place[label] = i
			stray := campaign.Specimen{Label: label, Condition: row.Condition}
			all = append(all, series{specimen: study.SpecimenRow{Specimen: stray}})
		}
		all[i].rows = append(all[i].rows, row)
	}
	return all
}

// ledger numbers the notes of all readings in the order met, so that a row can
// point at them. A doubtful or missing one is printed word for word. One for
// the record that differs from another only in its numbers shares an entry
// with it, since a study's traces say the same things over and over.
type ledger struct {
	entries []*entry
	place   map[string]int
	of      map[string][]int // drop ID to entries
}

type entry struct {
	note   trace.Note
	drops  []string // names
	others bool     // some have other numbers than the one shown
}

var digits = regexp.MustCompile(`[0-9]+(\.[0-9]+)?(e[+-]?[0-9]+)?`)

func (l *ledger) enter(row study.DropRow) {
	if l.place == nil {
		l.place, l.of = map[string]int{}, map[string][]int{}
	}
	for _, n := range rowNotes(row) {
		key := string(n.Grade) + n.Text
		if n.Grade == trace.Said {
			key = digits.ReplaceAllString(key, "#")
		}
		i, ok := l.place[key]
		if !ok {
			i = len(l.entries)
			l.place[key] = i
			l.entries = append(l.entries, &entry{note: n})
		}
		e := l.entries[i]
		e.drops = append(e.drops, dropName(row.Drop))
		e.others = e.others || n.Text != e.note.Text
		l.of[row.Drop.ID] = append(l.of[row.Drop.ID], i)
	}
}

// rowNotes are a row's notes, with a reason where there is no reading at all.
func rowNotes(row study.DropRow) []trace.Note {
	var out []trace.Note
	switch {
	case row.Reading != nil:
		out = append(out, row.Reading.Notes...)
	case row.Drop.Trace == nil:
		out = append(out, trace.Note{Grade: trace.Missing, Text: "no trace was recorded, so there is no reading"})
	default:
		out = append(out, trace.Note{Grade: trace.Missing, Text: "no reading was taken from its trace"})
	}
	if row.Drop.Note != "" {
		out = append(out, trace.Note{Grade: trace.Said, Text: "at the tower: " + row.Drop.Note})
	}
	return out
}

// where lists an entry's drops, all when they are few.
func (e *entry) where(of int) string {
	const few = 6
	var text string
	switch n := len(e.drops); {
	case n == of && n > few:
		text = "every drop"
	case n > few:
		text = fmt.Sprintf("%d of %d drops, the first %s", n, of, e.drops[0])
	default:
		for i, d := range e.drops {
			if i > 0 {
				text += ", "
			}
			text += d
		}
	}
	if e.others {
		text += fmt.Sprintf("; the numbers are those of %s and differ from drop to drop", e.drops[0])
	}
	return text
}

// pressing reports whether a careful reader must look.
func (e *entry) pressing() bool { return e.note.Grade != trace.Said }
