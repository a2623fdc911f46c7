package campaign

import (
	"time"

	"fallwright.example/trace"
)

// Plan is what a study file says: the questions and the drops that are to
// answer them. Validate holds its rules.
type Plan struct {
	Name     string // short, one word: the study's name in its book
	Title    string
	Purpose  string // the inquiry in a sentence
	By       string // who runs it
	Invented bool   // true for a demonstration: every end marks it

	Questions  []Question
	Factors    []Factor
	Conditions []Condition
	Ropes      []Rope
	Specimens  []Specimen
	Rig        Rig
	Settings   []Setting
	Series     Series
	Reading    ReadingRule
	Analysis   AnalysisRule

	Cutting      Cutting
	Order        Order
	Days         Days
	Preparations []Preparation
	Numbers      Numbers
	Water        Water
}

// Question is a contrast between two conditions with a margin, put before the
// drops.
type Question struct {
	Name     string
	Asks     string  // in plain words, with a question mark
	Value    Measure // which value of a reading it is about
	Compare  string  // condition
	Baseline string  // condition
	Falls    []int   // which falls of a series answer it
	Margin   Margin  // of a trend: for each fall

	// BaselineFalls are those of the baseline where they are others than Falls,
	// as for what a night's rest gives back; Baseline may then be Compare itself.
	BaselineFalls []int
	Trend         bool  // about the change from fall to fall in the place of the mean
	Claim         Claim // what it is to show

	About string // the one factor that the answer is to be put down to; empty for none
}

// Claim is what a question is to show, said before the drops.
type Claim string

const (
	AnyDifference Claim = ""
	ClaimHigher   Claim = "higher" // of a peak force: harder
	ClaimLower    Claim = "lower"
	ClaimNone     Claim = "no difference"
)

// Claims lists every Claim.
func Claims() []Claim { return []Claim{AnyDifference, ClaimHigher, ClaimLower, ClaimNone} }

// Measure names a value of a reading that a question can be about.
type Measure string

const (
	PeakForce      Measure = "peak force"
	ReboundSpeed   Measure = "rebound speed"
	MaxStretch     Measure = "largest stretch"
	EnergyAbsorbed Measure = "energy absorbed"
)

// Measures lists every Measure in the order the ends show them.
func Measures() []Measure {
	return []Measure{PeakForce, ReboundSpeed, MaxStretch, EnergyAbsorbed}
}

// Unit is the SI unit of the measure.
func (m Measure) Unit() string {
	switch m {
	case PeakForce:
		return "N"
	case ReboundSpeed:
		return "m/s"
	case MaxStretch:
		return "m"
	case EnergyAbsorbed:
		return "J"
	}
	return ""
}

// Margin is the smallest difference that matters: a share of the baseline, or
// an amount in the measure's SI unit. Exactly one of the two is positive.
type Margin struct {
	Share  float64 // 0.05 for 5 %
	Amount float64
}

// Factor is one thing that is varied, with its levels in order.
type Factor struct {
	Name   string
	Levels []string
	Within Nest // where it has a level; zero: in every condition
}

// Nest is where a nested factor has a level: in conditions that have one of these
// levels of another factor. A soak time belongs to water "soaked".
type Nest struct {
	Factor string
	Levels []string
}

// Condition is one combination of levels. Its place in the plan fixes its
// colour and mark everywhere.
type Condition struct {
	Name     string
	Levels   map[string]string // factor to level; a nested factor only where it has one
	Baseline bool              // exactly one condition of a plan is the baseline

	Lot       string // that its specimens are drawn from; empty where the plan lists them, or has one rope
	Specimens int    // to be drawn; 0 where the plan lists them
}

// Rope is a rope as bought; Lot is what the study calls it.
type Rope struct {
	Name           string // of one rope among several of its lot; empty where the lot is one rope
	Lot            string
	Type           string  // "single", "half", "twin"
	Diameter       float64 // m, nominal; 0 when not known
	MassPerLength  float64 // kg/m; 0 when not known
	Length         float64 // m, as delivered; 0 when not known
	FirstFallForce float64 // N, as published by its maker; 0 when not known
	Construction   string
	Treatment      string
	History        string // "new", "two seasons", ...

	Discard    float64   // m at each end that no piece is cut from
	Damage     []Stretch // that no piece is cut from
	MiddleMark float64   // m, where a mark is that no piece is to hold; 0 for none
}

