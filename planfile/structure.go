package planfile

import (
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// found is one table of the file that is a part.
type found struct {
	part part
	node *node
}

// wholePart is the place that is spoilt when a part cannot be read at all.
func wholePart(name string) campaign.Place {
	return campaign.Place{Part: campaign.Part(name), Index: -1, Field: "*"}
}

// tables returns the tables of a part, in the order of the file, and refuses
// the part when it is not there or not written as it must be.
func (r *reading) tables(root *node, name string) []found {
	p, _ := partNamed(name)
	e, there := root.get(name)
	if !there {
		if p.need && !r.spoilts[wholePart(name)] {
			r.lacks(len(r.data), "the file has no part %s", p.header()).Hint("add %s with its keys: %s", p.header(), p.sketch())
			r.spoilts[wholePart(name)] = true
		}
		return nil
	}
	n := e.value
	switch {
	case n.kind == isTable && p.many:
		r.refuse(n.at, "[%s] can come several times", name).Hint("write %s", p.header())
		return []found{{p, n}}
	case n.kind == isTable:
		return []found{{p, n}}
	case n.kind == isList && n.tablesOnly() && !p.many:
		r.refuse(n.items[len(n.items)-1].at, "%s comes once", p.header()).Hint("write %s, once", p.header())
		return []found{{p, n.items[0]}}
	case n.kind == isList && n.tablesOnly():
		var out []found
		for _, item := range n.items {
			out = append(out, found{p, item})
		}
		return out
	}
	r.refuse(e.at, "%s is a part of the file with keys of its own", name).
		Hint("write %s on a line by itself, and its keys below", p.header())
	r.spoilts[wholePart(name)] = true
	return nil
}

// tablesOnly reports whether a list holds tables and nothing else.
func (n *node) tablesOnly() bool {
	for _, item := range n.items {
		if item.kind != isTable {
			return false
		}
	}
	return len(n.items) > 0
}

// sketch is the part's needed keys as they may stand in a file.
func (p part) sketch() string {
	var lines []string
	for _, k := range p.keys {
		if k.need {
			lines = append(lines, k.line())
		}
	}
	return strings.Join(lines, "; ")
}

// strangers refuses what stands in the file and is no part of it.
func (r *reading) strangers(root *node) {
	var names []string
	for _, p := range parts {
		names = append(names, p.name)
	}
	for _, e := range root.entries {
		if _, known := partNamed(e.name); known || e.name == formatKey {
			continue
		}
		if !e.value.headed && e.value.kind != isTable {
			r.loose(e)
			continue
		}
		q := r.refuse(e.value.at, "there is no part %q", e.name)
		if name, ok := problem.Nearest(e.name, names); ok {
			p, _ := partNamed(name)
			q.Hint("write %s", p.header())
			r.spoilts[wholePart(name)] = true
		} else {
			q.Hint("the parts are: %s", strings.Join(names, ", "))
		}
	}
}

// loose refuses a key above all parts.
func (r *reading) loose(e entry) {
	q := r.refuse(e.at, "%q stands above all parts of the file", e.name)
	if name, ok := problem.Nearest(e.name, []string{formatKey}); ok {
		q.Hint("write: %s = %d", name, Format)
		return
	}
	for _, p := range parts {
		if k, ok := p.key(e.name); ok {
			q.Hint("put it below the line %s", p.header())
			r.spoil(campaign.Place{Part: campaign.Part(p.name), Field: k.name})
			return
		}
	}
	q.Hint("put it below the line of the part it belongs to, such as [study]")
}
