package figure

import (
	"fmt"
	"math"

	"fallwright.example/uptake"
)

// UptakeResiduals draws what the laws leave over of each weighing, in percentage
// points of the dry mass, against the minutes under water. The minutes are spaced
// as their square roots, since weighings crowd at the start. A bend that the marks
// of a condition share is a law that does not fit. conditions are as in Uptake.
func UptakeResiduals(answers []*uptake.Answer, conditions []string, c Canvas) *Scene {
	s := newScene(c, "Uptake: residuals against time under water")
	places, names := placesOf(answers, conditions)
	var left []float64
	last, largest := 0.0, 0.0
	for _, a := range answers {
		last = math.Max(last, a.Last()/60)
		for _, r := range a.Residuals {
			left = append(left, 100*r)
			largest = math.Max(largest, math.Abs(100*r))
		}
	}
	s.Desc = fmt.Sprintf("Each mark is what the law leaves over of one weighing, against the time under water. %s; the largest is %s percentage points.",
		upper(Counted(len(left), "weighing")), Fixed(largest, 1))
	top := 0.0
	if len(answers) > 1 {
		top = legend(s, names) + 8
	}
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 46}
	bottom := top + c.Height
	if last == 0 {
		s.empty("no residuals to draw")
		return s.finish(bottom, c)
	}
	y, up, _ := covering(s.Frame.Bottom, s.Frame.Top, append(left, -1, 1)...)
	s.Frame.Left = widest(up) + labelGap + 2
	x := Scale{Low: 0, High: math.Sqrt(last) * 1.02, From: s.Frame.Left, To: s.Frame.Right}
	upAxis(s, y, up, "Left over, percentage points")
	alongAxis(s, x, rootTicks(last, s.Frame.Width()), "minutes under water, square-root scale")
	for n, a := range answers {
		i := places[n]
		for k, p := range a.Points {
			s.add(Dot{X: x.At(math.Sqrt(p.Time / 60)), Y: y.At(100 * a.Residuals[k]), Shape: ShapeOf(i), Size: 4, Ink: Ink(i), Of: p.Specimen})
		}
	}
	return s.finish(bottom, c)
}

// rootTicks are round minutes on a scale of square roots, with room between labels.
func rootTicks(last, width float64) (out []Tick) {
	before := math.Inf(-1)
	for _, t := range []float64{0, 1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 960, 1440, 2880, 4320, 10080} {
		at := math.Sqrt(t/last) * width
		if t > last || at-before < 26 {
			continue
		}
		out = append(out, Tick{Value: math.Sqrt(t), Label: fmt.Sprintf("%g", t)})
		before = at
	}
	return out
}
