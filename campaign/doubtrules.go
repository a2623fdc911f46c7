package campaign

import (
	"math"

	"fallwright.example/num/quantity"
)

// The limits of what a rig may state. They keep slips out (a percentage typed as
// a number, an uncertainty in the wrong unit), and are ours: no source.
const (
	mostDoubt        = 0.2 // relative, of a stated uncertainty
	mostGravityDoubt = gravityHigh - gravityLow
	mostAngle        = 4 * math.Pi // rad: twice round
	mostFriction     = 1.0
	widestFlag       = 1.0 // m
)

// edge holds that an edge has both its friction and its angle, and neither is
// beyond what ropes over edges have.
func (c *checker) edge(r Rig) {
	at := func(field string) Place { return Place{Part: RigPart, Field: field} }
	c.within(at("edge_friction"), "friction of the edge", r.EdgeFriction, mostFriction)
	c.within(at("edge_friction_uncertainty"), "uncertainty of the edge's friction", r.EdgeFrictionUncertainty, mostFriction)
	if v := r.EdgeAngle; !(v >= 0 && v <= mostAngle) {
		c.refuse(at("edge_angle"), "the rope turns by %.4g degrees at the edge, outside 0 to 720", 180/math.Pi*v).
			Hint(`give the angle between the rope before the edge and after it, such as "90 deg"`)
	}
	switch {
	case r.EdgeFriction > 0 && r.EdgeAngle == 0:
		c.refuse(at("edge_friction"), "there is friction at an edge, and no angle that the rope turns by").
			Hint(`give edge_angle, such as "90 deg", or leave the friction out`)
	case r.EdgeAngle > 0 && r.EdgeFriction == 0:
		c.refuse(at("edge_angle"), "the rope turns at an edge, and its friction is not given").
			Hint("give edge_friction, or leave the angle out")
	case r.EdgeFrictionUncertainty > 0 && r.EdgeFriction == 0:
		c.refuse(at("edge_friction_uncertainty"), "there is an uncertainty, and no friction that it belongs to").
			Hint("give edge_friction and edge_angle, or leave the uncertainty out")
	}
}

// gate holds that a light gate can be passed.
func (c *checker) gate(r Rig) {
	at := func(field string) Place { return Place{Part: RigPart, Field: field} }
	if v := r.GateFlag; !(v >= 0 && v <= widestFlag) {
		c.refuse(at("gate_flag"), "the flag is %g m wide, outside 0 to %g m", v, widestFlag).
			Hint(`give the width that breaks the beam, such as "20 mm"`)
	}
	if r.GateFlag == 0 && (r.GateAbove != 0 || r.GateUncertainty != 0) {
		field := "gate_above"
		if r.GateAbove == 0 {
			field = "gate_uncertainty"
		}
		c.refuse(at(field), "there is a light gate, and the width of its flag is not given").
			Hint(`give gate_flag, such as "20 mm", or leave %s out`, field)
	}
	if s, known := c.plan.Setting(c.plan.Series.Setting); r.GateAbove < 0 || known && s.Drop > 0 && !(r.GateAbove < s.Drop) {
		c.refuse(at("gate_above"), "the gate is %g m above first contact, and the mass falls %g m before it", r.GateAbove, s.Drop).
			Hint("measure from the flag's middle in the beam to where it is when the rope goes tight")
	}
}

// mostGuide is more than any guide takes of a fall.
const mostGuide = 0.3

// rigDoubts holds what the rig says of its own accuracy.
func (c *checker) rigDoubts(r Rig) {
	at := func(field string) Place { return Place{Part: RigPart, Field: field} }
	for _, d := range []struct {
		field, of string
		v         float64
	}{{"cell_uncertainty", "cell", r.CellUncertainty}, {"gate_uncertainty", "light gate", r.GateUncertainty}, {"guide_uncertainty", "guide's share", r.GuideUncertainty}} {
		if !(d.v >= 0 && d.v <= mostDoubt) {
			c.refuse(at(d.field), "the uncertainty of the %s is %.4g %%, outside 0 to %g %%", d.of, 100*d.v, 100*mostDoubt).
				Hint(`give the standard uncertainty (k = 1), such as "0.5 %%"; a certificate with k = 2 states twice that`)
		}
	}
	if v := r.GuideShare; !(v >= 0 && v <= mostGuide) {
		c.refuse(at("guide_share"), "the guide takes %.4g %% of the drop's energy, outside 0 to %g %%", 100*v, 100*mostGuide).
			Hint(`give what it takes on the way down, such as "2 %%", or leave it out`)
	}
	if v := r.GravityUncertainty; !(v >= 0 && v <= mostGravityDoubt) {
		c.refuse(at("gravity_uncertainty"), "the uncertainty of gravity is %g m/s2, outside 0 to %.2g m/s2, which is all that gravity varies on the ground", v, mostGravityDoubt).
			Hint(`give the standard uncertainty (k = 1), such as "0.001 m/s2", or leave it out`)
	}
}

// settingDoubts holds what a setting says of its own accuracy.
func (c *checker) settingDoubts(at func(string) Place, s Setting) {
	for _, d := range []struct {
		field, of string
		v, whole  float64
		dim       quantity.Dimension
	}{
		{"mass_uncertainty", "mass", s.MassUncertainty, s.Mass, quantity.Mass},
		{"drop_uncertainty", "drop", s.DropUncertainty, s.Drop, quantity.Length},
		{"free_length_uncertainty", "free length", s.FreeLengthUncertainty, s.FreeLength, quantity.Length},
	} {
		if positive(d.whole) && !(d.v >= 0 && d.v <= mostDoubt*d.whole) {
			c.refuse(at(d.field), "the uncertainty of the %s is %s, outside 0 to %g %% of its %s",
				d.of, quantity.Format(d.v, d.dim), 100*mostDoubt, quantity.Format(d.whole, d.dim)).
				Hint("give the standard uncertainty (k = 1): how far off it is likely to be, in the unit of the %s", d.of)
		}
	}
}

// within holds a number from 0 to most.
func (c *checker) within(at Place, what string, v, most float64) {
	if !(v >= 0 && v <= most) {
		c.refuse(at, "the %s is %g, outside 0 to %g", what, v, most).Hint("give a number such as 0.2, or leave it out")
	}
}
