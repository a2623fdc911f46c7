// Package field computes a climber's fall caught by a belayer: what the rope
// does to climber, top runner and belayer, and how the wall is met.
//
// Places are measured from the top runner, the last one clipped:
//
//	x   m out from the wall, level       r   place of the climber's tie-in
//	y   m along the wall, level          v   m/s, its velocity
//	z   m upward                         n   the wall's normal, away from it
//
//	ℓ   m, path of a piece of rope       u   m/s, rope that runs over a runner
//	L   m, its unstretched length            towards the climber
//	ε   ℓ/L − 1, its strain              K   e^(μ·θ), capstan ratio of a runner
//	T   N, its tension                   λ   kg/m, mass of the rope
//
// Climber and belayer are points. Nothing here says that a fall is safe.
package field

import (
	"math"

	"fallwright.example/rope"
)

// Catch is one fall and everything that stops it.
type Catch struct {
	Climber Climber
	Belayer Belayer
	Runners []Runner // from the top down, one at least
	Wall    Wall
	Floor   float64 // m from the top runner down to the ground or to a ledge that would be hit; +Inf for none
	RopeOut float64 // m of unstretched rope from the climber's knot to the belayer's device
	Rope    Rope
	Gravity float64 // m/s²
}

// Climber is who falls.
type Climber struct {
	Mass    float64 // kg
	Above   float64 // m from the top runner up to the tie-in; negative when below
	Out     float64 // m from the wall to the tie-in, level
	Aside   float64 // m from the top runner to the tie-in, along the wall
	PushOff float64 // m/s away from the wall when the fall begins
	Reach   float64 // m from the tie-in down to what would touch the ground first
}

// Runner is a place where the rope runs through a carabiner.
type Runner struct {
	Below    float64 // m of rope from here to the next runner below, from the lowest one to the belayer's device
	Turn     float64 // θ, rad, by which the rope changes its direction; π at a top runner with both strands hanging down
	Friction float64 // μ
}

// Belayer is who holds the rope.
type Belayer struct {
	Fixed bool    // tied down: does not move whatever pulls
	Mass  float64 // kg; not used when Fixed
	Stand float64 // m, level, from under the lowest runner
	Slip  float64 // N at the device from which rope runs through it; 0 when it holds whatever pulls
}

// Wall is the plane that the climber may meet.
type Wall struct {
	None     bool    // there is nothing to meet
	Overhang float64 // rad from plumb; positive when it leans out over the climber, negative for a slab
	Behind   float64 // m, level, from the top runner in to the wall at its height
}

// Rope is a law with what the catch needs besides.
type Rope struct {
	Law    rope.Law
	Linear float64 // λ, kg/m
	Fitted Fitted  // zero where it is not known
}

// Fitted is how far the drops went from which a law was learnt. Zero means not
// known.
type Fitted struct {
	Strain float64 // largest ε
	Rate   float64 // 1/s, largest ε̇ while loading
	Force  float64 // N, largest tension
}

// Path is the way in metres that the rope takes from the climber over the
// runners to the device before the fall.
func (c Catch) Path() float64 {
	sum := c.start().size()
	for _, r := range c.Runners {
		sum += r.Below
	}
	return sum
}

// Slack is the rope in metres that hangs loose before the fall; it is on the
// climber's side of the top runner.
func (c Catch) Slack() float64 { return c.RopeOut - c.Path() }

// WithSlack is the catch with another length of loose rope.
func (c Catch) WithSlack(slack float64) Catch {
	c.RopeOut = c.Path() + slack
	return c
}

// WithRopeOut is the same fall higher on a longer route: the rope below the top
// runner is made longer or shorter in proportion, and the floor moves with it;
// slack, and where the climber is beside the top runner, stay.
func (c Catch) WithRopeOut(out float64) Catch {
	below := c.Path() - c.start().size()
	factor := (out - c.start().size() - c.Slack()) / below
	runners := make([]Runner, len(c.Runners))
	for i, r := range c.Runners {
		r.Below *= factor
		runners[i] = r
	}
	c.Runners, c.RopeOut = runners, out
	c.Floor += below * (factor - 1)
	return c
}

// vector is a place or a velocity: x, y, z.
type vector [3]float64

func (a vector) dot(b vector) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vector) size() float64        { return math.Sqrt(a.dot(a)) }
func (a vector) plus(f float64, b vector) vector {
	return vector{a[0] + f*b[0], a[1] + f*b[1], a[2] + f*b[2]}
}

// start is where the climber falls from.
func (c Catch) start() vector {
	w, p := c.Wall, c.Climber
	if w.None {
		return vector{p.Out, p.Aside, p.Above}
	}
	return vector{p.Above*math.Tan(w.Overhang) - w.Behind + p.Out, p.Aside, p.Above}
}

// normal is n = (cos φ, 0, −sin φ) of a wall that overhangs by φ.
func (w Wall) normal() vector { return vector{math.Cos(w.Overhang), 0, -math.Sin(w.Overhang)} }

// ratio is K.
func (r Runner) ratio() float64 { return math.Exp(r.Friction * r.Turn) }

// hang is the share of the belayer's weight that is against the pull, the
// cosine of the rope's lean at the lowest runner.
func (c Catch) hang() float64 {
	lean := c.Belayer.Stand / c.Runners[len(c.Runners)-1].Below
	return math.Sqrt(1 - lean*lean)
}
