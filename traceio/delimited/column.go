package delimited

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// fewestOfDrop is how many rows in a row have to have the same value, on
// average, for a column to name drops: our own choice. What changes faster
// counts the rows, or was measured.
const fewestOfDrop = 4

// byColumn parts the rows where a column called drop, run, specimen or the like
// has another value.
func (r *rows) byColumn() error {
	for _, c := range r.columns {
		used := slices.ContainsFunc(r.Used(), func(o pick.Column) bool { return o.No == c.No })
		if used || !c.NamesDrops() {
			continue
		}
		if done, err := r.stepsOf(c); done || err != nil {
			return err
		}
	}
	return nil
}

// stepsOf looks at the values of a column that may name drops; done says that it
// does.
func (r *rows) stepsOf(c pick.Column) (done bool, err error) {
	var steps []brk
	var cells [][]byte
	last, again := "", ""
	seen := map[string]bool{}
	n, no := 0, r.lines[r.first].no-1
	for line := range bytes.Lines(r.body) {
		no++
		line = bytes.TrimRight(line, "\r\n")
		if cells = r.split(cells[:0], line); c.No > len(cells) || len(cells[c.No-1]) == 0 || !r.isRow(line) {
			continue
		}
		if v := string(cells[c.No-1]); n == 0 || v != last {
			if last = v; seen[v] && again == "" {
				again = v
			}
			seen[v] = true
			if steps = append(steps, brk{n, no, byColumn, traceio.Clean(text([]byte(v)))}); fewestOfDrop*len(steps) > len(r.forces) {
				return false, nil
			}
		}
		n++
	}
	switch {
	case len(steps) < 2:
		return false, nil
	case again != "" && len(seen) == 2:
		r.Notes = append(r.Notes, trace.Note{Grade: trace.Doubtful, Text: fmt.Sprintf("%s changes to and fro and was not taken to name drops; if it does, put each in a file of its own", c)})
		return false, nil
	case again != "":
		return false, r.refuse(problem.Invalid, steps[1].no, "%s seems to name the drop of each row, but %q comes back after another, so the drops are mixed", c, traceio.Shorten(again)).
			Hint("sort the rows by it, or put each drop in a file of its own; if it names no drop, give it another title")
	case n != len(r.forces):
		return false, r.refuse(problem.Invalid, steps[1].no, "%s seems to name the drop of each row, but not every row has a value in it", c).
			Hint("fill it in, or put each drop in a file of its own; if it names no drop, give it another title")
	}
	called(c, steps)
	r.lead = steps[0].name
	r.breaks = append(r.breaks, steps[1:]...)
	slices.SortStableFunc(r.breaks, func(a, b brk) int { return a.at - b.at })
	return true, nil
}

// called puts a column's title before values that would be taken for the numbers
// of other drops.
func called(c pick.Column, steps []brk) {
	for i, s := range steps {
		if n, err := strconv.Atoi(s.name); err == nil && n >= 1 && n <= len(steps) && n != i+1 {
			for j := range steps {
				steps[j].name = c.Name + " " + steps[j].name
			}
			return
		}
	}
}

// firstName is what a column or a line above the table calls the first drop.
func (r *rows) firstName() string {
	if r.lead != "" {
		return r.lead
	}
	return r.table.firstName()
}

// within refuses a time that starts over within each second beside a clock: the
// thousandths of its stamps stand in a column of their own, and parts no drops.
func (r *rows) within(drops []drop) error {
	i := slices.IndexFunc(r.columns, func(c pick.Column) bool { return c.Holds == pick.Stamps && c.No != r.Time.No })
	if i < 0 || r.t < 0 || len(drops) < 2 || drops[1].how != byTime || r.Time.Holds == pick.Stamps {
		return nil
	}
	for _, t := range r.times {
		if t = r.TimeUnit.SI(t); t < 0 || t >= 1 {
			return nil
		}
	}
	return r.refuse(problem.Invalid, r.lineOf(drops[1].from), "%s starts over there and never reaches a second, so it seems to hold the parts of a second of %s", r.Time, r.columns[i]).
		Hint("write both in one column, as 12:03:04.250, or give the logger's sample rate: --rate HZ")
}
