package planfile

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/num/quantity"
)

// form is one part of a file being read: a table with the keys it may have.
type form struct {
	*reading
	part  part
	node  *node
	place campaign.Place // of the part in the plan
}

// open begins to read a table as a part, refuses the keys it should not have
// and marks where it is.
func (r *reading) open(p part, n *node, index int) form {
	f := form{r, p, n, campaign.Place{Part: campaign.Part(p.name), Index: index}}
	if p.name == "cut" {
		f.place.Part = campaign.SpecimenPart
	}
	r.mark(f.place, n.at)
	for _, e := range n.entries {
		if _, known := p.key(e.name); known {
			continue
		}
		q := r.refuse(e.at, "%s has no key %q", p.header(), e.name)
		if name, ok := p.meant(e.name); ok {
			r.spoil(f.field(name))
			k, _ := p.key(name)
			q.Hint("write %s, such as: %s", name, k.line())
		} else {
			q.Hint("its keys are: %s", strings.Join(p.names(), ", "))
		}
	}
	return f
}

// field is the place of a key in the plan.
func (f form) field(key string) campaign.Place {
	at := f.place
	at.Field = key
	if f.part.name == "question" {
		switch key {
		case "with":
			at.Field = "baseline"
		case "with_falls":
			at.Field = "baseline_falls"
		}
	}
	return at
}

// take returns the value under a key, which it marks, or nil when there is
// none. A key that is needed and not there is refused.
func (f form) take(name string) *node {
	k, known := f.part.key(name)
	if !known {
		panic("planfile: " + f.part.name + "." + name + " is not in the table of keys")
	}
	e, there := f.node.get(name)
	if there {
		f.mark(f.field(name), e.value.at)
		return e.value
	}
	if k.need && !f.spoilt(f.field(name)) { // a misspelt one is refused already
		f.refuse(f.node.at, "%s has no %s", f.part.header(), name).Hint("add: %s", k.line())
		f.spoil(f.field(name))
	}
	return nil
}

// wrong refuses a value of the wrong kind.
func (f form) wrong(n *node, name, wanted string) {
	f.spoil(f.field(name))
	if n.kind != isRefused {
		k, _ := f.part.key(name)
		f.refuse(n.at, "%s is %s, and %s is %s", shown(n), n.kind, name, wanted).Hint("write, such as: %s", k.line())
	}
}

// shown is a value in a sentence.
func shown(n *node) string {
	if n.kind == isList || n.kind == isTable {
		return "this"
	}
	return shorten(visible(n.raw), 40)
}

// text reads words.
func (f form) text(name string) string {
	n := f.take(name)
	if n == nil {
		return ""
	}
	if n.kind != isText {
		f.wrong(n, name, "text in quotes")
		return ""
	}
	if k, _ := f.part.key(name); k.need && strings.TrimSpace(n.text) == "" {
		f.refuse(n.at, "%s is empty", name).Hint("write, such as: %s", k.line())
		f.spoil(f.field(name))
	}
	return n.text
}

// flag reads true or false.
func (f form) flag(name string) bool {
	n := f.take(name)
	if n == nil {
		return false
	}
	if n.kind != isFlag {
		f.wrong(n, name, "true or false, without quotes")
	}
	return n.raw == "true"
}

// whole reads a whole number.
func (f form) whole(name string) int {
	n := f.take(name)
	if n == nil {
		return 0
	}
	v, ok := n.whole()
	if !ok {
		f.wrong(n, name, "a whole number, without quotes")
	}
	return v
}

// number reads a number without a unit; 0 when it is not given.
func (f form) number(name string) float64 {
	n := f.take(name)
	if n == nil {
		return 0
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(n.raw, "_", ""), 64)
	if (n.kind != isWhole && n.kind != isNumber) || err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		f.wrong(n, name, "a number without a unit, without quotes")
		return 0
	}
	return v
}

// value reads a quantity in SI; 0 when it is not given.
func (f form) value(name string, among ...quantity.Dimension) (float64, quantity.Dimension) {
	n := f.take(name)
	if n == nil {
		return 0, 0
	}
	text := n.text
	switch n.kind {
	case isText:
	case isWhole, isNumber:
		text = n.raw
	default:
		f.wrong(n, name, "a quantity in quotes")
		return 0, 0
	}
	v, d, err := quantity.ParseOneOf(text, among...)
	var fault *quantity.Fault
	if errors.As(err, &fault) {
		f.refuse(n.at, "%s", fault.What).Hint("%s", fault.Hint)
		f.spoil(f.field(name))
	}
	return v, d
}

// in reads a quantity of one dimension.
func (f form) in(name string, d quantity.Dimension) float64 {
	v, _ := f.value(name, d)
	return v
}

// known reads a quantity that is left out when it is not known; a zero would
// say the same, and be taken for a value.
func (f form) known(name string, d quantity.Dimension) float64 {
	v := f.in(name, d)
	if e, there := f.node.get(name); there && v == 0 && !f.spoilt(f.field(name)) {
		f.refuse(e.value.at, "%s is zero", name).Hint("leave %s out when it is not known", name)
		f.spoil(f.field(name))
	}
	return v
}

// longest time that a plan may ask for; beyond it is a slip.
const longest = 366 * 24 * time.Hour

// duration reads a time.
func (f form) duration(name string) time.Duration {
	v := f.in(name, quantity.Time)
	if math.Abs(v) > longest.Seconds() {
		f.refuse(f.take(name).at, "%s is longer than a year", name).Hint(`give a time, such as "3 min"`)
		f.spoil(f.field(name))
		return 0
	}
	return time.Duration(math.Round(v * float64(time.Second)))
}

// texts reads a list of words, and marks each.
func (f form) texts(name string) (words []string, items []*node) {
	n := f.take(name)
	if n == nil {
		return nil, nil
	}
	if n.kind != isList {
		f.wrong(n, name, "a list of texts")
		return nil, nil
	}
	for i, item := range n.items {
		if item.kind != isText {
			f.wrong(item, name, "a list of texts")
			continue
		}
		at := f.field(name)
		at.Element = strconv.Itoa(i)
		f.mark(at, item.at)
		words, items = append(words, item.text), append(items, item)
	}
	return words, items
}
