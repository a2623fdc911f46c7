package uptake

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/problem"
)

// State is how far the weighings of a condition came.
type State string

// The states. They are decided by intervals at Level.
const (
	// Saturated: 95 % of the saturation was reached before the last weighing, by
	// the upper end of that time's interval.
	Saturated State = "saturated"
	// Rising: where it ends is known, and it was not there, or not surely.
	Rising State = "rising, end in sight"
	// StillRising: the weighings do not show where it ends. The law has no end, or
	// the upper end of the saturation's interval is open or beyond sight, or laws
	// that are as good end elsewhere.
	StillRising State = "still rising at the last weighing"
)

// Answer is what the weighings of one condition tell.
type Answer struct {
	Condition string
	*Fit               // the law chosen or asked for
	Tried     []*Fit   // every law that could be fitted, the least AICc first; the interval of the saturation only of those as good, times only of the law chosen
	LeftOut   []string // why other laws could not
	State     State
	Longer    float64 // s, a soak that would show the end; NaN where none is needed or can be told
	Notes     []string
}

// Answers fits the points of each condition, in the order met. law is empty for
// the one with the least AICc of its condition.
func Answers(points []Point, law string, weighted bool) ([]*Answer, error) {
	var names []string
	of := map[string][]Point{}
	for _, p := range points {
		if _, known := of[p.Condition]; !known {
			names = append(names, p.Condition)
		}
		of[p.Condition] = append(of[p.Condition], p)
	}
	if len(names) == 0 {
		return nil, problem.New(problem.TooFew, "", "there is no weighing")
	}
	var out []*Answer
	var list problem.List
	for _, name := range names {
		a, err := answer(name, of[name], law, weighted)
		if err != nil {
			for _, p := range problem.All(err) {
				p.Where = strings.Trim(name+", "+p.Where, ", ")
				list = append(list, p)
			}
			if len(problem.All(err)) == 0 {
				return nil, err
			}
			continue
		}
		out = append(out, a)
	}
	return out, list.Err()
}

func answer(name string, points []Point, law string, weighted bool) (*Answer, error) {
	a := &Answer{Condition: name, Longer: math.NaN()}
	if law != "" {
		l, err := LawNamed(law)
		if err != nil {
			return nil, err
		}
		if a.Fit, err = FitLaw(l, points, weighted); err != nil {
			return nil, err
		}
		a.Tried = []*Fit{a.Fit}
	} else if err := a.choose(points, weighted); err != nil {
		return nil, err
	}
	a.judge()
	a.remarks()
	if weighted && !a.Weighted {
		a.Notes = append(a.Notes, "not weighted: the scale's uncertainty is not known of every weighing, or specimens are weighed repeatedly and scatter by themselves")
	}
	return a, nil
}

// choose tries every law. Where there are too few points for an AICc, laws of the
// fewest parameters are told apart by their residual spread.
func (a *Answer) choose(points []Point, weighted bool) error {
	if !(largest(points) > 0) {
		return problem.New(problem.TooFew, "", "nothing was taken up, so there is no curve")
	}
	for _, l := range Laws() {
		f, err := fitOnly(l, points, weighted)
		if err != nil {
			for _, p := range problem.All(err) {
				a.LeftOut = append(a.LeftOut, fmt.Sprintf("%s: %s", l.Name, p.What))
			}
			continue
		}
		a.Tried = append(a.Tried, f)
	}
	if len(a.Tried) == 0 {
		return problem.New(problem.TooFew, "", "%d different times of weighing, and the simplest law needs 3", distinct(points)).
			Hint("weigh at more times: some early, some late")
	}
	slices.SortStableFunc(a.Tried, func(f, g *Fit) int {
		if c := cmp.Compare(f.AICc, g.AICc); c != 0 && !math.IsNaN(f.AICc-g.AICc) {
			return c
		}
		if c := cmp.Compare(f.Law.Parameters(), g.Law.Parameters()); c != 0 {
			return c
		}
		return cmp.Compare(f.Sigma, g.Sigma)
	})
	a.Fit = a.Tried[0]
	for _, f := range a.asGood() {
		f.ending()
	}
	a.reaching()
	return nil
}

// sight is how far beyond the uptake at the last weighing an end is believed,
// whatever the law says of it; our own.
const sight = 1.5

// inSight reports whether the end of a fit is known and near what was weighed.
func (f *Fit) inSight() bool {
	return f.Law.Saturates() && !f.Saturation.Open() && f.Saturation.Upper <= sight*f.Law.Value(f.Last(), f.P)
}

