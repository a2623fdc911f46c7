package figure

import (
	"fmt"
	"math"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// Effect draws the answer to a question: the difference as a mark, its 95 %
// interval as a thick stroke with the 90 % limits marked on it, over the margin
// as a band and a line at zero. It is in per cent where the margin is a share,
// otherwise in the measure's unit. conditions are the plan's, in order.
func Effect(a compare.Answer, conditions []string, c Canvas) *Scene {
	e := newEffect(a)
	s := newScene(c, fmt.Sprintf("%s of %s against %s", upper(a.Question.Measure), a.Question.Condition, a.Question.Baseline))
	s.Desc = e.words(a)
	s.Frame = Box{14, 32, s.Width - 14, c.Height - 46}
	x, ticks, _ := covering(s.Frame.Left, s.Frame.Right, 0, e.at, e.low, e.high, -1.15*e.margin, 1.15*e.margin)

	s.add(Band{Box{x.At(-e.margin), s.Frame.Top, x.At(e.margin), s.Frame.Bottom}, SeaSoft})
	alongAxis(s, x, ticks, "")
	s.add(Line{Points: []Point{{x.At(0), s.Frame.Top}, {x.At(0), s.Frame.Bottom}}, Ink: Soft, Width: 1},
		Text{X: e.besideZero(x), Y: s.Frame.Bottom - 7, Anchor: Start, Body: e.marginWords(), Ink: Soft})
	e.directions(s, c.Height-8, a)

	names := newPalette(conditions)
	e.interval(s, x, names.index(a.Question.Condition))
	return s.finish(c.Height, c)
}

// effect is an answer in the numbers that are drawn.
type effect struct {
	unit          Unit
	at            float64 // the difference; NaN when it cannot be had
	low, high     float64 // 95 %
	low90, high90 float64 // 90 %
	margin        float64
}

func newEffect(a compare.Answer) effect {
	d, q := a.Difference, a.Question
	if q.Share > 0 {
		return effect{Unit{"%", 1, 1}, d.Percent, d.PercentLower, d.PercentUpper, d.PercentLower90, d.PercentUpper90, 100 * q.Share}
	}
	u := UnitOf(campaign.Measure(q.Measure))
	k := u.Scale
	u.Scale = 1
	return effect{u, k * d.Amount, k * d.Lower, k * d.Upper, k * d.Lower90, k * d.Upper90, k * q.Amount}
}

func (e effect) marginWords() string { return "margin ±" + asSet(e.unit, e.margin) }

// asSet writes a margin as it was set, without idle zeros.
func asSet(u Unit, margin float64) string {
	for u.Decimals > 0 && math.Abs(margin-round(margin, u.Decimals-1)) < 1e-9*margin {
		u.Decimals--
	}
	return u.With(margin)
}

// besideZero is where the margin's words start: in the band's left half when
// they fit there, otherwise right of zero.
func (e effect) besideZero(x Scale) float64 {
	if left := x.At(-e.margin) + 6; left+textWidth(e.marginWords()) < x.At(0) {
		return left
	}
	return math.Min(x.At(0)+6, x.To-textWidth(e.marginWords()))
}

func round(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p) / p
}

func (e effect) directions(s *Scene, y float64, a compare.Answer) {
	down := "← " + compare.Lower.Word(a.Question.Measure)
	up := compare.Higher.Word(a.Question.Measure) + " →"
	s.add(Text{X: s.Frame.Left, Y: y, Body: down, Ink: Soft},
		Text{X: s.Frame.Right, Y: y, Anchor: End, Body: up, Ink: Soft})
	name := "against " + a.Question.Baseline + ", " + e.unit.Name
	if textWidth(name)/2 < s.Frame.Width()/2-textWidth(up)-labelGap {
		s.add(Text{X: (s.Frame.Left + s.Frame.Right) / 2, Y: y, Anchor: Middle, Body: name, Ink: Soft})
	}
}

func (e effect) interval(s *Scene, x Scale, condition int) {
	y := s.Frame.Top + 0.4*s.Frame.Height()
	ink := Ink(condition)
	if known(e.low) && known(e.high) {
		s.add(Bar{A: Point{x.At(e.low), y}, B: Point{x.At(e.high), y}, Ink: ink, Width: 4})
		for _, v := range []float64{e.low90, e.high90} {
			if known(v) {
				s.add(Line{Points: []Point{{x.At(v), y - 8}, {x.At(v), y + 8}}, Ink: ink, Width: 2})
			}
		}
	}
	label := e.numbers()
	at := 0.0
	if known(e.at) {
		at = e.at
		s.add(Dot{X: x.At(at), Y: y, Shape: ShapeOf(condition), Size: 7, Ink: ink})
	}
	s.add(Text{X: inside(x.At(at), label, s.Width), Y: s.Frame.Top - 9, Anchor: Middle, Body: label, Ink: Plain, Bold: true})
}

// numbers writes the difference with its interval.
func (e effect) numbers() string {
	if !known(e.at) {
		return "no difference can be given"
	}
	limits := Range(e.low, e.high, e.unit.Decimals)
	if limits == Missing {
		return e.unit.Signed(e.at) + ", no interval"
	}
	return e.unit.Signed(e.at) + " (" + limits + ")"
}

func (e effect) words(a compare.Answer) string {
	return fmt.Sprintf("Difference of %s to %s in %s: %s; 95 %% interval in brackets. 90 %% limits: %s. The band is the %s. Verdict: %s.",
		a.Question.Condition, a.Question.Baseline, a.Question.Measure, e.numbers(),
		Range(e.low90, e.high90, e.unit.Decimals), e.marginWords(), a.Verdict.Word(a.Question.Measure))
}
