package campaign

import (
	"math"
	"slices"
)

// Gravity on the ground lies between 9.764 m/s2 (Huascarán) and 9.834 m/s2 (the
// pole); from memory, so the rule is looser than that.
const gravityLow, gravityHigh = 9.7, 9.9

// ropes holds that lots can be told apart and that what is known of them is a
// length, a mass or a force at all.
func (c *checker) ropes() {
	c.ropeNames()
	for i, r := range c.plan.Ropes {
		at := func(field string) Place { return Place{Part: RopePart, Index: i, Field: field} }
		c.knownOrZero(at("diameter"), "diameter", r.Diameter, "m")
		c.knownOrZero(at("mass_per_length"), "mass per length", r.MassPerLength, "kg/m")
		c.knownOrZero(at("length"), "length", r.Length, "m")
		c.knownOrZero(at("first_fall_force"), "first-fall force", r.FirstFallForce, "N")
		c.unusable(at, r)
	}
}

// specimens holds that every specimen can be cut from its rope.
func (c *checker) specimens() {
	p := c.plan
	labels := make([]string, len(p.Specimens))
	for i, s := range p.Specimens {
		labels[i] = s.Label
	}
	c.named(SpecimenPart, "label", labels)
	for i, s := range p.Specimens {
		at := func(field string) Place { return Place{Part: SpecimenPart, Index: i, Field: field} }
		rope, known := p.RopeOf(s)
		switch {
		case known:
		case s.Rope != "":
			c.refuse(at("rope"), "there is no rope %q of lot %q", s.Rope, s.Lot).Hint("%s", oneOf("rope", p.ropeIDs()))
		case slices.Contains(p.lots(), s.Lot):
			c.refuse(at("lot"), "lot %q is several ropes, and it does not say which", s.Lot).Hint("add the rope: rope = %q", p.firstOf(s.Lot))
		default:
			c.refuse(at("lot"), "there is no rope of lot %q", s.Lot).Hint("%s", oneOf("rope", p.lots()))
		}
		if _, known := p.Condition(s.Condition); !known {
			c.refuse(at("condition"), "there is no condition %q", s.Condition).
				Hint("%s", oneOf("condition", p.conditionNames()))
		}
		c.position(at, s, rope)
	}
	c.overlaps()
}

// position holds that the piece lies within its rope.
func (c *checker) position(at func(string) Place, s Specimen, rope Rope) {
	switch {
	case !s.placed():
	case !(s.From >= 0) || math.IsInf(s.From, 1):
		c.refuse(at("from"), "it begins at %g m, before the rope does", s.From).
			Hint("measure positions from one end of the rope, which is 0 m")
	case !(s.To > s.From) || math.IsInf(s.To, 1):
		c.refuse(at("to"), "it would run from %g m to %g m", s.From, s.To).
			Hint("the end of a piece is further along the rope than its beginning")
	case rope.Length > 0 && s.To > rope.Length:
		c.refuse(at("to"), "it ends at %g m, and the rope %q is %g m long", s.To, s.RopeID(), rope.Length).
			Hint("move the piece, or correct the length of the rope")
	}
}

// placed reports whether the specimen's position was recorded.
func (s Specimen) placed() bool { return s.From != 0 || s.To != 0 }

// overlaps holds that no two pieces share rope.
func (c *checker) overlaps() {
	var order []int
	for i, s := range c.plan.Specimens {
		if s.placed() && s.To > s.From {
			order = append(order, i)
		}
	}
	sp := c.plan.Specimens
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case sp[a].RopeID() < sp[b].RopeID():
			return -1
		case sp[a].RopeID() > sp[b].RopeID():
			return 1
		case sp[a].From < sp[b].From:
			return -1
		case sp[a].From > sp[b].From:
			return 1
		}
		return 0
	})
	reach := 0 // the piece that reaches furthest so far
	for n := 1; n < len(order); n++ {
		a, b := sp[order[reach]], sp[order[n]]
		if a.RopeID() == b.RopeID() && b.From < a.To {
			c.refuse(Place{Part: SpecimenPart, Index: order[n], Field: "from"},
				"it begins at %g m of rope %q, inside specimen %s, which runs from %g m to %g m",
				b.From, b.RopeID(), a.Label, a.From, a.To).Hint("move one of the two")
		}
		if a.RopeID() != b.RopeID() || b.To > a.To {
			reach = n
		}
	}
}

