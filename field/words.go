package field

import (
	"fmt"
	"math"
)

// Caution is what every answer about a catch is given with.
const Caution = "A comparison by a model, not a statement that any rope or fall is safe. " +
	"It knows a point for a climber, one wall and no mistakes. " +
	"Follow the makers' instructions, local rules and qualified advice."

// Row is one value of an answer as people read it.
type Row struct {
	Key      string // for JSON: "climber_peak_N"
	Name     string
	Unit     string  // as shown
	Scale    float64 // from SI to the unit shown
	Decimals int
	Interval
}

// Rows are the values of an answer. Slip and lift are left out where nothing
// can slip or lift, the wall and the floor where there are none.
func (b *Bands) Rows(c Catch) []Row {
	rows := []Row{
		{"climber_peak_N", "peak on the climber", "kN", 1e-3, 2, b.Climber},
		{"belayer_peak_N", "peak on the belayer", "kN", 1e-3, 2, b.Belayer},
		{"top_runner_peak_N", "peak on the top runner", "kN", 1e-3, 2, b.Top},
		{"stretch_m", "stretch of the rope", "m", 1, 2, b.Stretch},
		{"lowest_below_runner_m", "lowest point, below the top runner", "m", 1, 2, b.Below},
	}
	add := func(when bool, r Row) {
		if when {
			rows = append(rows, r)
		}
	}
	add(!math.IsInf(c.Floor, 1), Row{"clearance_m", "clearance to the ground or ledge", "m", 1, 2, b.Clearance})
	add(!c.Wall.None, Row{"wall_normal_speed_mps", "speed into the wall, straight", "m/s", 1, 2, b.WallNormal})
	add(!c.Wall.None, Row{"wall_speed_mps", "speed at the wall, in all", "m/s", 1, 2, b.WallSpeed})
	add(true, Row{"rebound_speed_mps", "rebound, speed upward", "m/s", 1, 2, b.ReboundSpeed})
	add(true, Row{"rebound_height_m", "rebound, height", "m", 1, 2, b.ReboundHeight})
	add(c.Belayer.Slip > 0, Row{"slipped_m", "rope run through the device", "m", 1, 2, b.Slipped})
	add(!c.Belayer.Fixed, Row{"lift_m", "belayer drawn along the rope", "m", 1, 2, b.Lift})
	return rows
}

// Shown are the value and the limits in the row's unit.
func (r Row) Shown() (value, low, high float64) {
	return r.Value * r.Scale, r.Low * r.Scale, r.High * r.Scale
}

// Sentences say what happens, in order, in plain words.
func (b *Bands) Sentences(c Catch) []string {
	o := b.Outcome
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	if o.Hit != nil {
		if math.IsNaN(o.CatchSpeed) {
			say("The climber hits the ground or ledge at %.1f m/s before the rope holds at all.", o.Hit.Speed)
		} else {
			say("The climber hits the ground or ledge at %.1f m/s, after %.1f s. Forces and stretch are those up to then.", o.Hit.Speed, o.Hit.At)
		}
		return out
	}
	say("The rope holds after %.1f m, at %.1f m/s, and the climber comes to a stop %.1f m below the start.", o.FreeFall, o.CatchSpeed, o.Lowest.Fall)
	say("It pulls the climber with %.1f kN at most; the top runner holds %.1f kN, the belayer %.1f kN.", o.Climber.Force/1000, o.Top.Force/1000, o.Belayer.Force/1000)
	if !math.IsInf(c.Floor, 1) {
		say("At the lowest point %.1f m are left to the ground or ledge.", o.Clearance)
	}
	b.wall(c, say)
	switch {
	case c.Belayer.Fixed:
	case o.Lift < 0.005:
		say("The belayer stays on the ground.")
	default:
		say("The belayer is drawn %.1f m along the rope.", o.Lift)
	}
	if c.Belayer.Slip > 0 && o.Slipped > 0.005 {
		say("%.2f m of rope run through the device.", o.Slipped)
	}
	say("The rope throws the climber back %s m, at up to %.1f m/s.", height(o.Rebound.Height), o.Rebound.Speed)
	return out
}

// height writes metres to a decimal, small ones to the centimetre.
func height(v float64) string {
	if v < 0.1 {
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

func (b *Bands) wall(c Catch, say func(string, ...any)) {
	w := b.Outcome.Wall
	switch {
	case c.Wall.None:
	case w == nil:
		say("The climber does not meet the wall on the way down and back.")
	default:
		after, when, below, side := w.At-b.Outcome.CatchAt, "after the rope held", -w.Place[2], "below"
		if after < 0 {
			after, when = -after, "before the rope held"
		}
		if below < 0 {
			below, side = -below, "above"
		}
		say("The climber meets the wall %.1f s %s, %.1f m %s the top runner, at %.1f m/s straight in and %.1f m/s in all.",
			after, when, below, side, w.Normal, w.Speed)
	}
	if b.WallMet > 0 && b.WallMet < b.Runs {
		say("Within the doubt about the rope the wall is met in %d of %d computed falls.", b.WallMet, b.Runs)
	}
	if b.FloorHit > 0 && b.Outcome.Hit == nil {
		say("Within the doubt about the rope the ground or ledge is hit in %d of %d computed falls.", b.FloorHit, b.Runs)
	}
}

// Against says what changes from one answer to another, for the values that
// people ask for first.
func (b *Bands) Against(other *Bands, name, otherName string) []string {
	var out []string
	hit := func(b *Bands, name string) {
		if b.Outcome.Hit != nil {
			out = append(out, fmt.Sprintf("With %s the climber hits the ground or ledge, at %.1f m/s.", name, b.Outcome.Hit.Speed))
		}
	}
	hit(b, name)
	hit(other, otherName)
	if len(out) > 0 {
		return out // a fall cut short has no peak or place to compare
	}
	compare := func(what string, a, z Interval, unit string, scale float64) {
		d := (z.Value - a.Value) * scale
		if math.IsNaN(d) || math.IsInf(d, 0) {
			return
		}
		apart := "the intervals overlap"
		switch {
		case b.Runs == 1 || other.Runs == 1:
			apart = "no intervals"
		case a.Low > z.High || a.High < z.Low:
			apart = "the intervals do not overlap"
		}
		out = append(out, fmt.Sprintf("%s: %.2f %s with %s, %.2f %s with %s: %+.2f %s; %s.",
			what, a.Value*scale, unit, name, z.Value*scale, unit, otherName, d, unit, apart))
	}
	if b.WallMet > 0 || other.WallMet > 0 {
		compare("Speed into the wall", b.WallNormal, other.WallNormal, "m/s", 1)
	}
	compare("Peak on the climber", b.Climber, other.Climber, "kN", 1e-3)
	compare("Rebound", b.ReboundHeight, other.ReboundHeight, "m", 1)
	compare("Lowest point below the top runner", b.Below, other.Below, "m", 1)
	return out
}
