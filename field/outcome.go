package field

import "math"

// Outcome is what a catch comes to. Times count from the start of the fall. A
// value that the fall ended too early for is NaN.
type Outcome struct {
	FreeFall   float64 // m that the climber is lower when the rope first holds
	CatchSpeed float64 // m/s there
	CatchAt    float64 // s

	Climber Peak // rope on the climber
	Belayer Peak // rope on the belayer's device
	Top     Peak // both strands on the top runner, as vectors

	Stretch   float64 // m, most, of all the rope
	Lowest    Low     // where the climber first stops falling
	Clearance float64 // m from there, less the climber's reach, to the floor; +Inf without a floor
	Hit       *Hit    // on the floor; nil when the climber stays above it

	Wall     *Meeting // the hardest, by its normal speed; nil when the wall was not met
	Meetings int
	Rebound  Rebound

	Slipped  float64 // m of rope through the device
	Lift     float64 // m that the belayer was drawn, most
	AtRunner bool    // as far as the lowest runner

	Seen    Fitted   // the largest strain, strain rate while loading, and tension of any piece
	Books   Books    // at the lowest point
	Ended   float64  // s, when the simulation did
	Closing float64  // most that the energy books were out by, as a share of the fall's energy
	Frames  []Frame  // as many a second as were asked for
	Notes   []string // warnings, each a sentence
}

// Peak is a largest force.
type Peak struct {
	Force float64 // N
	At    float64 // s
}

// Low is the lowest point.
type Low struct {
	Below float64 // m under the top runner
	Fall  float64 // m under the start
	At    float64 // s
	Place [3]float64
}

// Hit is the climber on the ground or the ledge; the simulation ends there.
type Hit struct {
	Speed float64 // m/s
	At    float64 // s
}

// Meeting is the climber meeting the wall.
type Meeting struct {
	Normal float64 // m/s straight into the wall
	Speed  float64 // m/s in all
	At     float64 // s
	Place  [3]float64
	Taut   bool // the rope pulled then
}

// Rebound is the way up after the lowest point.
type Rebound struct {
	Speed  float64 // m/s, most, upward
	Height float64 // m from the lowest point to where it ends
}

// Books say where the energy of the fall is, in joules.
type Books struct {
	Given   float64 // height lost since the start, and the push-off
	Moving  float64 // climber, belayer and rope
	Stored  float64 // in the rope, recoverable
	Rope    float64 // lost in the rope
	Runners float64 // lost at the runners
	Device  float64 // lost in the device
	Lifted  float64 // the belayer's height
	Wall    float64 // lost at the wall
	Stopped float64 // lost where the belayer came to a stop
}

// Frame is one picture of the fall.
type Frame struct {
	At      float64 // s
	Climber [3]float64
	Lift    float64 // m, of the belayer
	Force   float64 // N on the climber
	Taut    bool
}

func unknown() *Outcome {
	nan := math.NaN()
	low := Low{Below: nan, Fall: nan, At: nan}
	return &Outcome{
		FreeFall: nan, CatchSpeed: nan, CatchAt: nan, Clearance: nan, Lowest: low,
		Rebound: Rebound{nan, nan},
	}
}
