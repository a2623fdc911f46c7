package uptake

import (
	"errors"
	"math"
	"slices"

	"fallwright.example/num/lsq"
	"fallwright.example/num/nlmm"
	"fallwright.example/problem"
)

// Kind tells destructive weighings from repeated ones.
type Kind string

// The kinds.
const (
	Separate Kind = "separate" // each weighing is of a specimen of its own
	Repeated Kind = "repeated" // the same specimens are weighed again and again
	Alone    Kind = "alone"    // one specimen, weighed again and again
)

// Level of all intervals.
const Level = 0.95

// Shares of the saturation whose times are given.
func Shares() []float64 { return []float64{0.5, 0.9, 0.95} }

// Estimate is a value with its standard error and interval at Level. A Lower of 0
// or an Upper of +Inf is open: the data do not limit it. Value is NaN where it lies
// beyond what the data can tell.
type Estimate struct{ Value, SE, Lower, Upper float64 }

// Open reports whether the data leave the upper end open.
func (e Estimate) Open() bool { return math.IsInf(e.Upper, 1) || math.IsNaN(e.Value) }

// Reached is the time to a share of the saturation, s.
type Reached struct {
	Share float64
	Estimate
}

// Fit is a law fitted to the points of one condition.
type Fit struct {
	Law        Law
	Kind       Kind
	Points     []Point
	Specimens  int
	P, SE      []float64 // of the law; of a typical specimen where they are repeated
	DF         float64   // of intervals
	Sigma      float64   // residual standard deviation; in standard uncertainties where weighted
	Saturation Estimate
	Times      []Reached
	AICc       float64
	Weighted   bool

	// Between are standard deviations between specimens of ln W∞ and ln T; NaN
	// where they are not repeated or not estimated.
	BetweenSaturation, BetweenTime float64

	Residuals []float64   // of Points: from the specimen's own curve where they are repeated
	Own       [][]float64 // parameters of each specimen, in the order of Labels
	Labels    []string

	engine engine
}

// engine is what a fit was made by.
type engine interface {
	// seOf is the standard error of a function of the law's parameters.
	seOf(gradient []float64) float64
	// saturation and time are profile intervals.
	saturation() (lower, upper float64)
	time(share float64) (lower, upper float64)
}

// What counts as open; our own. An end beyond ten times the largest uptake seen,
// or a hundred times the longest soak, is no limit that a test can be planned by;
// below a hundredth of the first weighing a time is as good as none.
const (
	openUptake = 10.0
	openTime   = 100.0
	soonest    = 0.01
)

// FitLaw fits one law to the points of one condition, in time order for each
// specimen (see Ordered), and gives intervals at Level.
//
// Separate specimens, or a single one, are fitted by least squares, weighted by
// 1/u(W)² where asked and u is known; intervals are those of the profile
// [BatesWatts1988]. Several specimens weighed repeatedly are fitted by a nonlinear
// mixed model [LindstromBates1990]: ln W∞ and ln T (ln S) differ from specimen to
// specimen, REML for standard errors; intervals by the profile of −2 log
// likelihood L over n specimens,
//
//	L − L̂ ≤ n·ln(1 + t²/(n−1)),  t Student's on n − 1
//
// which is the t interval itself where all scatter is between specimens.
//
// It returns TooFew when the distinct times are no more than the parameters, or
// nothing was taken up, and Invalid when no curve of this law can be had from the
// points.
func FitLaw(law Law, points []Point, weighted bool) (*Fit, error) {
	f, err := fitOnly(law, points, weighted)
	if err == nil {
		f.ending()
		f.reaching()
	}
	return f, err
}

// fitOnly is FitLaw without the intervals of saturation and times, which take
// longer than the fit.
func fitOnly(law Law, points []Point, weighted bool) (*Fit, error) {
	f := &Fit{Law: law, Points: points, BetweenSaturation: math.NaN(), BetweenTime: math.NaN()}
	f.Kind, f.Labels = kindOf(points)
	f.Specimens = max(len(f.Labels), 1)
	if f.Kind == Separate {
		f.Specimens = len(points)
	}
	if err := enough(law, points); err != nil {
		return nil, err
	}
	var err error
	if f.Kind == Repeated {
		err = f.mixed()
	} else {
		f.Weighted = weighted && allKnown(points)
		err = f.single()
	}
	if err != nil {
		return nil, said(law, err)
	}
	f.estimates()
	return f, nil
}

// estimates fills what is the same for both kinds, but for intervals.
func (f *Fit) estimates() {
	n := len(f.P)
	f.SE = make([]float64, n)
	for k := range f.SE {
		g := make([]float64, n)
		g[k] = 1
		f.SE[k] = f.engine.seOf(g)
	}
	if !f.Law.Saturates() {
		f.Saturation = Estimate{math.NaN(), math.NaN(), math.NaN(), math.Inf(1)}
		return
	}
	f.Saturation = Estimate{f.P[0], f.SE[0], math.NaN(), math.NaN()}
	if f.P[0] > openUptake*largest(f.Points) {
		f.Saturation.Value, f.Saturation.SE = math.NaN(), math.NaN()
	}
}

