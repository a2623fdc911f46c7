package tableio

import (
	"regexp"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// Match returns the columns that patterns mean, in the order of the table: names,
// or patterns in which * and ? stand for any letters. One that means none is
// refused.
func (t *Table) Match(patterns []string) ([]string, error) {
	wanted := map[string]bool{}
	for _, p := range patterns {
		p = strings.TrimSpace(p)
		if !strings.ContainsAny(p, "*?") {
			name, err := t.Find(p)
			if err != nil {
				return nil, err
			}
			wanted[name] = true
			continue
		}
		found := false
		like := regexp.MustCompile("(?i)^" + strings.NewReplacer(`\*`, ".*", `\?`, ".").Replace(regexp.QuoteMeta(p)) + "$")
		for _, c := range t.columns {
			if like.MatchString(c.name) || like.MatchString(c.title) {
				wanted[c.name], found = true, true
			}
		}
		if !found {
			return nil, problem.New(problem.NotFound, t.Name, "no column is like %q", traceio.Shorten(p)).Hint("its columns are: %s", t.list(nil))
		}
	}
	var out []string
	for _, name := range t.Names {
		if wanted[name] {
			out = append(out, name)
		}
	}
	return out, nil
}

// number at the end of a title.
var numbered = regexp.MustCompile(`([0-9]+)$`)

// Long makes one row of each value where several stand beside each other: the
// named columns go into one called value, and their names into one called
// falls. Where all names end in numbers that differ, the numbers stand for them:
// "fall 1" is 1. The other columns are repeated. The columns must have one unit.
func (t *Table) Long(columns []string, falls, value string) (*Table, error) {
	var from []*column
	taken := map[string]bool{}
	for _, name := range columns {
		c, err := t.column(name)
		if err != nil {
			return nil, err
		}
		from = append(from, c)
		taken[c.name] = true
	}
	if len(from) == 0 {
		return nil, problem.New(problem.Invalid, t.Name, "no column of values is named")
	}
	for _, c := range from[1:] {
		if c.unit != from[0].unit {
			return nil, problem.New(problem.Invalid, t.Name, "columns %s and %s have different units", from[0].title, c.title).Hint("bring them to one unit")
		}
	}
	if len(from)*t.Rows > MostRows {
		return nil, problem.New(problem.Invalid, t.Name, "%d rows of %d values are more than %d rows, which is our own limit", t.Rows, len(from), MostRows)
	}
	out := &Table{Name: t.Name, Rows: t.Rows * len(from), Notes: t.Notes, line: t.line, decimal: t.decimal}
	labels := fallNames(from)
	fall, values := column{name: falls, title: falls}, column{name: value, title: value, unit: from[0].unit}
	for i := range t.Rows {
		for k, c := range from {
			out.lines = append(out.lines, t.lines[i])
			fall.cells = append(fall.cells, cell{text: labels[k]})
			values.cells = append(values.cells, c.cells[i])
			values.titles = append(values.titles, c.title)
		}
	}
	for _, c := range t.columns {
		if taken[c.name] {
			continue
		}
		again := column{name: c.name, title: c.title, unit: c.unit, cells: make([]cell, 0, out.Rows)}
		for _, one := range c.cells {
			for range from {
				again.cells = append(again.cells, one)
			}
		}
		out.columns = append(out.columns, again)
	}
	out.columns = append(out.columns, fall, values)
	for _, c := range out.columns[:len(out.columns)-2] {
		if c.name == falls || c.name == value {
			return nil, problem.New(problem.Conflict, t.Name, "the table has a column %q already, and the wide columns need one of that name", c.name).Hint("give it another title")
		}
	}
	out.ownNames()
	return out, nil
}

// fallNames is what the columns are called as falls.
func fallNames(from []*column) []string {
	var names, numbers []string
	seen := map[string]bool{}
	for _, c := range from {
		names = append(names, c.name)
		n := strings.TrimLeft(numbered.FindString(c.name), "0")
		if n != "" && !seen[n] {
			numbers = append(numbers, n)
		}
		seen[n] = true
	}
	if len(numbers) == len(names) {
		return numbers
	}
	return names
}
