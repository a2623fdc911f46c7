package campaign

import "fallwright.example/trace"

// ReadingSettings is what the plan and the drop know beside the drop's trace:
// the plan's filter and pull, the rig with its edge and light gate, the drop's
// own gate time, the setting's mass, drop and length, and the standard
// uncertainties that the plan states. A setting that the plan lacks leaves mass,
// drop and length unknown.
func (p *Plan) ReadingSettings(d Drop) trace.Settings {
	r := p.Rig
	set := trace.Settings{
		Class: p.Reading.Class, Gravity: r.Gravity, Guide: r.GuideShare, Pull: p.Reading.Ask.Pull,
		Edge: trace.Edge{Friction: r.EdgeFriction, Angle: r.EdgeAngle},
		Gate: trace.Gate{Flag: r.GateFlag, Time: d.GateTime, Above: r.GateAbove},
		Doubt: trace.Doubt{
			Cell: r.CellUncertainty, Gravity: r.GravityUncertainty,
			Friction: r.EdgeFrictionUncertainty, Gate: r.GateUncertainty, Guide: r.GuideUncertainty,
		},
	}
	if s, known := p.Setting(d.Setting); known {
		set.Mass, set.Drop, set.Length = s.Mass, s.Drop, s.FreeLength
		set.Doubt.Mass, set.Doubt.Drop, set.Doubt.Length = s.MassUncertainty, s.DropUncertainty, s.FreeLengthUncertainty
	}
	return set
}
