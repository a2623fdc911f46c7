package delimited

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/problem"
)

// asked is the column number in an ask, or 0 when it is a name.
func asked(ask string) int {
	n, err := strconv.Atoi(strings.TrimSpace(ask))
	if err != nil || n < 0 {
		return 0
	}
	return n
}

// named finds the column that a person asked for by number, by its whole title
// or name, or by a part of its title that no other has.
func (s source) named(t *table, flag, ask string) (column, error) {
	if n, err := strconv.Atoi(strings.TrimSpace(ask)); err == nil {
		if n < 1 || n > len(t.columns) {
			return column{}, s.refuse(problem.NotFound, t.headLine(), "%s %d: the table has %s", flag, n, count(len(t.columns), "column")).
				Hint("choose one of them: %s", t.catalogue(t.columns))
		}
		return t.columns[n-1], nil
	}
	want := fold(ask)
	ways := []func(column) bool{
		func(c column) bool { return c.title != "" && fold(c.title) == want },
		func(c column) bool { return c.title != "" && fold(c.name) == want },
		func(c column) bool { return want != "" && strings.Contains(fold(c.title), want) },
	}
	for _, fits := range ways {
		switch found := t.such(fits); {
		case len(found) == 1:
			return found[0], nil
		case len(found) > 1:
			return column{}, s.refuse(problem.Invalid, t.headLine(), "%s %q fits %d columns: %s", flag, shorten(ask), len(found), t.catalogue(found)).
				Hint("say which by its number: %s", choices(flag, found))
		}
	}
	p := s.refuse(problem.NotFound, t.headLine(), "%s %q: no column has that name", flag, shorten(ask))
	if t.header == 0 {
		return column{}, p.Hint("the file does not name its columns; choose by number: %s", t.catalogue(t.columns))
	}
	return column{}, p.Hint("choose one of them: %s", t.catalogue(t.columns))
}

// choices writes the flags to choose from.
func choices(flag string, columns []column) string {
	const most = 6
	var out []string
	for _, c := range columns[:min(most, len(columns))] {
		out = append(out, fmt.Sprintf("%s %d", flag, c.no))
	}
	if len(columns) > most {
		out = append(out, "\u2026")
	}
	return strings.Join(out, ", ")
}

// severalForces refuses a table with more than one column that may be meant.
func (s source) severalForces(t *table, found []column) error {
	return s.refuse(problem.Invalid, t.headLine(), "%d columns could be the force: %s", len(found), t.catalogue(found)).
		Hint("say which by its number: %s", choices("--force", found))
}

// noForce refuses a table in which no column is known as a force.
func (s source) noForce(t *table) error {
	if t.unfit >= 0 {
		return s.unnamed(t)
	}
	what := "no column says that it is a force"
	if t.header == 0 {
		what = "the file does not name its columns"
	}
	p := s.refuse(problem.Invalid, t.headLine(), "%s: %s", what, t.catalogue(t.columns))
	if free := t.such(freeOfMeaning); len(free) > 0 {
		p.Hint("if one of them is the force, say which, and in what unit, as --force %d --unit N", free[0].no)
	} else if len(t.columns) == 1 {
		p.Hint("if its numbers are a force all the same, say so, and in what unit: --force 1 --unit N")
	} else {
		p.Hint("if the numbers of one of them are a force all the same, say which, and in what unit: --force COLUMN --unit N")
	}
	if !t.hasTime() {
		timeOr := "say which is time, --time COLUMN, or give "
		if len(t.columns) == 1 {
			timeOr = "give "
		}
		p.Hint("and %sthe logger's sample rate: --rate HZ", timeOr)
	}
	return p
}

// freeOfMeaning reports whether a column of numbers says nothing of what it
// holds.
func freeOfMeaning(c column) bool {
	return c.kind == numeric && c.quantity() == unsaid && !c.timely() && !c.saysCounter() && !saysOther(c.name)
}

func (t *table) hasTime() bool { _, ok := t.timeFor(column{}); return ok }

// unnamed refuses to guess in a table under a line that does not name its
// columns.
func (s source) unnamed(t *table) error {
	l := t.lines[t.unfit]
	return s.refuse(problem.Invalid, l.no, "%q stands above the table and does not name its %s", shorten(text(t.text(t.unfit))), count(t.width, "column")).
		Hint("say which column is the force and which is time: --force 2 --time 1").
		Hint("the columns begin with: %s", t.catalogue(t.columns))
}

// noTime refuses a table without time.
func (s source) noTime(t *table, c *choice) error {
	if found := t.such(func(o column) bool { return o.quantity() == ofOther && saysTime(o.name) }); len(found) > 0 {
		return s.noUnitOfTime(t, found[0])
	}
	p := s.refuse(problem.Invalid, t.headLine(), "no column is known to be time, and a trace needs time or a rate")
	if counters := t.such(column.saysCounter); len(counters) > 0 {
		p.What = fmt.Sprintf("no column is known to be time (%s numbers the samples), and a trace needs time or a rate", counters[0])
	}
	p.Hint("give the logger's sample rate: --rate HZ")
	rest := t.such(func(o column) bool {
		return o.no != c.force.no && o.kind == numeric && o.quantity() == unsaid && !o.saysCounter()
	})
	if len(rest) > 0 {
		p.Hint("or say which column is time in seconds: --time COLUMN, one of %s", t.catalogue(rest))
	}
	return p
}

// noUnitOfTime refuses a time column in hours, say.
func (s source) noUnitOfTime(t *table, c column) error {
	return s.refuse(problem.Invalid, t.headLine(), "%s is in %q, which is no unit of time that is read (s, ms, us, min)", c, shorten(c.unit)).
		Hint("write the times in seconds, or give the logger's sample rate: --rate HZ")
}

// count writes a number with its noun.
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
