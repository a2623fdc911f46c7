package campaign

// Numbers is what is supposed when it is asked how many specimens a plan needs.
// Nothing in it changes what is found. Zero values are not given: power then is
// 80 %, and spreads are those of common practice.
type Numbers struct {
	Power   float64             // wanted of each question
	Margins float64             // the difference supposed, in margins of its question; 0 for twice
	Levels  map[Measure]float64 // what a specimen of the baseline shows, SI; needed for margins that are amounts

	// Standard deviations as shares of the level.
	Specimens, Ropes, Days, Falls float64
	// Study is an earlier study in the book whose spreads are taken where none is
	// given.
	Study string

	Most              int     // specimens of a condition that could be had; 0 for what the ropes hold
	PerMetre, PerHour float64 // what a metre of rope and an hour of tower cost, in any one unit
}

// Asked reports whether anything is supposed.
func (n Numbers) Asked() bool {
	return n.Power != 0 || n.Margins != 0 || len(n.Levels) > 0 || n.Specimens != 0 || n.Ropes != 0 || n.Days != 0 ||
		n.Falls != 0 || n.Study != "" || n.Most != 0 || n.PerMetre != 0 || n.PerHour != 0
}
