package field

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/problem"
)

// Check refuses what cannot be or is not modelled, every fault at once, each
// with its limit and what would reach it.
func (c Catch) Check() error {
	var l refusals
	l.climber(c)
	l.belayer(c)
	l.wall(c)
	for i, r := range c.Runners {
		l.runner(fmt.Sprintf("runner %d from the top", i+1), r)
	}
	l.above("gravity", c.Gravity, "m/s2")
	l.rope(c.Rope)
	if len(c.Runners) == 0 {
		l.add("runners", "there are none, the model needs one at least").
			Hint("a fall straight on to the belay is not modelled here; give the runner that holds the rope")
	}
	if len(l.list) == 0 { // the lengths of a catch that can be
		l.lengths(c)
	}
	return l.list.Err()
}

// refusals gathers what is wrong.
type refusals struct{ list problem.List }

func (l *refusals) add(where, format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, where, format, args...)
	l.list = append(l.list, p)
	return p
}

func (l *refusals) above(where string, v float64, unit string) {
	if !(v > 0) || math.IsInf(v, 0) {
		l.add(where, "%s, must be a number above %s", amount(v, unit), amount(0, unit))
	}
}

func (l *refusals) notBelow(where string, v float64, unit string) {
	if !(v >= 0) || math.IsInf(v, 0) {
		l.add(where, "%s, must be %s or more", amount(v, unit), amount(0, unit))
	}
}

func (l *refusals) within(where string, v, low, high float64, unit string) {
	if !(v >= low && v <= high) {
		l.add(where, "%s, must lie from %s to %s", amount(v, unit), amount(low, unit), amount(high, unit))
	}
}

// amount writes a value with its unit; a bare number has none.
func amount(v float64, unit string) string { return strings.TrimSpace(fmt.Sprintf("%.6g %s", v, unit)) }

func (l *refusals) climber(c Catch) {
	p := c.Climber
	l.above("climber's mass", p.Mass, "kg")
	l.within("climber's height above the top runner", p.Above, -furthest, furthest, "m")
	l.within("climber's distance to the side", p.Aside, -furthest, furthest, "m")
	if c.Wall.None {
		l.within("climber's distance out", p.Out, -furthest, furthest, "m")
	} else {
		l.within("climber's distance out from the wall", p.Out, 0, furthest, "m")
	}
	l.within("push-off", p.PushOff, -10, 10, "m/s")
	l.within("reach below the tie-in", p.Reach, 0, 3, "m")
}

func (l *refusals) belayer(c Catch) {
	b := c.Belayer
	l.notBelow("device's slip force", b.Slip, "N")
	if b.Fixed {
		return
	}
	l.above("belayer's mass", b.Mass, "kg")
	l.notBelow("belayer's distance from the wall", b.Stand, "m")
	if n := len(c.Runners); n > 0 && b.Stand >= c.Runners[n-1].Below {
		l.add("belayer's distance from the wall", "%s, and the rope from the lowest runner to the device is %s: it would not reach",
			amount(b.Stand, "m"), amount(c.Runners[n-1].Below, "m")).
			Hint("stand the belayer nearer, or put more than %s between the lowest runner and the device", amount(b.Stand, "m"))
	}
}

func (l *refusals) wall(c Catch) {
	if !c.Wall.None {
		l.within("overhang", c.Wall.Overhang*180/math.Pi, -60, 60, "degrees")
		l.within("wall behind the top runner", c.Wall.Behind, 0, furthest, "m")
	}
	if !(c.Floor > 0) {
		l.add("ground or ledge", "%s below the top runner, must be more than %s", amount(c.Floor, "m"), amount(0, "m"))
	}
}

func (l *refusals) runner(name string, r Runner) {
	if !(r.Below > 0) || r.Below > furthest {
		l.add(name, "the rope from it down to the next runner or to the device is %s, must be above 0 m and not above %g m", amount(r.Below, "m"), furthest).
			Hint("give runners from the top down, each lower than the one before, and the belayer below them all")
	}
	l.within(name+", turn", r.Turn*180/math.Pi, 0, 360, "degrees")
	l.within(name+", friction", r.Friction, 0, 2, "")
}

func (l *refusals) rope(r Rope) {
	l.above("rope's mass per metre", r.Linear, "kg/m")
	l.notBelow("fitted strain", r.Fitted.Strain, "")
	l.notBelow("fitted strain rate", r.Fitted.Rate, "1/s")
	l.notBelow("fitted force", r.Fitted.Force, "N")
	if r.Law == nil {
		l.add("rope", "has no law").Hint("name one of the laws of rope with its parameters")
		return
	}
	if err := r.Law.Check(); err != nil {
		l.list = append(l.list, problem.All(err)...)
	}
}

// lengths refuses a rope shorter than its way, and a climber who is past the
// floor or behind the wall.
func (l *refusals) lengths(c Catch) {
	path := c.Path()
	if !(c.RopeOut >= path-1e-9) || math.IsInf(c.RopeOut, 0) {
		l.add("rope out", "%s, and the way from the climber over the runners to the device is %s", amount(c.RopeOut, "m"), amount(path, "m")).
			Hint("%s or more reaches; what is more than that is slack", amount(math.Ceil(path*100)/100, "m"))
	}
	if c.RopeOut-path > furthest {
		l.add("slack", "%s, the model takes %g m at the most", amount(c.RopeOut-path, "m"), furthest)
	}
	if low := c.Climber.Above - c.Climber.Reach; low <= -c.Floor {
		l.add("ground or ledge", "%s below the top runner, and the climber reaches %s below it before the fall", amount(c.Floor, "m"), amount(-low, "m")).
			Hint("put the climber higher or the ground lower than %s", amount(-low, "m"))
	}
	if c.start().size() < 1e-3 {
		l.add("climber's height above the top runner", "the tie-in is at the top runner, there is no rope between them").
			Hint("0.1 m above or below would do")
	}
}

const furthest = 100.0 // m
