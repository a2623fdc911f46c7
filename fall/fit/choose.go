package fit

import (
	"cmp"
	"math"
	"slices"
)

// Rank is one law among several for the same trace.
type Rank struct {
	*Fit
	Behind float64 // AICc above that of the best
	Weight float64 // share of the evidence, e^(−Behind/2) over their sum
}

// Choose fits a trace by several laws and orders them by AICc. All are judged by
// one effective number, that of the law with the smallest residuals: a law that
// fails leaves residuals that hang together, and would be let off by its own.
// Forms that come nowhere near are left out; the error is that of the last.
func Choose(samples []float64, rate float64, setting Setting, forms ...Form) ([]Rank, error) {
	var out []Rank
	var refused error
	for _, form := range forms {
		f, err := Trace(samples, rate, setting, form)
		if err != nil {
			refused = err
			continue
		}
		out = append(out, Rank{Fit: f})
	}
	if len(out) == 0 {
		return nil, refused
	}
	closest := slices.MinFunc(out, func(a, b Rank) int { return cmp.Compare(a.sum, b.sum) })
	for i := range out {
		out[i].AICc = aicc(out[i].sum, len(out[i].Measured), closest.Effective, len(out[i].Parameters))
	}
	slices.SortStableFunc(out, func(a, b Rank) int { return cmp.Compare(a.AICc, b.AICc) })
	all := 0.0
	for i := range out {
		out[i].Behind = out[i].AICc - out[0].AICc
		out[i].Weight = math.Exp(-out[i].Behind / 2)
		all += out[i].Weight
	}
	for i := range out {
		out[i].Weight /= all
	}
	return out, nil
}

// Simplest is the law with the fewest parameters among those no more than 2
// behind the best: what a longer law gains by so little is chance more often than
// not. A stiffening law whose growth the data put at nothing is a Zener solid.
func Simplest(ranks []Rank) Rank {
	near := ranks[:1]
	for i, r := range ranks {
		if r.Behind <= 2 {
			near = ranks[:i+1]
		}
	}
	return slices.MinFunc(near, func(a, b Rank) int { return cmp.Compare(len(a.Parameters), len(b.Parameters)) })
}

// SeriesRank is one law among several for the same series.
type SeriesRank struct {
	*Course
	AICc   float64
	Behind float64 // AICc above that of the best
}

// ChooseSeries is Choose for a series: all falls of it fitted at once by each form,
// knotted ones among them.
func ChooseSeries(falls []Fall, forms ...Form) ([]SeriesRank, error) {
	var out []SeriesRank
	var refused error
	for _, form := range forms {
		c, err := Series(falls, form)
		if err != nil {
			refused = err
			continue
		}
		out = append(out, SeriesRank{Course: c})
	}
	if len(out) == 0 {
		return nil, refused
	}
	closest := slices.MinFunc(out, func(a, b SeriesRank) int { return cmp.Compare(a.found.S, b.found.S) })
	for i, r := range out {
		out[i].AICc = aicc(r.found.S, r.found.DF+len(r.found.P), closest.effective, len(r.found.P))
	}
	slices.SortStableFunc(out, func(a, b SeriesRank) int { return cmp.Compare(a.AICc, b.AICc) })
	for i := range out {
		out[i].Behind = out[i].AICc - out[0].AICc
	}
	return out, nil
}

// SimplestOfSeries is Simplest for a series.
func SimplestOfSeries(ranks []SeriesRank) SeriesRank {
	near := ranks[:1]
	for i, r := range ranks {
		if r.Behind <= 2 {
			near = ranks[:i+1]
		}
	}
	return slices.MinFunc(near, func(a, b SeriesRank) int { return cmp.Compare(len(a.found.P), len(b.found.P)) })
}

// Foresight is how well a law fitted to all falls but the last foretells that.
type Foresight struct {
	Form   Form
	Course *Course // of the falls before
	Out    float64 // N rms, last trace less what was foretold; its guide friction, contact and zero are fitted
	Noise  float64 // N, of the last trace's baseline: the least that can be
}

// ByNext orders laws by how well they foretell the last fall of a series from
// those before. Forms that come nowhere near are left out; the error is that of
// the last.
func ByNext(falls []Fall, forms ...Form) ([]Foresight, error) {
	var out []Foresight
	var refused error
	for _, form := range forms {
		f, err := foresee(falls, form)
		if err != nil {
			refused = err
			continue
		}
		out = append(out, f)
	}
	if len(out) == 0 {
		return nil, refused
	}
	slices.SortStableFunc(out, func(a, b Foresight) int { return cmp.Compare(a.Out, b.Out) })
	return out, nil
}

// SimplestNext is the law with the fewest parameters among those that foretell
// within a twentieth of the best.
func SimplestNext(order []Foresight) Foresight {
	near := order[:1]
	for i, f := range order {
		if f.Out <= 1.05*order[0].Out {
			near = order[:i+1]
		}
	}
	return slices.MinFunc(near, func(a, b Foresight) int { return cmp.Compare(len(a.Form.terms), len(b.Form.terms)) })
}

func foresee(falls []Fall, form Form) (Foresight, error) {
	n := max(len(falls)-1, 0)
	course, err := Series(falls[:n], form)
	if err != nil {
		return Foresight{}, err
	}
	last := falls[n]
	f, err := Trace(last.Samples, last.Rate, last.Setting, Given(course.Next(last.Rest)))
	if err != nil {
		return Foresight{}, err
	}
	return Foresight{Form: form, Course: course, Out: f.SD, Noise: f.Noise}, nil
}
