package pick

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// named finds the column that a person asked for by number, by its whole title
// or name, or by a part of its title that no other has.
func (p *picker) named(flag, ask string) (Column, error) {
	if n, err := strconv.Atoi(strings.TrimSpace(ask)); err == nil {
		for _, c := range p.columns {
			if c.No == n {
				return c, nil
			}
		}
		return Column{}, p.refuse(problem.NotFound, "%s %d: the table has %s", flag, n, traceio.Count(len(p.columns), "column")).
			Hint("choose one of them: %s", Catalogue(p.columns))
	}
	want := fold(ask)
	ways := []func(Column) bool{
		func(c Column) bool { return c.Title != "" && fold(c.Title) == want },
		func(c Column) bool { return c.Title != "" && fold(c.Name) == want },
		func(c Column) bool { return want != "" && strings.Contains(fold(c.Title), want) },
	}
	for _, fits := range ways {
		switch found := such(p.columns, fits); {
		case len(found) == 1:
			return found[0], nil
		case len(found) > 1:
			return Column{}, p.refuse(problem.Invalid, "%s %q fits %d columns: %s", flag, traceio.Shorten(ask), len(found), Catalogue(found)).
				Hint("say which by its number: %s", choices(flag, found))
		}
	}
	refusal := p.refuse(problem.NotFound, "%s %q: no column has that name", flag, traceio.Shorten(ask))
	if !p.Header {
		return Column{}, refusal.Hint("the file does not name its columns; choose by number: %s", Catalogue(p.columns))
	}
	return Column{}, refusal.Hint("choose one of them: %s", Catalogue(p.columns))
}

// choices writes the flags to choose from.
func choices(flag string, columns []Column) string {
	const most = 6
	var out []string
	for _, c := range columns[:min(most, len(columns))] {
		out = append(out, fmt.Sprintf("%s %d", flag, c.No))
	}
	if len(columns) > most {
		out = append(out, "\u2026")
	}
	return strings.Join(out, ", ")
}

// Catalogue lists columns for a person to choose from, with their units by
// their own titles; a column without a title shows its first value.
func Catalogue(columns []Column) string {
	const most = 12
	var out []string
	for _, c := range columns {
		if len(out) == most && len(columns) > most+1 {
			out = append(out, fmt.Sprintf("and %d more", len(columns)-most))
			break
		}
		item := fmt.Sprintf("%d %q", c.No, traceio.Shorten(c.Title))
		switch {
		case c.Title == "" && len(c.Cells) == 0:
			item = fmt.Sprintf("%d (blank)", c.No)
		case c.Title == "":
			item = fmt.Sprintf("%d (%s, \u2026)", c.No, traceio.Shorten(c.Cells[0]))
		case c.Unit != "" && !strings.Contains(c.Title, c.Unit):
			item += " [" + traceio.Shorten(c.Unit) + "]"
		}
		out = append(out, item)
	}
	return strings.Join(out, ", ")
}
