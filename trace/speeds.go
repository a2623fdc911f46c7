package trace

import (
	"fmt"
	"math"
)

// start is what the motion begins with: a speed and where it is from.
type start struct {
	speed float64 // m/s downward at first contact; NaN when not known
	from  string  // "light gate", "drop", "trace"
	own   float64 // from the trace: the rope goes tight again where it first did
	other float64 // from the trace: the mass rises for half of the flight
}

// speedApart is how far a speed may lie outside what the trace shows under its
// two assumptions before it is remarked.
const speedApart = 0.02

// readSpeeds fills the three ways to the speed at first contact and picks the
// one that the motion starts from: the light gate measures it, a drop gives it
// but for the guide's friction, the trace shows it with the assumption named at
// speedFromTrace.
func (t *take) readSpeeds() {
	t.speed = start{speed: math.NaN(), own: math.NaN(), other: math.NaN()}
	if t.set.Drop > 0 {
		t.r.GeometrySpeed = Value(freeFall(t.set.Drop, t.gravity))
	}
	t.readGate()
	if len(t.r.Contacts) == 0 || t.r.Contacts[0].Begun {
		return
	}
	if t.set.Mass == 0 {
		t.note(Said, "no mass was given: stretch, energy and speeds need it")
		return
	}
	if t.bent() {
		t.note(Said, "behind an edge the cell reads less while the rope runs out and more while it runs back: impulse, impact speed, energy absorbed, rebound and hang weight cannot be had")
	} else {
		t.speed.own, t.speed.other = t.ownSpeed()
	}
	switch {
	case t.r.GateSpeed.Known() && (t.set.Drop == 0 || t.gateDoubt < gateSure):
		t.speed.speed, t.speed.from = float64(t.r.GateSpeed), "light gate"
		t.note(Said, "stretch and energy start from the light gate's %.4g m/s", t.speed.speed)
	case t.set.Drop > 0:
		t.speed.speed, t.speed.from = float64(t.r.GeometrySpeed)*math.Sqrt(1-t.set.Guide), "drop"
		less := ""
		if t.set.Guide > 0 {
			less = fmt.Sprintf(" less the %.3g %% of its energy that the guide takes", 100*t.set.Guide)
		}
		t.note(Said, "stretch and energy start from %.4g m/s, a free fall of %.4g m%s", t.speed.speed, t.set.Drop, less)
	case !math.IsNaN(t.speed.own):
		t.speed.speed, t.speed.from = t.speed.own, "trace"
		t.note(Said, "stretch and energy start from the trace's own impact speed, %.4g m/s", t.speed.own)
	default:
		t.note(Said, "neither drop nor impact speed is known: stretch, energy and rebound speed cannot be had")
	}
	t.compareSpeeds()
}

// bent reports whether the rope runs over an edge before the cell.
func (t *take) bent() bool { return t.set.Edge.Friction*t.set.Edge.Angle > 0 }

// compareSpeeds fills the guide's friction, 1 − v²/(2·g·h), from the light gate
// or else from the trace, and remarks on speeds that do not agree.
func (t *take) compareSpeeds() {
	if h := t.r.GeometrySpeed; h.Known() {
		v := t.r.GateSpeed
		if !v.Known() {
			v = t.r.ImpactSpeed
		}
		if v.Known() {
			t.r.GuideFriction = 1 - v*v/(h*h)
		}
	}
	if t.speed.from == "trace" || math.IsNaN(t.speed.own) {
		return
	}
	if g, h := t.r.GateSpeed, t.r.GeometrySpeed; g.Known() && h.Known() && float64(g) > float64(h)*(1+speedApart+2*t.gateDoubt) {
		t.note(Doubtful, "the light gate shows %.4g m/s, more than the %.4g m/s of a free fall: look at the flag's width, the gate's time and the drop", float64(g), float64(h))
	}
	lowest, highest := min(t.speed.own, t.speed.other), max(t.speed.own, t.speed.other)
	if v := t.speed.speed; v < (1-speedApart)*lowest || v > (1+speedApart)*highest {
		t.note(Doubtful, "the trace itself shows %.4g m/s at contact, %s %.4g m/s: look at the guide's friction, mass, drop, unit and the cell's gain",
			t.speed.own, map[string]string{"drop": "a free fall", "light gate": "the light gate"}[t.speed.from], v)
	}
}

