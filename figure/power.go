package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/power"
)

// Power draws the power of a question of a plan over the specimens of each
// condition, one line a number of falls, each named at its end, with the power
// wanted as a dashed line. An empty question is the one with the least power at
// each size. Sizes at which the plan cannot be judged are left out of the lines.
func Power(c *power.Curve, question string, wanted float64, canvas Canvas) *Scene {
	p := newPowers(c, question, wanted)
	s := newScene(canvas, p.title())
	s.Desc = p.words()
	s.Frame = Box{44, 28, s.Width - 6, canvas.Height - 30 - lineHeight}
	if len(p.lines) == 0 {
		s.empty("no size at which the plan can be judged")
		return s.finish(canvas.Height, canvas)
	}
	longest := 0.0
	for _, l := range p.lines {
		longest = math.Max(longest, boldWidth*textWidth(l.name()))
	}
	up := []Tick{{0, "0"}, {25, "25"}, {50, "50"}, {75, "75"}, {100, "100"}}
	s.Frame.Left = widest(up) + labelGap + 2
	s.Frame.Right = s.Width - longest - 34
	y := Scale{Low: 0, High: 100, From: s.Frame.Bottom, To: s.Frame.Top}
	upAxis(s, y, up, "Power, %")
	x := p.along(s)
	p.reference(s, y)
	for i, l := range p.lines {
		p.line(s, i, l, x, y)
	}
	p.endLabels(s, x, y)
	return s.finish(canvas.Height, canvas)
}

// powers is a Power on its way.
type powers struct {
	question string
	wanted   float64 // in per cent
	sizes    []int
	lines    []powerLine
}

// powerLine is one number of falls.
type powerLine struct {
	falls int
	at    []powerPoint // by specimens
}

type powerPoint struct {
	specimens int
	power, se float64 // in per cent
}

func newPowers(c *power.Curve, question string, wanted float64) *powers {
	p := &powers{question: question, wanted: 100 * wanted}
	for _, falls := range c.Falls {
		l := powerLine{falls: falls}
		for _, cell := range c.Cells {
			if cell.Falls != falls || cell.Result == nil {
				continue
			}
			if share, ok := powerOf(cell.Result, question); ok {
				l.at = append(l.at, powerPoint{cell.Specimens, 100 * share.P, 100 * share.SE})
			}
		}
		if len(l.at) == 0 {
			continue
		}
		slices.SortFunc(l.at, func(a, b powerPoint) int { return a.specimens - b.specimens })
		p.lines = append(p.lines, l)
		for _, at := range l.at {
			if !slices.Contains(p.sizes, at.specimens) {
				p.sizes = append(p.sizes, at.specimens)
			}
		}
	}
	slices.Sort(p.sizes)
	return p
}

// powerOf is the power of a question by name, or the least where none is named.
func powerOf(r *power.Result, question string) (power.Share, bool) {
	if question == "" {
		return r.Least().Power, true
	}
	for _, c := range r.Chances {
		if c.Question.Name == question {
			return c.Power, true
		}
	}
	return power.Share{}, false
}

func (p *powers) title() string {
	if p.question == "" {
		return "Power by specimens and falls, of the question with the least"
	}
	return "Power by specimens and falls: " + p.question
}

func (l powerLine) name() string { return Counted(l.falls, "fall") }

// along draws the axis of specimens; numbers that have no room are not written.
func (p *powers) along(s *Scene) Scale {
	low, high := float64(p.sizes[0]), float64(p.sizes[len(p.sizes)-1])
	if low == high {
		low, high = low-1, high+1
	}
	x := Scale{Low: low, High: high, From: s.Frame.Left + 10, To: s.Frame.Right - 10}
	var ticks []Tick
	last := math.Inf(-1)
	for _, n := range p.sizes {
		label := fmt.Sprint(n)
		if at := x.At(float64(n)); at-last >= textWidth(label)+labelGap {
			ticks = append(ticks, Tick{float64(n), label})
			last = at
		}
	}
	alongAxis(s, x, ticks, "specimens of each condition")
	return x
}

// reference draws the power wanted.
func (p *powers) reference(s *Scene, y Scale) {
	if !(p.wanted > 0 && p.wanted < 100) {
		return
	}
	at := y.At(p.wanted)
	s.add(Line{Points: []Point{{s.Frame.Left, at}, {s.Frame.Right, at}}, Ink: Sea, Width: 1.4, Dash: []float64{6, 4}},
		Text{X: s.Frame.Left + 4, Y: at - 5, Body: p.goal() + " wanted", Ink: Sea})
}

func (p *powers) goal() string { return fmt.Sprintf("%.4g %%", p.wanted) }

func (p *powers) line(s *Scene, i int, l powerLine, x, y Scale) {
	var points []Point
	for _, at := range l.at {
		points = append(points, Point{x.At(float64(at.specimens)), y.At(at.power)})
	}
	if len(points) > 1 {
		s.add(Line{Points: points, Ink: Ink(i), Width: 2.2, Dash: DashOf(i)})
	}
	for _, at := range points {
		s.add(Dot{X: at.X, Y: at.Y, Shape: ShapeOf(i), Size: 4.2, Ink: Ink(i)})
	}
}

// endLabels names each line right of the frame, level with its end as far as the
// others leave room.
func (p *powers) endLabels(s *Scene, x, y Scale) {
	ends, level := make([]Point, len(p.lines)), make([]float64, len(p.lines))
	for i, l := range p.lines {
		last := l.at[len(l.at)-1]
		ends[i] = Point{x.At(float64(last.specimens)), y.At(last.power)}
		level[i] = ends[i].Y
	}
	at := s.Frame.Right + 12
	for i, y := range spread(level, lineHeight, s.Frame.Top, s.Frame.Bottom) {
		s.add(Line{Points: []Point{{ends[i].X + 7, ends[i].Y}, {at - 7, y}}, Ink: Ink(i), Width: 0.8, Faint: true},
			Dot{X: at, Y: y, Shape: ShapeOf(i), Size: 4.8, Ink: Ink(i)},
			Text{X: at + 11, Y: y + 4.5, Body: p.lines[i].name(), Ink: Plain, Bold: true})
	}
}

// words says what the picture shows.
func (p *powers) words() string {
	if len(p.lines) == 0 {
		return "There is no size at which the plan can be judged."
	}
	var b strings.Builder
	worst := 0.0
	fmt.Fprintf(&b, "Power by specimens of each condition; %s is wanted.", p.goal())
	for _, l := range p.lines {
		fmt.Fprintf(&b, " %s:", upper(l.name()))
		reached := 0
		for i, at := range l.at {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, " %d specimens %.0f %%", at.specimens, at.power)
			if worst = math.Max(worst, at.se); reached == 0 && at.power >= p.wanted {
				reached = at.specimens
			}
		}
		if reached > 0 {
			fmt.Fprintf(&b, "; reached with %d.", reached)
		} else {
			b.WriteString("; not reached.")
		}
	}
	fmt.Fprintf(&b, " Each is known to ±%.1f points, one standard error of the simulation at the most.", worst)
	return b.String()
}
