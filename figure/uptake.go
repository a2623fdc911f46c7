package figure

import (
	"fmt"
	"math"
	"strings"

	"fallwright.example/uptake"
)

// Uptake draws what each condition took up against the minutes under water: every
// weighing as a mark, the law fitted to them as a line as far as they go, and, with
// limit, the pass limit of the test of water repellence as a dashed hairline to
// read by. It is in per cent of the dry mass. conditions are those of the plan, whose
// places fix colours and marks; nil without a plan.
func Uptake(answers []*uptake.Answer, conditions []string, limit bool, c Canvas) *Scene {
	s := newScene(c, "Uptake of water against time under water")
	s.Desc = uptakeWords(answers, limit)
	places, names := placesOf(answers, conditions)
	values := []float64{0}
	last := 0.0
	for _, a := range answers {
		last = math.Max(last, a.Last()/60)
		for _, p := range a.Points {
			values = append(values, 100*p.Uptake)
		}
	}
	top := 0.0
	if len(answers) > 1 {
		top = legend(s, names) + 8
	}
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 46}
	bottom := top + c.Height
	if last == 0 {
		s.empty("no weighing to draw")
		return s.finish(bottom, c)
	}
	if limit {
		values = append(values, 100*uptake.PassLimit)
	}
	y, up, _ := covering(s.Frame.Bottom, s.Frame.Top, values...)
	s.Frame.Left = widest(up) + labelGap + 2
	x, along, _ := covering(s.Frame.Left, s.Frame.Right, 0, last)
	upAxis(s, y, up, "Uptake, % of the dry mass")
	alongAxis(s, x, along, "minutes under water")
	if limit {
		passLine(s, y)
	}
	for k, a := range answers {
		i := places[k]
		s.add(Line{Points: lawPoints(a, x, y), Ink: Ink(i), Width: 2.2, Dash: DashOf(i)})
		for _, p := range a.Points {
			s.add(Dot{X: x.At(p.Time / 60), Y: y.At(100 * p.Uptake), Shape: ShapeOf(i), Size: 4, Ink: Ink(i), Of: p.Specimen})
		}
	}
	return s.finish(bottom, c)
}

// placesOf are the places of the answers' conditions in the plan, and the names for
// the key: those of other conditions are empty.
func placesOf(answers []*uptake.Answer, conditions []string) (places []int, key []string) {
	names := newPalette(conditions)
	for _, a := range answers {
		places = append(places, names.index(a.Condition))
	}
	key = make([]string, len(names))
	for k, i := range places {
		key[i] = answers[k].Condition
	}
	return places, key
}

// lawPoints is the fitted law from the start of the soak to its last weighing,
// closer at the start where it bends, and no further than the frame.
func lawPoints(a *uptake.Answer, x, y Scale) []Point {
	const pieces = 120
	var out []Point
	for i := range pieces + 1 {
		t := a.Last() * math.Pow(float64(i)/pieces, 2)
		v := 100 * a.Law.Value(t, a.P)
		out = append(out, Point{x.At(t / 60), y.At(math.Max(y.Low, math.Min(y.High, v)))})
	}
	return out
}

func passLine(s *Scene, y Scale) {
	at := y.At(100 * uptake.PassLimit)
	label := "5 %, limit of the water-repellent test; no rating"
	s.add(Line{Points: []Point{{s.Frame.Left, at}, {s.Frame.Right, at}}, Ink: Plain, Width: 1, Dash: []float64{2, 3}})
	if textWidth(label) < s.Frame.Width() {
		s.add(Text{X: s.Frame.Right, Y: at - 4, Anchor: End, Body: label, Ink: Soft})
	}
}

func uptakeWords(answers []*uptake.Answer, limit bool) string {
	if len(answers) == 0 {
		return "There are no weighings to draw."
	}
	var said []string
	for _, a := range answers {
		said = append(said, upper(a.Sentence())+".")
	}
	text := fmt.Sprintf("%s Marks are weighings, lines the laws fitted to them.", strings.Join(said, " "))
	if limit {
		text += " A line marks " + uptake.PassLimitSaid + "."
	}
	return text
}
