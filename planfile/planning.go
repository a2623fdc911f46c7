package planfile

import (
	"math"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/num/quantity"
)

// planning reads the parts that say how specimens are drawn, and when they are
// dropped.
func (r *reading) planning(root *node) {
	for _, n := range r.tables(root, "cutting") {
		f := r.open(n.part, n.node, 0)
		r.made.Cutting = campaign.Cutting{
			Each: f.known("each", quantity.Length), KnotTakes: f.known("knot_takes", quantity.Length), Knots: f.text("knots"),
			Loss: f.in("loss", quantity.Length), Spares: f.whole("spares"),
		}
	}
	for _, n := range r.tables(root, "order") {
		f := r.open(n.part, n.node, 0)
		within, _ := f.texts("within")
		o := campaign.Order{Seed: f.seed(), MaxRun: f.whole("max_run"), Blind: f.flag("blind")}
		for _, w := range within {
			o.Within = append(o.Within, campaign.Within(w))
		}
		r.made.Order = o
	}
	for _, n := range r.tables(root, "days") {
		r.made.Days = r.open(n.part, n.node, 0).days()
	}
	for _, n := range r.tables(root, "numbers") {
		r.made.Numbers = r.open(n.part, n.node, 0).numbers()
	}
	r.water(root)
	for i, n := range r.tables(root, "preparation") {
		f := r.open(n.part, n.node, i)
		conditions, _ := f.texts("conditions")
		r.made.Preparations = append(r.made.Preparations, campaign.Preparation{
			Do: campaign.PreparationKind(f.text("do")), Conditions: conditions, In: f.text("in"), Holds: f.whole("holds"),
			Time:   campaign.Rest{Set: f.duration("time"), Tolerance: f.duration("tolerance")},
			ToDrop: campaign.Rest{Set: f.duration("to_drop"), Tolerance: f.duration("to_drop_tolerance")},
		})
	}
}

// numbers reads what is supposed of the numbers.
func (f form) numbers() campaign.Numbers {
	n := campaign.Numbers{
		Power: f.known("power", quantity.Share), Margins: f.number("margins"), Levels: f.ofMeasures("levels"),
		Specimens: f.known("specimens", quantity.Share), Ropes: f.known("ropes", quantity.Share),
		Days: f.known("days", quantity.Share), Falls: f.known("falls", quantity.Share),
		Study: f.text("study"), Most: f.whole("most"), PerMetre: f.number("per_metre"), PerHour: f.number("per_hour"),
	}
	return n
}

// ofMeasures reads a table with an amount for each of some measures.
func (f form) ofMeasures(name string) map[campaign.Measure]float64 {
	n := f.take(name)
	if n == nil {
		return nil
	}
	if n.kind != isTable {
		f.wrong(n, name, "a table with an amount for each value")
		return nil
	}
	out := map[campaign.Measure]float64{}
	for _, e := range n.entries {
		at := f.field(name)
		at.Element = e.name
		f.mark(at, span{e.at.from, e.value.at.to})
		m := campaign.Measure(e.name)
		out[m] = 0
		d, known := dimensionOf[m]
		if !known {
			continue // which the plan refuses
		}
		v, err := quantity.Parse(e.value.text, d)
		if err != nil {
			f.refuse(e.value.at, "%s is no %s", shown(e.value), m).Hint(`write, such as: { "peak force" = "3.5 kN" }`)
			f.spoil(f.field(name))
			continue
		}
		out[m] = v
	}
	return out
}

func (f form) days() campaign.Days {
	d := campaign.Days{
		Towers: f.whole("towers"), People: f.whole("people"), Remount: f.flag("remount"), Checks: f.whole("checks"),
		Weigh: f.duration("weigh"), PutIn: f.duration("put_in"), Hang: f.duration("hang"), Settle: f.duration("settle"), Drop: f.duration("drop"), TakeDown: f.duration("take_down"),
	}
	d.Dates, _ = f.texts("dates")
	if n := f.take("hours"); n != nil {
		h := f.hours("hours", n)
		d.From, d.To = h.From, h.To
	}
	_, items := f.texts("breaks")
	for _, n := range items {
		d.Breaks = append(d.Breaks, f.hours("breaks", n))
	}
	return d
}

// hours reads "09:00 to 16:30".
func (f form) hours(name string, n *node) campaign.Hours {
	from, to, isRange := strings.Cut(n.text, " to ")
	first, err1 := timeOfDay(from)
	last, err2 := timeOfDay(to)
	if n.kind == isText && isRange && err1 == nil && err2 == nil {
		return campaign.Hours{From: first, To: last}
	}
	if n.kind != isRefused && !f.spoilt(f.field(name)) {
		f.refuse(n.at, "%s is no time of day to another", shown(n)).Hint(`write, such as: "09:00 to 16:30"`)
	}
	f.spoil(f.field(name))
	return campaign.Hours{}
}

func timeOfDay(text string) (time.Duration, error) {
	text = strings.TrimSpace(text)
	if text == "24:00" {
		return 24 * time.Hour, nil
	}
	t, err := time.Parse("15:04", text)
	return time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute, err
}

// stretches reads ["22.4 m to 22.9 m"].
func (f form) stretches(name string) []campaign.Stretch {
	var out []campaign.Stretch
	_, items := f.texts(name)
	for _, n := range items {
		from, to, isRange := strings.Cut(n.text, " to ")
		first, err1 := quantity.Parse(strings.TrimSpace(from), quantity.Length)
		last, err2 := quantity.Parse(strings.TrimSpace(to), quantity.Length)
		if !isRange || err1 != nil || err2 != nil {
			f.refuse(n.at, "%s is no part of a rope", shown(n)).Hint(`write from where to where, such as: "22.4 m to 22.9 m"`)
			f.spoil(f.field(name))
			return nil
		}
		out = append(out, campaign.Stretch{From: first, To: last})
	}
	return out
}

// seed reads a whole number from 0.
func (f form) seed() uint64 {
	v := f.whole("seed")
	if v < 0 {
		f.refuse(f.take("seed").at, "the seed is %s", strconv.Itoa(v)).Hint("write a whole number from 0, up to %d", math.MaxInt64)
		f.spoil(f.field("seed"))
		return 0
	}
	return uint64(v)
}