func (c *checker) rig() {
	r := c.plan.Rig
	c.knownOrZero(Place{Part: RigPart, Field: "cell_range"}, "range of the cell", r.CellRange, "N")
	c.knownOrZero(Place{Part: RigPart, Field: "edge_radius"}, "edge radius", r.EdgeRadius, "m")
	if g := r.Gravity; g != 0 && !(g >= gravityLow && g <= gravityHigh) {
		c.refuse(Place{Part: RigPart, Field: "gravity"},
			"gravity of %g m/s2 is found nowhere on the ground, where it is between %g and %g", g, gravityLow, gravityHigh).
			Hint("leave it out for the standard value, 9.80665 m/s2")
	}
	c.edge(r)
	c.gate(r)
	c.rigDoubts(r)
}

func (c *checker) settings() {
	c.named(SettingPart, "name", c.plan.settingNames())
	for i, s := range c.plan.Settings {
		at := func(field string) Place { return Place{Part: SettingPart, Index: i, Field: field} }
		c.needed(at("mass"), "mass", s.Mass, "kg")
		c.needed(at("drop"), "drop", s.Drop, "m")
		c.needed(at("free_length"), "free length", s.FreeLength, "m")
		c.settingDoubts(at, s)
	}
}

func (c *checker) series() {
	at := func(field string) Place { return Place{Part: SeriesPart, Field: field} }
	s := c.plan.Series
	if s.Falls < 1 {
		c.refuse(at("falls"), "a series of %d falls answers nothing", s.Falls).Hint("give each specimen at least 1 fall")
	}
	if _, known := c.plan.Setting(s.Setting); !known {
		c.refuse(at("setting"), "there is no setting %q", s.Setting).Hint("%s", oneOf("setting", c.plan.settingNames()))
	}
	if s.Rest.Set < 0 {
		c.refuse(at("rest"), "the rest is %s, below zero", spell(s.Rest.Set)).Hint(`give a time, such as "3 min", or leave it out`)
	}
	switch {
	case s.Rest.Tolerance < 0:
		c.refuse(at("rest_tolerance"), "the tolerance of the rest is %s, below zero", spell(s.Rest.Tolerance)).
			Hint(`give a time, such as "15 s"`)
	case s.Rest.Set == 0 && s.Rest.Tolerance > 0:
		c.refuse(at("rest_tolerance"), "there is a tolerance, and no rest that it belongs to").
			Hint("give the rest, or leave the tolerance out")
	}
	c.overnight(at, s)
}

// Classes lists the filter classes that a plan may ask for; 0 is no filter.
func Classes() []int { return []int{0, 60, 180, 600, 1000} }

func (c *checker) reading() {
	if class := c.plan.Reading.Class; !slices.Contains(Classes(), class) {
		c.refuse(Place{Part: ReadingPart, Field: "filter"}, "there is no filter class CFC %d", class).
			Hint("the classes are CFC 60, 180, 600 and 1000 (ISO 6487), or none")
	}
}

// knownOrZero holds a value that may be left out.
func (c *checker) knownOrZero(at Place, what string, v float64, unit string) {
	if v != 0 && !positive(v) {
		c.refuse(at, "the %s is %g %s", what, v, unit).Hint("give a value above zero, or leave it out when it is not known")
	}
}

// needed holds a value that has to be there.
func (c *checker) needed(at Place, what string, v float64, unit string) {
	if !positive(v) {
		c.refuse(at, "the %s is %g %s", what, v, unit).Hint("give a value above zero")
	}
}

// RopeOf returns the rope that a specimen is cut from.
func (p *Plan) RopeOf(s Specimen) (Rope, bool) {
	for _, r := range p.Ropes {
		if r.Lot == s.Lot && r.Name == s.Rope {
			return r, true
		}
	}
	return Rope{}, false
}

func (p *Plan) ropeIDs() []string {
	ids := make([]string, len(p.Ropes))
	for i, r := range p.Ropes {
		ids[i] = r.ID()
	}
	return ids
}

// firstOf is the name of the first rope of a lot.
func (p *Plan) firstOf(lot string) string {
	for _, r := range p.Ropes {
		if r.Lot == lot {
			return r.Name
		}
	}
	return ""
}

func (p *Plan) lots() []string {
	lots := make([]string, len(p.Ropes))
	for i, r := range p.Ropes {
		lots[i] = r.Lot
	}
	return lots
}

func (p *Plan) settingNames() []string {
	names := make([]string, len(p.Settings))
	for i, s := range p.Settings {
		names[i] = s.Name
	}
	return names
}
