package delimited

import (
	"fmt"
	"regexp"
	"strings"

	"fallwright.example/traceio/pick"
)

// group is the columns of one drop beside others in a table: all of them, where
// the table holds one.
type group struct {
	name   string // that its titles have in common; "" when they have none
	choice *pick.Choice
}

// choose settles which columns are read. Where several could be the force, the
// table may hold drops side by side: groups of columns with the same titles,
// each with its own time.
func (s source) choose(t *table) ([]group, error) {
	at := s.pickSource(t)
	whole, err := pick.Choose(at, t.columns, s.ask)
	if err == nil {
		return []group{{choice: whole}}, nil
	}
	for _, columns := range t.sideBySide() {
		g := make([]group, 0, len(columns))
		for _, c := range columns {
			choice, err := pick.Choose(at, c, s.ask)
			if err != nil {
				break
			}
			label, _ := label(choice.Force.Title)
			g = append(g, group{label, choice})
		}
		if len(g) == len(columns) {
			return g, nil
		}
	}
	if g := s.underOneTime(t, at); g != nil {
		return g, nil
	}
	return []group{{choice: whole}}, err
}

// pickSource is what package pick has to know of a table.
func (s source) pickSource(t *table) pick.Source {
	at := pick.Source{Name: s.name, Where: fmt.Sprintf("%s:%d", s.name, t.headLine()), Header: t.header > 0}
	if t.unfit >= 0 {
		at.Unnamed, at.UnnamedAt = text(t.text(t.unfit)), fmt.Sprintf("%s:%d", s.name, t.lines[t.unfit].no)
	}
	if r := t.rates.first; r.rate > 0 {
		at.Stated, at.StatedBy = r.rate, fmt.Sprintf("line %d, %q,", r.no, r.text)
	}
	t.takeUnits(&at)
	return at
}

// sideBySide returns the ways in which the columns are groups with the same
// titles, one time in each, in the order to try them.
func (t *table) sideBySide() [][][]pick.Column {
	times := pick.Times(t.columns)
	if t.header == 0 || len(times) < 2 {
		return nil
	}
	period := times[1] - times[0]
	for i := range times {
		if times[i] != times[0]+i*period {
			return nil
		}
	}
	var out [][][]pick.Column
	for from := max(0, times[0]-period+1); from <= times[0]; from++ {
		if groups := t.groupsOf(from, period, len(times)); groups != nil {
			out = append(out, groups)
		}
	}
	return out
}

// groupsOf cuts n groups of columns from the table; nil when their titles are
// not the same but for what tells the groups apart.
func (t *table) groupsOf(from, period, n int) [][]pick.Column {
	if period < 2 || from+n*period > len(t.columns) {
		return nil
	}
	var out [][]pick.Column
	for g := range n {
		columns := t.columns[from+g*period : from+(g+1)*period]
		for i, c := range columns {
			_, base := label(c.Title)
			_, first := label(t.columns[from+i].Title)
			if base != first {
				return nil
			}
		}
		out = append(out, columns)
	}
	return out
}

// A title says which run it belongs to in front, "Run 1: Force (N)", "Run 1
// Force (N)", or by a number behind its name, "Force 1 (N)", "Force_1", or
// behind its unit, "Force (N) 1", "Force (N).1".
var (
	inFront  = regexp.MustCompile(`^([^:]{1,40}): *(.+)$`)
	runFront = regexp.MustCompile(`(?i)^((?:run|drop|test|trial|fall|sweep|lauf|versuch|messung|essai|prueba|ensayo|ensaio|prova)[ _#-]*[0-9a-z]{1,3})[ _.:-]+(.+)$`)
	behind   = regexp.MustCompile(`^(.*?[^0-9 _.#-])[ _.#-]*([0-9]{1,4})$`)
)

// label takes what tells groups apart from a title, and what is left of it.
func label(title string) (label, base string) {
	title = strings.Join(strings.Fields(title), " ")
	for _, front := range []*regexp.Regexp{inFront, runFront} {
		if m := front.FindStringSubmatch(title); m != nil {
			return m[1], strings.ToLower(m[2])
		}
	}
	if m := behind.FindStringSubmatch(title); m != nil {
		return m[2], strings.ToLower(m[1])
	}
	name, unit := pick.NameAndUnit(title)
	if m := behind.FindStringSubmatch(name); m != nil && unit != "" && unit != name {
		return m[2], strings.ToLower(m[1] + " (" + unit + ")")
	}
	if unit != "" && unit != name {
		return "", strings.ToLower(name + " (" + unit + ")")
	}
	return "", strings.ToLower(title)
}