// judge decides the state.
func (a *Answer) judge() {
	switch {
	case a.Law.Saturates() && !a.Saturation.Open() && a.Times[2].Upper <= a.Last() && a.allThere():
		a.State = Saturated
	case !a.inSight() || a.Hangs():
		a.State = StillRising
	default:
		a.State = Rising
	}
	if a.State == Saturated {
		return
	}
	for _, f := range a.asGood() { // by the first of them that can tell
		if a.Longer = f.longer(); !math.IsNaN(a.Longer) {
			return
		}
	}
}

// there is the share of its end that each law as good has to have at the last
// weighing, for the rope to be called saturated.
const there = 0.95

// allThere reports whether the rope is at its end by every law that is as good.
func (a *Answer) allThere() bool {
	for _, f := range a.asGood() {
		if end := f.Saturation.Value; !f.Law.Saturates() || !(f.Law.Value(a.Last(), f.P) >= there*end) {
			return false
		}
	}
	return true
}

// closeBy is how far in AICc another law is as good as the best; common practice.
const closeBy = 2.0

// asGood are the laws within closeBy of the best, itself first. Where there are too
// few points for an AICc, all with no more parameters are.
func (a *Answer) asGood() []*Fit {
	out := []*Fit{a.Fit}
	blind := math.IsInf(a.AICc, 1)
	for _, f := range a.Tried[1:] {
		if f.AICc-a.AICc <= closeBy || blind && f.Law.Parameters() <= a.Law.Parameters() {
			out = append(out, f)
		}
	}
	return out
}

// Hangs reports whether where it ends hangs on the choice of the law: of laws that
// are as good, one has no end in reach, or ends outside the interval of the law
// chosen.
func (a *Answer) Hangs() bool {
	return slices.ContainsFunc(a.asGood(), func(f *Fit) bool {
		return !f.Law.Saturates() || f.Saturation.Open() || f.Saturation.Value < a.Saturation.Lower || f.Saturation.Value > a.Saturation.Upper
	})
}

// longer is how long a soak would have to be to show the end: the shortest of
// soaks of 1.5 to 64 times the longest so far at which, weighings being added at
// every half as long again where the law says, the end is in sight and 95 % of it
// reached. NaN where the law has no end or none of them does. Specimens are taken
// as separate in it, which is on the careful side.
func (f *Fit) longer() float64 {
	if !f.Law.Saturates() || math.IsNaN(f.Saturation.Value) {
		return math.NaN()
	}
	points := slices.Clone(f.Points)
	each := 1
	if f.Kind == Repeated {
		each = f.Specimens
	}
	for i := range points {
		points[i].Specimen = ""
	}
	for at := 1.5 * f.Last(); at <= 64*f.Last(); at *= 1.5 {
		for range each {
			points = append(points, Point{Time: at, Uptake: f.Law.Value(at, f.P), U: points[0].U})
		}
		if at < f.Law.TimeTo(0.95, f.P) {
			continue
		}
		g, err := fitOnly(f.Law, points, f.Weighted)
		if err != nil {
			continue
		}
		if g.Saturation.Lower, g.Saturation.Upper = g.engine.saturation(); g.inSight() {
			return at
		}
	}
	return math.NaN()
}

// remarks are what a reader must know beside the numbers.
func (a *Answer) remarks() {
	f := a.Fit
	note := func(format string, args ...any) { a.Notes = append(a.Notes, fmt.Sprintf(format, args...)) }
	switch f.Kind {
	case Alone:
		note("one specimen: intervals hold the scatter of its weighings, not that between specimens")
	case Repeated:
		if f.Specimens < 3 {
			note("%d specimens: what varies between them is hardly known, and intervals are wide", f.Specimens)
		}
	}
	if math.IsInf(f.AICc, 1) && len(a.Tried) > 1 {
		note("too few weighings to choose a law by AICc: of those with the fewest parameters the one with the least scatter is shown")
	}
	var as []string
	for _, g := range a.asGood()[1:] {
		as = append(as, g.Law.Name)
	}
	if len(as) > 0 {
		note("as good within %g of AICc: %s", closeBy, strings.Join(as, ", "))
		if a.State != Saturated && a.Hangs() {
			note("where it ends hangs on the choice of the law: %s", a.ends())
		}
	}
	if f.Law.Saturates() && f.Times[0].Lower == 0 {
		note("the rise was over by the first weighing or nearly so: how fast it was is not known; weigh earlier")
	}
}

// ends says where the laws that are as good end.
func (a *Answer) ends() string {
	var said []string
	for _, f := range a.asGood() {
		end := "open"
		if !f.Law.Saturates() {
			end = "no end"
		} else if !f.Saturation.Open() {
			end = percent(f.Saturation.Value)
		}
		said = append(said, f.Law.Name+" "+end)
	}
	return strings.Join(said, ", ")
}
