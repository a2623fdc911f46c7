package campaign

import "slices"

// Pull is the force that it takes to draw a specimen through a device at a speed.
type Pull struct {
	ID string
	Stamp
	Specimen  string
	Device    string // "tube, hole A"; one name for one device
	Wet       bool
	State     string      // in words, such as "soaked 15 min"
	Speed     float64     // m/s; 0 when not stated
	Held      float64     // N on the strand behind the device; 0 when not stated
	Mean      float64     // N over the steady part
	StickSlip *float64    // N, mean drop of the force from a stick to its slip; nil when not measured
	Trace     *SourceFile // of the pull, when there is one; Mean and StickSlip are read from it
	Note      string
	Replaces  string // ID of the pull that this one corrects
}

// hardest is more force than a rope is drawn through a device with, N; our own.
const hardest = 5000.0

// CheckPull refuses a pull: NotFound when the plan lacks its specimen, Conflict
// when it replaces what it cannot, Invalid when it names no device or its force is
// no force of a pull.
func (s *Study) CheckPull(p Pull) error {
	r := s.recording("pull", p.Specimen, p.Stamp)
	links := make([]link, len(s.Pulls))
	for i, o := range s.Pulls {
		links[i] = link{o.ID, o.Specimen, o.Replaces}
	}
	r.replaces(p.Replaces, p.Specimen, links)
	if blank(p.Device) {
		r.refuse("it does not say which device the rope ran through").Hint(`name the device, such as "tube, hole A"`)
	}
	switch {
	case !positive(p.Mean):
		r.refuse("the force is %g N", p.Mean).Hint("give the mean force of the steady part, above zero")
	case p.Mean > hardest:
		r.refuse("the force is %g N, and %g N is more than a rope is pulled by", p.Mean, hardest).Hint("newtons were written as kilonewtons? write 85 N")
	}
	r.between("speed", p.Speed, 0, 5, "m/s")
	r.between("force on the strand behind", p.Held, 0, hardest, "N")
	if positive(p.Mean) && p.Held > p.Mean {
		r.refuse("the force is %g N and the strand behind holds %g N, and friction can only add to that", p.Mean, p.Held).
			Hint("were the two taken for each other? the force is that on the side that is drawn")
	}
	if p.StickSlip != nil {
		r.between("drop of the force from stick to slip", *p.StickSlip, 0, hardest, "N")
	}
	return r.err()
}

// StandingPulls returns the pulls that none replaced.
func (s *Study) StandingPulls() []Pull {
	gone := map[string]bool{}
	for _, p := range s.Pulls {
		gone[p.Replaces] = true
	}
	return slices.DeleteFunc(slices.Clone(s.Pulls), func(p Pull) bool { return gone[p.ID] })
}