// ID is what tells a rope from every other: its name, or its lot.
func (r Rope) ID() string {
	if r.Name != "" {
		return r.Name
	}
	return r.Lot
}

// Specimen is a piece cut from a rope.
type Specimen struct {
	Label     string
	Lot       string
	Rope      string // its name; empty where the lot is one rope
	Condition string
	From, To  float64 // m, position in the rope; both 0 when not recorded
	Knots     string
	Spare     bool // cut beyond the plan: need not be dropped
	Place     int  // in the order of drops, from 1; 0 when none was drawn
	Day       int  // of its first fall, from 1; 0 when the draw leaves it open
}

// RopeID is the ID of the rope that the specimen is cut from.
func (s Specimen) RopeID() string {
	if s.Rope != "" {
		return s.Rope
	}
	return s.Lot
}

// Rig is the tower with its cell and edge.
type Rig struct {
	Name       string
	Cell       string
	CellRange  float64 // N; 0 when not known
	EdgeRadius float64 // m; 0 for none or not known
	Guide      string
	Gravity    float64 // m/s2 at the site; 0 for the standard value

	GuideShare   float64 // of the drop's energy that the guide takes; 0 when not known
	EdgeFriction float64 // coefficient between rope and edge; 0 when the cell is before any edge
	EdgeAngle    float64 // rad that the rope turns at the edge
	GateFlag     float64 // m, width of the flag that a light gate sees; 0 for no gate
	GateAbove    float64 // m, of the flag's middle in the beam above first contact

	// Standard uncertainties (k = 1); 0 when not stated.
	CellUncertainty         float64 // relative, of the cell's calibration with its amplifier
	GravityUncertainty      float64 // m/s2
	EdgeFrictionUncertainty float64
	GateUncertainty         float64 // relative, of the gate's speed
	GuideUncertainty        float64 // of GuideShare
}

// Setting is how the rig stands for a drop.
type Setting struct {
	Name       string
	Mass       float64 // kg
	Drop       float64 // m, free fall before the rope goes tight
	FreeLength float64 // m of rope between anchor and mass

	// Standard uncertainties (k = 1); 0 when not stated.
	MassUncertainty       float64 // kg
	DropUncertainty       float64 // m
	FreeLengthUncertainty float64 // m
}

// Series is what is done to each specimen.
type Series struct {
	Falls   int
	Setting string
	Rest    Rest

	Overnight Overnight
}

// Rest is the set time between two falls of a series and how far it may be off.
// A zero Rest is not controlled.
type Rest struct {
	Set       time.Duration
	Tolerance time.Duration
}

// ReadingRule is how traces of the study are read.
type ReadingRule struct {
	Class int       // CFC, 0 for none
	Ask   trace.Ask // what is known of the rig's trace files
}

// Condition returns the condition of that name.
func (p *Plan) Condition(name string) (Condition, bool) {
	for _, c := range p.Conditions {
		if c.Name == name {
			return c, true
		}
	}
	return Condition{}, false
}

// Setting returns the setting of that name.
func (p *Plan) Setting(name string) (Setting, bool) {
	for _, s := range p.Settings {
		if s.Name == name {
			return s, true
		}
	}
	return Setting{}, false
}

// Specimen returns the specimen of that label.
func (p *Plan) Specimen(label string) (Specimen, bool) {
	for _, s := range p.Specimens {
		if s.Label == label {
			return s, true
		}
	}
	return Specimen{}, false
}

// FallsWanted is how many falls the plan wants: of each specimen but spares its
// series.
func (p *Plan) FallsWanted() int {
	n := 0
	for _, s := range p.Specimens {
		if !s.Spare {
			n += p.Series.Falls
		}
	}
	return n
}

// BaselineCondition returns the name of the plan's baseline.
func (p *Plan) BaselineCondition() string {
	for _, c := range p.Conditions {
		if c.Baseline {
			return c.Name
		}
	}
	return ""
}
