package sheets

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// table is one table of the sheets, for paper and workbook.
type table struct {
	name, title, note string
	columns           []column
	rows              [][]any // text, whole numbers, metres as float64, time.Time, nil for nothing
}

// column is one of them. Its share is of the paper's width.
type column struct {
	title string
	share float64
	as    kind
}

// kind is how a column is shown.
type kind int

const (
	words  kind = iota
	number      // to the right
	tick        // a box, empty in the workbook
	blank       // a line to write on
)

// whole is nil for a number that there is none of.
func whole(n int) any {
	if n == 0 {
		return nil
	}
	return n
}

// conditionOf is the condition of a specimen as whoever drops may see it.
func conditionOf(p *campaign.Plan, s campaign.Specimen) string {
	switch {
	case p.Order.Blind:
		return ""
	case s.Spare:
		return s.Condition + ", spare"
	}
	return s.Condition
}

// cutting is the list to tick; without rows where the plan says nothing of it.
func cutting(p *study.Planned) table {
	t := table{
		name: "cutting", title: "Cut list",
		note: "Rope by rope, from its zero end, in this order. Label both ends of a piece before the next cut.",
		columns: []column{
			{"done", 1, tick},
			{"rope", 2.2, words},
			{"label", 1.6, words},
			{"at m", 1.4, number},
			{"do", 7, words},
			{"tool", 3.6, words},
		},
	}
	for _, s := range p.Steps {
		var at any
		if s.At > 0 {
			at = s.At
		}
		t.rows = append(t.rows, []any{nil, s.Rope, s.Tag, at, s.Do, s.Tool})
	}
	return t
}

// specimens is what is cut from where, with room for what is found of it.
func specimens(p *study.Planned) table {
	t := table{
		name: "specimens", title: "Specimens",
		note: "Weigh and gauge each when it is knotted and dry. One that stands out is set aside before it is dropped, not after.",
		columns: []column{
			{"label", 1.8, words},
			{"rope", 2.2, words},
			{"from m", 1.4, number},
			{"to m", 1.4, number},
			{"condition", 3, words},
			{"knots", 3, words},
			{"knotted", 1.4, tick},
			{"dry mass", 2, blank},
			{"diameter", 2, blank},
		},
	}
	for _, s := range p.Plan.Specimens {
		var from, to any
		if s.To > s.From {
			from, to = s.From, s.To
		}
		t.rows = append(t.rows, []any{s.Label, s.RopeID(), from, to, conditionOf(&p.Plan, s), s.Knots, nil, nil, nil})
	}
	if p.Plan.Order.Blind {
		t = t.without("condition")
	}
	return t
}

// toDrop lists the specimens that are to be dropped, in the order drawn.
func toDrop(p *campaign.Plan) []campaign.Specimen {
	var out []campaign.Specimen
	for _, s := range p.Specimens {
		if !s.Spare {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b campaign.Specimen) int { return cmp.Compare(a.Place, b.Place) })
	return out
}

// mostTicks is how many falls have a box of their own in the order.
const mostTicks = 10

// order is in which order specimens are dropped.
func order(p *study.Planned) table {
	t := table{
		name: "order", title: "Order of drops",
		note: "Keep to the order. Tick a fall when it counts; write what was otherwise, and why: it goes into the book as a deviation.",
		columns: []column{
			{"place", 1, number},
			{"day", 1, number},
			{"label", 1.8, words},
			{"condition", 3, words},
		},
	}
	falls := min(p.Plan.Series.Falls, mostTicks)
	if falls < p.Plan.Series.Falls {
		t.note += fmt.Sprintf(" Falls after the %dth have no box here.", mostTicks)
	}
	for i := range falls {
		t.columns = append(t.columns, column{fmt.Sprint(i + 1), 0.6, tick})
	}
	t.columns = append(t.columns, column{"was otherwise", 4, blank})
	dayless := true
	for i, s := range toDrop(&p.Plan) {
		place := s.Place
		if place == 0 {
			place = i + 1
		}
		dayless = dayless && s.Day == 0
		row := []any{place, whole(s.Day), s.Label, conditionOf(&p.Plan, s)}
		t.rows = append(t.rows, append(row, make([]any, falls+1)...))
	}
	if dayless {
		t = t.without("day")
	}
	if p.Plan.Order.Blind {
		t = t.without("condition")
	}
	return t
}

// timesOf is what is done when on one day, counted from 0.
func timesOf(p *study.Planned, day int) table {
	d := p.Timetable.Days[day]
	t := times(p, func(o timetable.Op) bool { return !o.Start.Before(d.Open) && !o.Start.After(d.Close) })
	t.title = "Timetable, " + d.Open.Format("Monday 2 January 2006")
	return t
}

// times is what is done when. A rest counts from release to release.
func times(p *study.Planned, on func(timetable.Op) bool) table {
	t := table{
		name: "timetable", title: "Timetable",
		note: "A drop ends with its fall. When the day slips, plan the rest anew from now; no rest is cut short.",
		columns: []column{
			{"done", 1, tick},
			{"start", 1.4, words},
			{"end", 1.4, words},
			{"do", 2.6, words},
			{"specimen", 2, words},
			{"fall", 0.9, number},
			{"where", 3, words},
			{"who", 3, words},
			{"was at", 2, blank},
		},
	}
	if p.Timetable == nil {
		return t
	}
	for _, o := range p.Timetable.Ops {
		if !on(o) {
			continue
		}
		do := string(o.Kind)
		if o.Turn != "" {
			do += ", " + string(o.Turn) + " check"
		}
		where := strings.Trim(o.Tower+" "+o.Place, " ")
		t.rows = append(t.rows, []any{nil, o.Start, o.End, do, o.Specimen, whole(o.Fall), where, strings.Join(o.People, ", "), nil})
	}
	return t
}

// destroy is what must not be climbed on any more.
func destroy(p *study.Planned) table {
	t := table{
		name: "destroy", title: "After use: destroy",
		note: "Every specimen that was soaked or dropped, spares too when they were used: cut it into pieces too short to climb on, and tick.",
		columns: []column{
			{"destroyed", 1.5, tick},
			{"label", 2, words},
			{"rope", 3, words},
			{"what", 3, words},
			{"by", 3, blank},
			{"when", 3, blank},
		},
	}
	row := func(s campaign.Specimen, what string) {
		t.rows = append(t.rows, []any{nil, s.Label, s.RopeID(), what, nil, nil})
	}
	for _, s := range toDrop(&p.Plan) {
		row(s, "specimen")
	}
	for _, s := range p.Plan.Specimens {
		if s.Spare {
			row(s, "spare, when used")
		}
	}
	if p.Plan.Order.Blind { // neither which is a spare nor the order tells anything
		slices.SortStableFunc(t.rows, func(a, b []any) int { return cmp.Compare(a[1].(string), b[1].(string)) })
		t = t.without("what")
	}
	return t
}

// without leaves a column out.
func (t table) without(title string) table {
	at := slices.IndexFunc(t.columns, func(c column) bool { return c.title == title })
	t.columns = slices.Delete(slices.Clone(t.columns), at, at+1)
	for i, row := range t.rows {
		t.rows[i] = slices.Delete(slices.Clone(row), at, at+1)
	}
	return t
}
