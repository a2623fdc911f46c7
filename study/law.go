package study

import (
	"math"
	"strings"
	"sync"

	"fallwright.example/fall/fit"
	"fallwright.example/problem"
)

// AllLaws is the name under which a law is asked for to be chosen among all.
const AllLaws = "all"

// UsualLaw is what a study's falls are fitted by where nobody says otherwise.
const UsualLaw = "stiffening"

// Law is a law fitted to a fall, or to the series of one specimen.
type Law struct {
	Falls  []LawFall
	Form   fit.Form
	Fits   []*fit.Fit  // of each fall by itself
	Course *fit.Course // of the series; nil for a fall alone
	Ranks  []LawRank   // of the laws tried, the best by AICc first; one alone was not chosen
	Left   []string    // falls that were left out, and why
	Next   []LawNext   // how they foretell the last fall from those before, the best first; nil where that was not asked or cannot be
}

// LawRank is one law beside others.
type LawRank struct {
	Name       string
	Parameters int     // of the law
	SD         float64 // N, of the residuals
	Behind     float64 // AICc above that of the best
}

// LawNext is how a law foretells.
type LawNext struct {
	Name       string
	Out, Noise float64 // N rms, of what was foretold and of the baseline
}

// LawNames are the names of the laws that can be asked for, without knots.
func LawNames() []string {
	var out []string
	for _, f := range fit.Forms() {
		out = append(out, f.Key())
	}
	return out
}

// lawForms are the forms asked for.
func lawForms(name string) ([]fit.Form, error) {
	if name == AllLaws {
		return fit.Forms(), nil
	}
	form, err := fit.FormOf(name)
	if err != nil {
		return nil, problem.New(problem.NotFound, "law", "there is no law %q", name).
			Hint("the laws are linear, kelvin-voigt, zener, stiffening and sliding; \"knotted \" before the name puts knots on it; %s chooses", AllLaws)
	}
	return []fit.Form{form}, nil
}

// FitFall fits a law to one fall with all its bounces: the law named, or by AllLaws
// the simplest among those that AICc cannot tell from the best.
func FitFall(f LawFall, name string) (*Law, error) {
	forms, err := lawForms(name)
	if err != nil {
		return nil, err
	}
	ranks, err := fit.Choose(f.Samples, f.Rate, f.Setting, forms...)
	if err != nil {
		return nil, located(err, f.Name)
	}
	best := fit.Simplest(ranks)
	out := &Law{Falls: []LawFall{f}, Form: best.Form, Fits: []*fit.Fit{best.Fit}}
	for _, r := range ranks {
		out.Ranks = append(out.Ranks, LawRank{r.Form.Name, len(r.Form.Keys()), r.SD, r.Behind})
	}
	return out, nil
}

// FitSeries fits a law to the falls of one specimen, in their order and with the
// rests between them: the law named, or by AllLaws the one that foretells the last
// fall best from those before, where there are four, else the best by AICc, the
// simplest of those as good.
func FitSeries(falls []LawFall, name string) (*Law, error) {
	forms, err := lawForms(name)
	if err != nil {
		return nil, err
	}
	bare := make([]fit.Fall, len(falls))
	for i, f := range falls {
		bare[i] = f.Fall
	}
	out := &Law{Falls: falls}
	var order []fit.Foresight
	var wait sync.WaitGroup
	if len(falls) > fewestOfSeries {
		wait.Go(func() { order, _ = fit.ByNext(bare, forms...) }) // what foretells nothing is left out
	}
	ranks, err := fit.ChooseSeries(bare, forms...)
	wait.Wait()
	if err != nil {
		return nil, lawRefused(err)
	}
	best := fit.SimplestOfSeries(ranks)
	for _, o := range order {
		out.Next = append(out.Next, LawNext{o.Form.Name, o.Out, o.Noise})
	}
	if len(order) > 0 {
		for _, r := range ranks {
			if r.Form.Name == fit.SimplestNext(order).Form.Name {
				best = r
			}
		}
	}
	for _, r := range ranks {
		out.Ranks = append(out.Ranks, LawRank{r.Form.Name, len(r.Form.Keys()), rms(r.Residual), r.Behind})
	}
	out.Form, out.Course, out.Fits = best.Form, best.Course, best.Fits
	return out, nil
}

// fewestOfSeries is how many falls make a course.
const fewestOfSeries = 3

// lawRefused names the series in a refusal once.
func lawRefused(err error) error {
	for _, p := range problem.All(err) {
		p.What = strings.TrimPrefix(p.What, p.Where+": ")
	}
	return err
}

func rms(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x * x / float64(len(v))
	}
	return math.Sqrt(sum)
}

// Known is the law as it was in the fall of a number.
func (l *Law) Known(number int) (fit.Known, bool) {
	for i, f := range l.Falls {
		switch {
		case f.Number != number:
		case l.Course != nil:
			return l.Course.Known(i + 1), true
		default:
			return l.Fits[i].Known(), true
		}
	}
	return fit.Known{}, false
}