// ownSpeed is the impact speed from the trace under either assumption, NaN when
// it cannot be had.
func (t *take) ownSpeed() (speed, symmetric float64) {
	c := t.r.Contacts
	if c[0].Open || len(c) < 2 {
		t.note(Said, "the trace shows no second contact: impact speed cannot be had from it")
		return math.NaN(), math.NaN()
	}
	speed, symmetric = speedFromTrace(t.rec.Time, t.raw, c[0], c[1], t.set.Mass, t.gravity)
	if !(speed > 0) {
		t.note(Doubtful, "the trace gives no downward speed at contact (%.3g m/s): mass or unit do not fit it, or the mass did not fly between contacts", speed)
		return math.NaN(), math.NaN()
	}
	t.r.ImpactSpeed = Value(speed)
	if math.Abs(symmetric-speed) > 0.01*speed {
		t.note(Said, "impact speed is %.4g m/s if the rope goes tight again where it first did, %.4g m/s if where it went slack", speed, symmetric)
	}
	return speed, symmetric
}

// A light gate's channel wants gateFewest samples with the beam broken, and its
// speed starts the motion before the drop's where it is as sure as gateSure.
const (
	gateFewest = 5
	gateSure   = 0.005
)

// readGate fills the speed at first contact from the light gate. The flag's
// width over the time T that the beam was broken is its speed at half of T, when
// its middle has g·T²/8 to go to the beam; free fall over what is left of the
// way then adds v² = u² + 2·g·way.
func (t *take) readGate() {
	g := t.set.Gate
	if g.Flag == 0 {
		return
	}
	if g.Time == 0 && t.rec.Gate != nil {
		g.Time = broken(t.rec.Time, t.rec.Gate)
		if fewest := gateFewest * t.pace.usual; g.Time > 0 && g.Time < fewest {
			t.note(Doubtful, "the light gate's beam was broken for %.3g ms, less than %d samples: no speed can be had from it, record the gate faster or give its time with --gate-time", 1e3*g.Time, gateFewest)
			return
		}
		// Two edges, each anywhere within its interval.
		t.gateDoubt = t.pace.usual / math.Sqrt(6) / g.Time
	}
	t.gateDoubt = math.Hypot(t.gateDoubt, t.set.Doubt.Gate)
	if !(g.Time > 0) {
		grade := Said
		if t.rec.Gate != nil {
			grade = Doubtful
		}
		t.note(grade, "the light gate shows no time that its beam was broken: no speed can be had from it")
		return
	}
	u := g.Flag / g.Time
	way := g.Above + t.gravity*g.Time*g.Time/8
	t.r.GateSpeed = Value(math.Sqrt(u*u + 2*t.gravity*way))
	t.step("light gate", "flag width over the time that the beam was broken, carried on to first contact by free fall",
		Param{"flag", g.Flag, "m"}, Param{"time", g.Time, "s"}, Param{"above", g.Above, "m"})
}

// broken is how long a light gate's level stood on the other side of the middle
// of its range from where it began, to a part of an interval; 0 when never. An
// edge counts once the level has gone on past three tenths to the other side.
func broken(time, level []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range level {
		low, high = min(low, v), max(high, v)
	}
	middle, near, far := (low+high)/2, low+0.3*(high-low), low+0.7*(high-low)
	began := level[0] > middle
	cross, from, other := 0.0, 0.0, false
	for i := 1; i < len(level); i++ {
		if (level[i-1] < middle) != (level[i] < middle) {
			cross = time[i-1] + (time[i]-time[i-1])*(middle-level[i-1])/(level[i]-level[i-1])
		}
		switch {
		case !other && (began && level[i] < near || !began && level[i] > far):
			other, from = true, cross
		case other && (began && level[i] > far || !began && level[i] < near):
			return cross - from
		}
	}
	return 0
}

// freeFall is the speed after falling free from rest, √(2·g·h).
func freeFall(drop, gravity float64) float64 { return math.Sqrt(2 * gravity * drop) }
