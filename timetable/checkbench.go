package timetable

import (
	"fmt"
	"slices"
)

// people sees that nobody does two things at once, what they cannot do, or
// anything while away.
func (c *checker) people() {
	for _, p := range c.a.People {
		var mine []*Op
		for i := range c.t.Ops {
			o := &c.t.Ops[i]
			if !slices.Contains(o.People, p.Name) || o.Done {
				continue
			}
			mine = append(mine, o)
			if len(p.Does) > 0 && !slices.Contains(p.Does, o.Kind) {
				c.fault("duty", o, "%s does not %s", p.Name, o.Kind)
			}
			for _, s := range p.Away {
				if o.Start.Before(s.To) && o.End.After(s.From) {
					c.fault("away", o, "%s is away", p.Name)
				}
			}
		}
		for i, o := range mine {
			for _, q := range mine[:i] {
				if o.Start.Before(q.End) && q.Start.Before(o.End) {
					c.fault("people", o, "%s is busy with %s", p.Name, q.Job)
				}
			}
		}
	}
	for i := range c.t.Ops {
		o := &c.t.Ops[i]
		for k, name := range o.People {
			if slices.Contains(o.People[:k], name) || !slices.ContainsFunc(c.a.People, func(p Person) bool { return p.Name == name }) && !o.Done {
				c.fault("people", o, "%q is named twice or not known", name)
			}
		}
	}
}

// visits pairs coming and going by tower or place, as this file sees them.
func (c *checker) visits(tower bool) map[string][][2]*Op {
	out := map[string][][2]*Op{}
	open := map[string]*Op{}
	for i := range c.t.Ops {
		o := &c.t.Ops[i]
		where := o.Place
		if tower {
			where = o.Tower
		}
		if where == "" {
			continue
		}
		who := string(o.Turn) + "/" + o.Job
		if o.Turn != "" {
			who += fmt.Sprint(c.day(o.Start), o.Tower)
		}
		switch o.Kind {
		case Hang, PutBack, PutIn:
			open[who] = o
		case TakeDown, TakeOff, TakeOut:
			if from := open[who]; from != nil {
				out[where] = append(out[where], [2]*Op{from, o})
			} else {
				c.fault("sequence", o, "to %s without having come", o.Kind)
			}
			delete(open, who)
		}
	}
	for _, o := range open {
		c.fault("sequence", o, "it is never taken from where it was put")
	}
	return out
}

// towers sees that a tower holds one specimen at a time and none overnight.
func (c *checker) towers() {
	for tower, visits := range c.visits(true) {
		if !slices.ContainsFunc(c.a.Towers, func(t Tower) bool { return t.Name == tower }) {
			c.fault("tower", visits[0][0], "there is no tower %q", tower)
		}
		for i, v := range visits {
			if c.day(v[0].Start) != c.day(v[1].Start) {
				c.fault("tower", v[0], "it hangs overnight")
			}
			for _, w := range visits[:i] {
				if v[0].Start.Before(w[1].End) && w[0].Start.Before(v[1].End) && !(v[1].Done && w[1].Done) {
					c.fault("tower", v[0], "%s hangs on %s", w[0].Job, tower)
				}
			}
		}
	}
}

// places sees that no bath or rack holds more than it can, and no slot two.
func (c *checker) places() {
	for place, visits := range c.visits(false) {
		i := slices.IndexFunc(c.a.Places, func(p Place) bool { return p.Name == place })
		if i < 0 {
			c.fault("place", visits[0][0], "there is no place %q", place)
			continue
		}
		for _, v := range visits {
			n := 0
			for _, w := range visits {
				if at := v[0].Start; !w[0].Start.After(at) && w[1].End.After(at) {
					n++
					if w != v && w[0].Slot == v[0].Slot && !v[0].Done {
						c.fault("place", v[0], "%s is in slot %d of %s", w[0].Job, v[0].Slot, place)
					}
				}
			}
			if holds := c.a.Places[i].Holds; (n > holds || v[0].Slot > holds) && !v[0].Done {
				c.fault("place", v[0], "%d in %s, which holds %d", n, place, holds)
			}
		}
	}
}

// order sees that the first falls of each day come in the order that was drawn.
func (c *checker) order() {
	if c.a.FreeOrder {
		return
	}
	last := map[int]*Op{}
	for _, j := range c.a.Jobs {
		if j.Follows != "" {
			continue
		}
		for i := range c.t.Ops {
			o := &c.t.Ops[i]
			if o.Job != j.Name || o.Turn != "" || o.Kind != Drop || o.Fall != 1 {
				continue
			}
			d := c.day(o.Start)
			if l := last[d]; l != nil && o.End.Before(l.End) && !o.Done {
				c.fault("order", o, "it falls before %s", l.Job)
			}
			if last[d] == nil || o.End.After(last[d].End) {
				last[d] = o
			}
		}
	}
}

// references sees that the first and the last series on each tower of each day
// are the check drops.
func (c *checker) references() {
	type turn struct {
		day   int
		tower string
		turn  Turn
	}
	ops := map[turn][]*Op{}
	for i := range c.t.Ops {
		o := &c.t.Ops[i]
		if o.Tower != "" {
			k := turn{c.day(o.Start), o.Tower, o.Turn}
			ops[k] = append(ops[k], o)
		}
	}
	r := c.a.Reference
	for k, own := range ops {
		if k.turn != "" {
			if r == nil {
				c.fault("reference", own[0], "none was asked for")
			} else {
				c.series(r.Specimen, own, 0, r.Falls, r.Settle, r.Rest)
			}
			continue
		}
		if r == nil || own[len(own)-1].Done {
			continue
		}
		if opens := ops[turn{k.day, k.tower, Opening}]; r.Opens && !own[0].Done && (len(opens) == 0 || opens[len(opens)-1].End.After(own[0].Start)) {
			c.fault("reference", own[0], "no check drop comes before it")
		}
		if closes := ops[turn{k.day, k.tower, Closing}]; r.Closes && (len(closes) == 0 || closes[0].Start.Before(own[len(own)-1].End)) {
			c.fault("reference", own[len(own)-1], "no check drop comes after it")
		}
	}
}
