package trace

// Settings is what must be known beside the trace. Zero means not known,
// except for Class, where zero means no filter.
type Settings struct {
	Class   int     // CFC of the filter: 60, 180, 600 or 1000; 0 for none
	Mass    float64 // kg, the falling mass
	Drop    float64 // m, free fall before the rope goes tight
	Length  float64 // m, free length of rope
	Gravity float64 // m/s2; 0 means the standard value, 9.80665
	Guide   float64 // share of the drop's energy that the guide takes
	Pull    Pull    // which way a pull goes in the recording
	Edge    Edge    // between rope and cell
	Gate    Gate    // a light gate's time
	Doubt   Doubt   // standard uncertainties of the above and of the cell
	Trials  int     // of a Monte Carlo propagation; 0 for the law of propagation alone
	Seed    uint64  // of the trials
}

// Pull says which sign a pull has in the recording.
type Pull int

// The ways a pull can go.
const (
	PullFound    Pull = 0 // found out from the trace
	PullPositive Pull = 1
	PullNegative Pull = -1
)

// Edge is rope bent over an edge before the cell, which then reads
// T·e^(−Friction·Angle) of the rope's force T. Zero is a straight rope.
type Edge struct {
	Friction float64 // coefficient
	Angle    float64 // rad
}

// Gate is a light gate that a flag on the mass passes on its way down: its mean
// speed Flag/Time is that at the middle of the time, and free fall over Above
// carries it on to first contact.
type Gate struct {
	Flag  float64 // m, width
	Time  float64 // s, that the beam was broken; or taken from Recording.Gate
	Above float64 // m, of the flag's middle in the beam above first contact
}

// Doubt is standard uncertainties (k = 1). Zero means not stated: it is then
// left out of the budgets, which say so.
type Doubt struct {
	Cell     float64 // relative, of the cell's calibration with its amplifier
	Mass     float64 // kg
	Drop     float64 // m
	Length   float64 // m
	Gravity  float64 // m/s2
	Friction float64 // of the edge
	Gate     float64 // relative, of the gate's speed
	Guide    float64 // of the guide's share
}
