package campaign

import "math"

// Cutting is how pieces are cut where a plan says how many specimens a condition
// has and leaves it to the draw which piece each of them is. The zero value:
// the plan lists its specimens itself.
type Cutting struct {
	Each      float64 // m of rope that a piece takes, knots and tails included; 0 where it follows from them
	KnotTakes float64 // m of rope in one knot with its tail; a piece has two. 0 when not known
	Knots     string  // in words
	Loss      float64 // m lost at each cut
	Spares    int     // pieces beyond the plan, for each condition
}

// Asked reports whether specimens are to be drawn.
func (c Cutting) Asked() bool { return c != Cutting{} }

// Piece is the length in metres that a piece for a setting takes: as said, or
// the setting's free length and two knots, to a tenth of a millimetre.
func (c Cutting) Piece(s Setting) float64 {
	if c.Each > 0 {
		return c.Each
	}
	return math.Round((s.FreeLength+2*c.KnotTakes)*1e4) / 1e4
}

// Stretch is a part of a rope, in metres from its end zero.
type Stretch struct{ From, To float64 }

// Order is how specimens are dealt to conditions and in which order they are
// dropped. The seed makes the draw: who has it draws the same again.
type Order struct {
	Seed   uint64
	Within []Within // what the conditions are balanced over, beside the place along a rope
	MaxRun int      // specimens of one condition that may follow each other in a day; 0 for any
	Blind  bool     // labels hide the condition until the analysis
}

// Within is something that each condition meets alike.
type Within string

const (
	WithinRope Within = "rope" // each rope of a lot is used, not as few as will do
	WithinDay  Within = "day"
)

// Withins lists every Within.
func Withins() []Within { return []Within{WithinRope, WithinDay} }
