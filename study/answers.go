package study

import (
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/trace"
)

// The answers: one typed value for each thing an end can ask. Terminal, JSON,
// pages and report are all made from these. Numbers are SI.

// Overview is a study at a glance: what it asked, planned and did.
type Overview struct {
	Study      *campaign.Study
	Conditions []ConditionCount
	Specimens  []SpecimenRow
	Drops      []DropRow
	Departures []campaign.Departure // from the frozen plan, found by comparing
	Doubtful   int                  // traces with a doubtful reading
}

// ConditionCount is how far a condition has got.
type ConditionCount struct {
	Condition campaign.Condition
	Specimens int // planned
	Counting  int // falls that count
	Planned   int // falls wanted
	Void      int
}

// SpecimenRow is one specimen with what happened to it.
type SpecimenRow struct {
	Specimen campaign.Specimen
	Taken    int     // falls its rope has had
	Counting int     // of them, that count
	Mass     float64 // kg, newest dry weighing; NaN when never weighed
}

// DropRow is one drop with its newest reading.
type DropRow struct {
	Drop      campaign.Drop
	Condition string         // of its specimen; empty for a trial or check without one
	Reading   *trace.Reading // nil without a trace
	Rest      time.Duration  // since the specimen's fall before it; 0 for the first
}

// TraceView is one trace, ready to be drawn and looked at.
type TraceView struct {
	Row      DropRow
	Ask      trace.Ask // how the file was read
	Settings trace.Settings
	Program  string          // what took the stored reading
	Taken    campaign.Stamp  // when that was, and by whom
	Earlier  []StoredReading // the readings before it, the newest first
	Rule     int             // the class that the plan reads with
	Signal   *trace.Signal   // tared and filtered, with speed and stretch where they can be had
	Curves   *Curves         // the same, ready to be drawn in any window
	Before   string          // drop ID of the trace before it in the study, or empty
	After    string
}

// Second is a second reading of a trace, beside the stored one.
type Second struct {
	Settings trace.Settings
	Reading  *trace.Reading
	Curves   *Curves
}

// Findings is every question with its answer, and the models behind. What is in
// it may be shared with others who asked: it must not be changed.
type Findings struct {
	Study       *campaign.Study
	Rule        campaign.AnalysisRule // by which the models were made
	Method      string                // in words, with what it does not do
	Assumptions []Assumption
	Answers     []compare.Answer // in the order of the plan's questions
	Measures    []MeasureTable   // one for each measure that a question is about; every one when there is no question
	Left        []LeftOut        // falls that count but could not be used, and why
	// Exploratory is why the findings are not confirmatory (plan frozen after
	// the first fall, or not at all, or another analysis than it says); empty
	// otherwise.
	Exploratory string
}

// Assumption is something that the model takes to be so.
type Assumption struct {
	Text   string
	Looked string // which check looks at it; empty when none can
}

// MeasureTable is one measure with its models.
type MeasureTable struct {
	Measure campaign.Measure
	Models  []Model // one for each scale that the questions ask for; the first is the one that most do
}

// Model is one model of a measure.
type Model struct {
	Measure  campaign.Measure
	Scale    compare.Scale
	Analysis *compare.Analysis // nil when there is none; for its fields only
	Refused  error             // why there is none
	Checks   *compare.Checks   // nil when not asked for, or when they cannot be had
}

// LeftOut is a fall that a measure had to do without.
type LeftOut struct {
	Drop    campaign.Drop
	Measure campaign.Measure
	Why     string
}

// Report is everything that the report says.
type Report struct {
	Overview Overview
	Findings Findings
	Overlays []Overlay // one for each fall number shown
	Inputs   []Input   // every file that the findings rest on
	Program  string    // "fallwright 0.1.0 (go1.26.8)"
	Made     time.Time
}

// Overlay is the traces of one fall number, aligned at first contact.
type Overlay struct {
	Fall   int
	Traces []OverlayTrace
}

// OverlayTrace is one trace of an Overlay, thinned for drawing with every peak
// kept.
type OverlayTrace struct {
	Name      string // "M-07, fall 3"
	Specimen  string
	Condition string
	Time      []float64 // s from first contact
	Force     []float64 // N
}

// Input is one file with its hash.
type Input struct {
	What string // "study file", "M-07 fall 3"
	File campaign.SourceFile
}
