// Package compare goes from readings to findings: what each condition did at
// each fall, how it differs from the baseline, and what that says about the
// questions that were put.
//
// The method is one-way, one value a specimen: a specimen's falls are brought
// to one number first, so that the specimen is the unit of evidence, and two
// conditions are compared by Welch's t interval, which does not take their
// spreads to be equal. It borrows nothing from the other conditions and knows
// nothing of ropes, lots or days. Method says so in the words for readers.
//
// Values are SI. Refusals are *problem.Problem.
package compare

// Method names the method and what it does not do, for printing beside every
// set of findings.
const Method = "One-way comparison by Welch's t interval, one value a specimen: " +
	"the mean over the falls that the question names. " +
	"A margin in per cent is judged on logarithms, so the figure is a ratio of geometric means; " +
	"a margin in a unit on the values as they are. " +
	"The specimens of a condition are taken to be independent and, on that scale, roughly normal; their spread may differ between conditions. " +
	"The method does not use the other conditions, knows nothing of ropes, lots, days or the order of drops, " +
	"does not look for odd specimens, and does not adjust for several questions or falls: " +
	"of twenty comparisons without any true difference, about one interval will exclude zero. " +
	"A verdict of higher or lower says that a difference was seen and that its best estimate matters, " +
	"not that the true difference is known to exceed the margin."

// Observation is one value of one fall that counts.
type Observation struct {
	Specimen  string
	Condition string
	Fall      int
	Value     float64 // SI
}

// Cell is one condition at one fall. SD, SE and the limits are NaN for one
// specimen, the limits also when all values are the same; NaN is null in JSON.
type Cell struct {
	Condition string    `json:"condition"`
	Fall      int       `json:"fall"`
	N         int       `json:"n"`
	Mean      float64   `json:"mean"`
	SD        float64   `json:"sd"`
	SE        float64   `json:"se"`
	DF        float64   `json:"df"`
	Lower     float64   `json:"lower"` // 95 %, Student's t on N-1
	Upper     float64   `json:"upper"`
	Specimens []string  `json:"specimens"` // beside Values, sorted by label
	Values    []float64 `json:"values"`
}

// Difference is one condition against the baseline at one fall (or over
// several, Fall zero). With fewer than two specimens on a side, or no spread
// on both, only the differences themselves are there and the rest is NaN; NaN
// is null in JSON.
type Difference struct {
	Condition string  `json:"condition"`
	Baseline  string  `json:"baseline"`
	Fall      int     `json:"fall"`
	N         int     `json:"n"`
	NBaseline int     `json:"n_baseline"`
	Amount    float64 `json:"difference"` // of the means, SI
	SE        float64 `json:"se"`
	DF        float64 `json:"df"` // Welch-Satterthwaite
	Lower     float64 `json:"lower"`
	Upper     float64 `json:"upper"`
	T         float64 `json:"t"`
	P         float64 `json:"p"`

	// In per cent of the baseline, 9.8 for 9.8 %: Welch's interval on
	// logarithms, 100·(exp(x) − 1), so these are ratios of geometric means.
	// NaN where a value is not positive.
	Percent      float64 `json:"percent"`
	PercentLower float64 `json:"percent_lower"`
	PercentUpper float64 `json:"percent_upper"`
	PercentDF    float64 `json:"percent_df"`
	PercentP     float64 `json:"percent_p"`

	// The 90 % limits, for two one-sided tests at 5 % against a margin.
	Lower90        float64 `json:"lower_90"`
	Upper90        float64 `json:"upper_90"`
	PercentLower90 float64 `json:"percent_lower_90"`
	PercentUpper90 float64 `json:"percent_upper_90"`
}

// Verdict is the answer to a question.
type Verdict string

const (
	Higher       Verdict = "higher" // Word has "harder" where the measure is peak force
	Lower        Verdict = "lower"  // likewise "softer"
	NoDifference Verdict = "no difference that matters"
	NotSettled   Verdict = "not settled"
	NoClaim      Verdict = "no claim" // no interval can be had; a note says why
)

// Word is the verdict as the trade says it of a measure: a higher peak force is
// a harder catch, a lower one a softer.
func (v Verdict) Word(measure string) string {
	if measure == "peak force" {
		switch v {
		case Higher:
			return "harder"
		case Lower:
			return "softer"
		}
	}
	return string(v)
}

// Question is what Put needs of a question.
type Question struct {
	Name      string  `json:"name"`
	Asks      string  `json:"asks"`
	Measure   string  `json:"measure"` // "peak force"
	Unit      string  `json:"unit"`    // of the measure in SI, for the words of an amount: "N"
	Condition string  `json:"condition"`
	Baseline  string  `json:"baseline"`
	Falls     []int   `json:"falls"`
	Share     float64 `json:"margin_share"`  // margin as a share of the baseline; 0 when Amount is set
	Amount    float64 `json:"margin_amount"` // margin in SI; 0 when Share is set
}

// Answer is a question with its verdict and what it rests on.
type Answer struct {
	Question   Question   `json:"question"`
	Verdict    Verdict    `json:"verdict"`
	Difference Difference `json:"difference"`
	Sentence   string     `json:"sentence"` // the finding in plain words, numbers included
	Rule       string     `json:"rule"`     // the rule that gave the verdict
	Notes      []string   `json:"notes"`    // what a careful reader should know, with the cure
	// Needed is the number of specimens a condition at which the 95 % interval
	// would reach no further than the margin on each side of the estimate, at
	// the spread seen; 0 when settled or already as narrow, Unknown when it cannot
	// be had: no interval, no spread, or more than anybody could drop.
	Needed int `json:"needed"`
}

// Unknown is a Needed that cannot be had; null in JSON.
const Unknown = -1