// ending fills the interval of the saturation.
func (f *Fit) ending() {
	if f.Law.Saturates() {
		f.Saturation.Lower, f.Saturation.Upper = f.engine.saturation()
	}
}

// reaching fills the times to shares of the saturation, which take longer than all
// else.
func (f *Fit) reaching() {
	if !f.Law.Saturates() {
		return
	}
	for _, share := range Shares() {
		low, high := f.engine.time(share)
		v := f.Law.TimeTo(share, f.P)
		e := Estimate{v, f.engine.seOf(f.timeGradient(share)), low, high}
		if v > openTime*f.Last() {
			e.Value, e.SE, e.Upper = math.NaN(), math.NaN(), math.Inf(1)
		}
		f.Times = append(f.Times, Reached{share, e})
	}
}

// timeGradient is that of TimeTo, by differences in the shapes.
func (f *Fit) timeGradient(share float64) []float64 {
	g := make([]float64, len(f.P))
	g[1] = f.Law.TimeTo(share, f.P) / f.P[1]
	for k := 2; k < len(f.P); k++ {
		g[k] = slope(func(v float64) float64 {
			p := slices.Clone(f.P)
			p[k] = v
			return f.Law.TimeTo(share, p)
		}, f.P[k])
	}
	return g
}

// At is the uptake at a time, of a typical specimen, with the interval of the
// curve there: value ± t·SE on DF, SE by propagation.
func (f *Fit) At(t float64) Estimate {
	g := make([]float64, len(f.P))
	f.Law.Gradient(t, f.P, g)
	v, se := f.Law.Value(t, f.P), f.engine.seOf(g)
	h := tQuantile(f.DF) * se
	return Estimate{v, se, v - h, v + h}
}

// Term is a parameter as the trade writes it, with its standard error.
func (f *Fit) Term(i int) (Term, float64) {
	t := f.Law.Terms(f.P)[i]
	return t, f.engine.seOf(t.gradient)
}

// Last is the time of the last weighing, and First that of the first after 0.
func (f *Fit) Last() float64 { return lastOf(f.Points) }

// First is the earliest time above zero.
func (f *Fit) First() float64 { return firstOf(f.Points) }

func lastOf(points []Point) float64 {
	last := 0.0
	for _, p := range points {
		last = max(last, p.Time)
	}
	return last
}

func firstOf(points []Point) float64 {
	first := math.Inf(1)
	for _, p := range points {
		if p.Time > 0 {
			first = min(first, p.Time)
		}
	}
	return first
}

func largest(points []Point) float64 {
	most := 0.0
	for _, p := range points {
		most = max(most, p.Uptake)
	}
	return most
}

func allKnown(points []Point) bool {
	return !slices.ContainsFunc(points, func(p Point) bool { return !(p.U > 0) })
}

// kindOf tells the kinds apart, and lists the specimens in the order met.
func kindOf(points []Point) (Kind, []string) {
	var labels []string
	again := false
	for _, p := range points {
		switch {
		case p.Specimen == "":
		case slices.Contains(labels, p.Specimen):
			again = true
		default:
			labels = append(labels, p.Specimen)
		}
	}
	switch {
	case !again:
		return Separate, labels
	case len(labels) == 1:
		return Alone, labels
	}
	return Repeated, labels
}

// distinct is how many different times there are above zero.
func distinct(points []Point) int {
	seen := map[float64]bool{}
	for _, p := range points {
		if p.Time > 0 {
			seen[p.Time] = true
		}
	}
	return len(seen)
}

func enough(law Law, points []Point) error {
	n, need := distinct(points), law.Parameters()+1
	if n < need {
		return problem.New(problem.TooFew, law.Name, "%d different times of weighing, and the law needs %d", n, need).
			Hint("weigh at more times: some early, some late")
	}
	if !(largest(points) > 0) {
		return problem.New(problem.TooFew, law.Name, "nothing was taken up, so there is no curve")
	}
	return nil
}

// said makes the refusals of the mathematics this package's.
func said(law Law, err error) error {
	if len(problem.All(err)) > 0 {
		return err
	}
	for _, known := range []error{lsq.ErrNoProgress, lsq.ErrTooFew, lsq.ErrNotFinite, nlmm.ErrNoProgress, nlmm.ErrTooFew, nlmm.ErrNotFinite} {
		if errors.Is(err, known) {
			return problem.New(problem.Invalid, law.Name, "no curve of this law can be had from these weighings").
				Hint("weigh at more times, or choose another law")
		}
	}
	return err
}
