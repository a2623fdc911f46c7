package planfile

import (
	"cmp"
	"math"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/num/quantity"
)

// specimens reads [[specimen]] and [[cut]] in the order of the file.
func (r *reading) specimens(root *node) {
	all := append(r.tables(root, "specimen"), r.tables(root, "cut")...)
	drawn := slices.ContainsFunc(r.made.Conditions, func(c campaign.Condition) bool { return c.Specimens != 0 })
	if len(all) == 0 && !drawn && !r.spoilts[wholePart("specimen")] {
		r.lacks(len(r.data), "the file has no specimen").Hint("add a part [[specimen]] for each piece, or [[cut]] for several")
	}
	if len(all) > 0 && drawn {
		r.refuse(all[0].node.at, "specimens are listed here, and conditions have specimens to be drawn").
			Hint("list all of them, or take specimens out of the conditions").Hint("to keep a draw as it is, list what was drawn")
		r.spoilts[wholePart("specimen")], r.spoilts[wholePart("cutting")] = true, true
	}
	slices.SortStableFunc(all, func(a, b found) int { return cmp.Compare(a.node.at.from, b.node.at.from) })
	for _, n := range all {
		f := r.open(n.part, n.node, len(r.made.Specimens))
		if n.part.name == "cut" {
			r.cut(f)
			continue
		}
		f.both("from", "to")
		r.made.Specimens = append(r.made.Specimens, campaign.Specimen{
			Label: f.text("label"), Lot: f.text("lot"), Rope: f.text("rope"), Condition: f.text("condition"),
			From: f.in("from", quantity.Length), To: f.in("to", quantity.Length), Knots: f.text("knots"),
			Spare: f.flag("spare"), Place: f.whole("place"), Day: f.whole("day"),
		})
	}
}

// cut reads pieces cut one after another from one rope.
func (r *reading) cut(f form) {
	lot, rope, knots := f.text("lot"), f.text("rope"), f.text("knots")
	labels, items := f.texts("labels")
	conditions := f.conditions(len(labels))
	from, each := f.in("from", quantity.Length), f.each()
	f.both("from", "each")
	for i, label := range labels {
		s := campaign.Specimen{Label: label, Lot: lot, Rope: rope, Knots: knots}
		if conditions != nil {
			s.Condition = conditions[i].text
			f.mark(f.field("condition"), conditions[i].at)
		} else {
			f.spoil(f.field("condition"))
		}
		if each > 0 {
			s.From, s.To = mark(from, each, i), mark(from, each, i+1)
		}
		f.mark(campaign.Place{Part: f.place.Part, Index: f.place.Index}, items[i].at)
		f.mark(f.field("label"), items[i].at)
		for field, key := range map[string]string{"lot": "lot", "from": "from", "to": "each"} {
			if e, there := f.node.get(key); there {
				f.mark(f.field(field), e.value.at)
			}
		}
		r.made.Specimens = append(r.made.Specimens, s)
		f.place.Index++
	}
}

// each reads the length of each piece of a cut.
func (f form) each() float64 {
	v := f.in("each", quantity.Length)
	if e, there := f.node.get("each"); there && v <= 0 && !f.spoilt(f.field("each")) {
		f.refuse(e.value.at, "each piece is %g m long", v).Hint(`give a length above zero, such as "3.40 m"`)
		f.spoil(f.field("each"))
	}
	return v
}

// conditions reads one condition for all pieces or one for each; nil when they
// do not fit the labels.
func (f form) conditions(labels int) []*node {
	n := f.take("conditions")
	switch {
	case n == nil:
		return nil
	case n.kind == isText:
		return slices.Repeat([]*node{n}, labels)
	}
	words, items := f.texts("conditions")
	switch {
	case f.spoilt(f.field("conditions")) || f.spoilt(f.field("labels")):
		return nil
	case len(words) != labels:
		f.refuse(n.at, "there are %d conditions for %d labels", len(words), labels).
			Hint("give one condition for each label, in the same order, or one text for all")
		f.spoil(f.field("conditions"))
		return nil
	}
	return items
}

// both holds that two keys that say a position together are both given, or
// neither.
func (f form) both(a, b string) {
	x, hasA := f.node.get(a)
	y, hasB := f.node.get(b)
	refuse := func(e entry, missing string) {
		if f.spoilt(f.field(missing)) { // a misspelt one is refused already
			return
		}
		k, _ := f.part.key(missing)
		f.refuse(e.at, "there is %s and no %s", e.name, missing).Hint("add: %s", k.line())
		f.spoil(f.field(a))
		f.spoil(f.field(b))
	}
	switch {
	case hasA && !hasB:
		refuse(x, b)
	case hasB && !hasA:
		refuse(y, a)
	}
}

// mark is the position of the i-th mark on the rope, to a tenth of a
// millimetre: nobody cuts finer, and sums of lengths stay plain numbers.
func mark(from, each float64, i int) float64 {
	return math.Round((from+float64(i)*each)*1e4) / 1e4
}
