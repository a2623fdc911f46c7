package trace

// Signal is the working copy of a recording after its steps: force with tare
// and sign put right and the filter applied, and the motion of the mass where
// it can be had.
type Signal struct {
	Time  []float64 // s on the recording's clock
	Force []float64 // N, pull positive

	// From sample First, the first of the first contact, to the end of the last
	// contact; nil when mass or impact speed are not known.
	First   int
	Speed   []float64 // m/s, downward
	Stretch []float64 // m, from where the rope first went tight

	Steps []Step
}
