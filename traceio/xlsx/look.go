package xlsx

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// tables settles which sheets are read: the one asked for, or the only one with a
// force, or several with the same titles, which are several drops. It says how
// many sheets it looked at.
func (s *source) tables() (forces []*table, looked int, err error) {
	sheets, err := s.asked()
	if err != nil {
		return nil, 0, err
	}
	var refused *table
	var why error
	for _, in := range sheets {
		t, err := s.find(in)
		if err != nil {
			return nil, 0, err
		}
		if t == nil {
			continue
		}
		if err := s.choose(t); err == nil || s.split(t) {
			forces = append(forces, t)
		} else if refused == nil || t.telling && !refused.telling || t.telling == refused.telling && t.long > refused.long {
			refused, why = t, err
		}
	}
	switch {
	case len(forces) == 0 && refused == nil:
		return nil, 0, s.noTable(sheets)
	case len(forces) == 0:
		s.layout.Columns = pick.Columns(refused.columns, nil)
		return nil, 0, why
	case len(forces) > 1 && !alike(forces):
		return nil, 0, s.differ(forces)
	}
	return forces, len(sheets), nil
}

// asked are the sheets to look at.
func (s *source) asked() ([]*sheet, error) {
	all := s.book.sheets
	if s.ask.Sheet == "" {
		return all, nil
	}
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		if i := slices.IndexFunc(all, func(in *sheet) bool { return same(strings.TrimSpace(in.name), strings.TrimSpace(s.ask.Sheet)) }); i >= 0 {
			return all[i : i+1], nil
		}
	}
	if n, err := strconv.Atoi(strings.TrimSpace(s.ask.Sheet)); err == nil && n >= 1 && n <= len(all) {
		return all[n-1 : n], nil
	}
	return nil, s.whole(problem.NotFound, "--sheet %q: the workbook has no such sheet", traceio.Shorten(s.ask.Sheet)).
		Hint("choose one of them: %s", listed(all))
}

// listed names sheets, with their numbers.
func listed(sheets []*sheet) string {
	const most = 12
	var out []string
	for i, in := range sheets {
		if i == most {
			out = append(out, fmt.Sprintf("and %d more", len(sheets)-most))
			break
		}
		out = append(out, fmt.Sprintf("%d %q", i+1, traceio.Shorten(in.name)))
	}
	return strings.Join(out, ", ")
}

// choose settles the columns of a table.
func (s *source) choose(t *table) error {
	from := pick.Source{Name: s.name, Where: s.where(t.sheet, row(t.top())), Header: t.header > 0}
	if t.header == 0 && t.unnamed != "" {
		from.Unnamed, from.UnnamedAt = t.unnamed, s.where(t.sheet, row(t.unnamedAt))
	}
	var err error
	t.choice, err = pick.Choose(from, t.columns, s.ask)
	return err
}

// top is the row to name for what concerns the table's columns.
func (t *table) top() int {
	if t.header > 0 {
		return t.header
	}
	return t.first
}

// alike reports whether tables have the same titles and units.
func alike(tables []*table) bool {
	same := func(a, b pick.Column) bool { return a.Title == b.Title && a.Unit == b.Unit }
	for _, t := range tables[1:] {
		if !slices.EqualFunc(t.columns, tables[0].columns, same) {
			return false
		}
	}
	return true
}

// differ refuses several sheets with a force whose tables are not alike.
func (s *source) differ(tables []*table) error {
	const most = 6
	var each, flags []string
	for i, t := range tables {
		if i == most {
			each = append(each, fmt.Sprintf("and %d more", len(tables)-most))
			break
		}
		each = append(each, fmt.Sprintf("%q (%s)", traceio.Shorten(t.sheet.name), t.choice.Force))
		flags = append(flags, fmt.Sprintf("--sheet %q", t.sheet.name))
	}
	return s.whole(problem.Invalid, "%d sheets have a force and differ in their columns: %s", len(tables), strings.Join(each, ", ")).
		Hint("say which: %s", strings.Join(flags, " or "))
}

// noTable refuses a workbook without numbers.
func (s *source) noTable(sheets []*sheet) error {
	return s.whole(problem.Unreadable, "no table of numbers begins in the first %d rows of %s: %s", HeadRows, traceio.Count(len(sheets), "sheet"), listed(sheets)).
		Hint("give a workbook with one row of numbers for each sample, as a logger exports it")
}

// understood writes down what was understood of the tables to be read.
func (s *source) understood(tables []*table, looked int) {
	t := tables[0]
	s.layout.Facts = nil
	drops := 0
	for _, t := range tables {
		drops += max(1, len(t.parts))
	}
	why := "it is the only one with a force"
	switch {
	case s.ask.Sheet != "":
		why = "--sheet says so"
	case looked == 1:
		why = "it is the only one"
	}
	is := traceio.Shorten(t.sheet.name)
	if len(tables) > 1 {
		names := make([]*sheet, len(tables))
		for i := range tables {
			names[i] = tables[i].sheet
		}
		is, why = listed(names), "each has a force, under the same titles"
	}
	s.fact("sheet", is, why, "--sheet")
	if t.parts != nil {
		one := func(f trace.Fact) bool { return len(tables) > 1 && f.What == "drops" }
		s.layout.Facts = append(s.layout.Facts, slices.DeleteFunc(slices.Clone(t.layout.Facts), one)...)
		s.layout.Columns = t.layout.Columns
		if len(tables) > 1 {
			s.fact("drops", strconv.Itoa(drops), "those of each sheet", "--part")
		}
		return
	}
	header, reason := fmt.Sprintf("row %d", t.header), "it stands on the first row of numbers"
	if t.header == 0 {
		header, reason = "none", "no row of titles stands on the first row of numbers"
	}
	s.fact("header", header, reason, "")
	s.layout.Facts = append(s.layout.Facts, t.choice.Facts...)
	if len(tables) > 1 {
		how := "one a sheet"
		if drops > len(tables) {
			how = "those of each sheet"
		}
		s.fact("drops", strconv.Itoa(drops), how, "--part")
	}
	s.layout.Columns = pick.Columns(t.columns, t.choice)
}

func note(g trace.Grade, format string, args ...any) trace.Note {
	return trace.Note{Grade: g, Text: fmt.Sprintf(format, args...)}
}
