package delimited

import (
	"regexp"
	"strings"

	"fallwright.example/traceio/pick"
)

// runTitle is the part of a title that says which drop a column holds: "Drop 1",
// "Run B" in "Run B: Force (N)". A number alone says no such thing: "Force 1" and
// "Force 2" may be two sensors. The words are common usage, no source.
var runTitle = regexp.MustCompile(`(?i)(?:^|[^\pL])((?:drop|run|test|trial|fall|sweep|specimen|lauf|versuch|sturz|essai|chute|prueba|ensayo|ca[ií]da|ensaio|queda|prova|caduta)` +
	`(?:[ _]?(?:no|nr)\.?)?[ _#-]*(?:[0-9]{1,4}|[A-Za-z]))(?:[^\pL\pN]|$)`)

// underOneTime makes a group of each of several columns that have the same title
// but for the drop that it names, and share one time; nil where there are none.
func (s source) underOneTime(t *table, at pick.Source) []group {
	if t.header == 0 || s.ask.Force != "" || len(pick.Times(t.columns)) > 1 {
		return nil
	}
	var drops, rest []pick.Column
	var out []group
	base, seen := "", map[string]bool{}
	for _, c := range t.columns {
		m := runTitle.FindStringSubmatchIndex(c.Title)
		if m == nil {
			rest = append(rest, c)
			continue
		}
		name, other := c.Title[m[2]:m[3]], strings.ToLower(c.Title[:m[2]]+c.Title[m[3]:])
		if len(drops) == 0 {
			base = other
		}
		if key := strings.ToLower(name); other != base || seen[key] {
			return nil
		}
		seen[strings.ToLower(name)] = true
		drops, out = append(drops, c), append(out, group{name: name})
	}
	if len(drops) < 2 {
		return nil
	}
	for i, c := range drops {
		choice, err := pick.Choose(at, append(rest[:len(rest):len(rest)], c), s.ask)
		if err != nil || choice.Force.No != c.No {
			return nil
		}
		out[i].choice = choice
	}
	return out
}
