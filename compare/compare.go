// Package compare goes from a table of values to findings: what each condition
// did at each fall, how it differs from the baseline, and what that says about
// the questions that were put.
//
// The values are taken by a mixed model fitted by REML (num/lmm): condition,
// fall and their interaction as fixed effects, the specimen and whatever blocks
// are named as random ones. Inference is by Kenward-Roger or Satterthwaite;
// comparisons may be adjusted by Holm or jointly.
//
// Values are in the unit that Ask names, SI for a study. Refusals are
// *problem.Problem or problem.List and name row and column.
package compare

import "fallwright.example/num/lmm"

// Data is a table of values, one row a value. Columns have one entry a row, or
// are nil.
type Data struct {
	Value     []float64  // NaN: not recorded, the row is left out and a note says so
	Specimen  []string   // the piece that the value is from; nil: rows are independent
	Condition []string   // nil: nothing is compared
	Fall      []Fall     // "1", "2"; any text when falls are levels
	Columns   []Column   // rope, lot, day, operator, setting: blocks are taken from here, the checks look at the others
	Measured  []Measured // order of drops, uptake: covariates are taken from here
	Row       []string   // what a row is called in messages: "row 7", "M-07 fall 3"; nil: "row N"
}

// Column is a column of names; an empty one was not recorded.
type Column struct {
	Name  string
	Value []string
}

// Measured is a column of numbers; NaN was not recorded.
type Measured struct {
	Name  string
	Value []float64
}

// Scale is the scale that the model works on.
type Scale string

const (
	// Linear takes values as they are; differences are amounts.
	Linear Scale = "linear"
	// Log takes natural logarithms; differences are ratios.
	Log Scale = "log"
)

// FallsAs is what the model makes of falls.
type FallsAs string

const (
	// Levels gives each fall a mean of its own.
	Levels FallsAs = "levels"
	// Trend puts falls on a straight line a condition.
	Trend FallsAs = "trend"
	// TrendPerSpecimen is Trend with a line of its own for each specimen.
	TrendPerSpecimen FallsAs = "trend-per-specimen"
)

// Adjust is how p values and limits allow for several comparisons.
type Adjust string

const (
	// None leaves each comparison by itself.
	None Adjust = "none"
	// Holm adjusts p values by Holm's steps and limits by Bonferroni's share.
	Holm Adjust = "holm"
	// Joint adjusts both by the multivariate t of the estimates.
	Joint Adjust = "joint"
)

// Margin is the smallest difference that matters: exactly one is positive, or
// none for no margin and no verdicts.
type Margin struct {
	Share  float64 `json:"share"`  // of the baseline, 0.05 for 5 %
	Amount float64 `json:"amount"` // in the unit of the values
}

// Ask is the model that is wanted. Zero values are the defaults.
type Ask struct {
	Measure, Unit     string   // words for sentences: "peak force", "N"
	Conditions        []string // their order; others follow as they first appear
	Baseline          string   // empty: the first
	FallsAs           FallsAs  // Levels
	Blocks            []string // names of Columns taken as random intercepts; "batch:cask" joins two
	Covariates        []string // names of Measured taken as fixed
	Scale             Scale    // Linear
	SpreadByCondition bool     // the residual spread differs by condition
	DF                lmm.DF   // Kenward-Roger
	Adjust            Adjust   // None
	EachFall          bool     // a family of comparisons is those at one fall; else the whole list is one
	Margin            Margin
}

// Analysis is a fitted model with its tables. What cannot be had is NaN, and a
// note says why. It fills parts of itself when they are first asked for, so
// one Analysis is for one goroutine at a time.
type Analysis struct {
	Ask           Ask // with the defaults filled in
	N             int // rows in the model
	Formula       string
	Said          string  // the model for a climber
	Deviance      float64 // minus twice the restricted log likelihood
	ResidualSD    float64 // on the model's scale; where spreads differ, of the baseline
	Spreads       []Spread
	Random        []Random
	Correlations  []Correlation
	Means         []Mean       // by condition and fall; empty names for what the model lacks
	Against       []Difference // each condition against the baseline at each fall
	Overall       []Difference // and over falls
	Trends        []Slope      // where falls are a trend
	TrendsAgainst []Difference // of slopes, per fall
	Terms         []TermTest
	Record        lmm.Record // what the optimiser did
	Notes         []string

	data   Data
	table  *table
	model  *model
	grid   *grid
	limits memo
}

// Spread is the residual standard deviation of one condition.
type Spread struct {
	Condition string  `json:"condition"`
	SD        float64 `json:"sd"`
}

// Random is the standard deviation of one random effect.
type Random struct {
	Group  string  `json:"group"` // "specimen" or a block as named
	Term   string  `json:"term"`  // "intercept" or "fall"
	SD     float64 `json:"sd"`
	Levels int     `json:"levels"`
}

// Correlation is that of two random effects of one group.
type Correlation struct {
	Group       string
	Terms       [2]string
	Correlation float64 // NaN where a standard deviation is zero
}

// Mean is a marginal mean: of a condition at a fall, covariates at their mean.
type Mean struct {
	Condition string
	Fall      Fall
	N         int // specimens with a value there; rows where there are no specimens

	// On the model's scale, logarithms when Log; 95 %.
	Mean, SE, DF, Lower, Upper float64

	// In the unit: the same when linear, the geometric mean when Log.
	Centre, CentreLower, CentreUpper float64
	// NewLower and NewUpper hold one value of a new specimen with 95 %.
	NewLower, NewUpper float64

	// The values behind, in the unit: one a specimen, the mean of its repeats,
	// by label; row by row where there are no specimens.
	SD        float64 // of Values
	Specimens []string
	Values    []float64
}

// Difference is a condition against a baseline.
type Difference struct {
	Condition, Baseline string
	Fall                Fall   // where it is one
	Falls               []Fall // over which it is averaged; nil over all, or at Fall
	N, NBaseline        int    // specimens, or rows without specimens

	// On the model's scale. Limits are 95 %: under Joint they hold all at once,
	// under Holm they are Bonferroni's, under None each stands alone.
	Amount, SE, DF, Lower, Upper, T, P, PAdjusted float64
	Lower90, Upper90                              float64

	// In per cent of the baseline, 9.8 for 9.8 %. Log: 100·(exp(x) − 1). Linear:
	// of the baseline's mean, limits after Fieller; NaN when they are unbounded.
	Percent, PercentLower, PercentUpper, PercentLower90, PercentUpper90 float64

	// The larger p of two one-sided tests against the margin; NaN without one.
	EquivalenceP, EquivalencePAdjusted float64

	Verdict Verdict // empty without a margin

	nearer lmm.Contrast // of the two one-sided tests, the one with the larger p
}

// Slope is the change per fall of one condition, on the model's scale.
type Slope struct {
	Condition                   string
	Slope, SE, DF, Lower, Upper float64
}

// TermTest is the type III F test of a term of the model.
type TermTest struct {
	Term           string
	F, DF1, DF2, P float64
}
