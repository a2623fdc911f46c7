package campaign

// AnalysisRule is the model that findings come from, said before the drops. The
// zero value is the default of each: falls as levels, the specimen the one
// random term, one spread, Kenward-Roger, no adjustment.
type AnalysisRule struct {
	FallsAs           FallsAs
	Blocks            []Block // random intercepts beside the specimen's
	SpreadByCondition bool    // the residual spread of each condition is its own
	DF                DF
	Adjust            Adjust // over the questions of one measure
}

// FallsAs is how the number of a fall enters the model.
type FallsAs string

const (
	FallLevels           FallsAs = ""                   // each fall has a mean of its own
	FallTrend            FallsAs = "trend"              // a straight line over the falls for each condition
	FallTrendPerSpecimen FallsAs = "trend-per-specimen" // and specimens that differ in theirs
)

// FallsAsAll lists every FallsAs.
func FallsAsAll() []FallsAs { return []FallsAs{FallLevels, FallTrend, FallTrendPerSpecimen} }

// Word is the word of a study file.
func (f FallsAs) Word() string { return orElse(f, "levels") }

// Block is something that specimens or falls share, taken as random.
type Block string

const (
	RopeBlock Block = "rope" // the rope that a specimen was cut from
	DayBlock  Block = "day"  // the day that a fall was made on
)

// Blocks lists every Block.
func Blocks() []Block { return []Block{RopeBlock, DayBlock} }

// DF is how degrees of freedom, and with them intervals, are had.
type DF string

const (
	KenwardRoger  DF = ""
	Satterthwaite DF = "satterthwaite"
)

// DFs lists every DF.
func DFs() []DF { return []DF{KenwardRoger, Satterthwaite} }

// Word is the word of a study file.
func (d DF) Word() string { return orElse(d, "kenward-roger") }

// Adjust is how it is allowed for that several questions are put.
type Adjust string

const (
	NoAdjustment Adjust = ""
	Holm         Adjust = "holm"
	Joint        Adjust = "joint" // multivariate t
)

// Adjusts lists every Adjust.
func Adjusts() []Adjust { return []Adjust{NoAdjustment, Holm, Joint} }

// Word is the word of a study file.
func (a Adjust) Word() string { return orElse(a, "none") }

func orElse[S ~string](s S, word string) string {
	if s == "" {
		return word
	}
	return string(s)
}
