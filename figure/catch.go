package figure

import (
	"fmt"
	"math"

	"fallwright.example/field"
)

// CaughtFall is a fall on the wall with a name and its place among conditions.
// The outcome has frames.
type CaughtFall struct {
	Name      string
	Condition int
	Catch     field.Catch
	Outcome   *field.Outcome
}

// sideView is the fall seen along the wall, the same scale both ways.
type sideView struct {
	*Scene
	out, up Scale
	falls   []CaughtFall
	words   []beside
}

// Caught draws falls from the side: wall, runners, ground, the way of each
// climber with a mark every tenth of a second, the rope where it first holds, at
// the lowest point and at the wall. Falls are told apart by mark and dash.
func Caught(falls []CaughtFall, c Canvas) *Scene {
	v := sideView{Scene: newScene(c, "The fall from the side"), falls: falls}
	v.Desc = caughtWords(falls)
	top := 10.0
	for _, f := range falls {
		top += lineHeight
		v.legend(f, top)
	}
	v.Frame = Box{50, top + 36, c.Width - 14, top + c.Height - 40}
	if len(falls) == 0 || len(falls[0].Outcome.Frames) < 2 {
		v.empty("there is no fall to draw")
		return v.finish(v.Frame.Bottom+42, c)
	}
	v.fit()
	upAxis(v.Scene, v.up, TicksWithin(v.up.Low, v.up.High), "height from the top runner, m")
	alongAxis(v.Scene, v.out, TicksWithin(v.out.Low, v.out.High), "out from the top runner, m")
	v.wall()
	v.runners()
	for _, f := range falls {
		v.fall(f)
	}
	v.write()
	return v.finish(v.Frame.Bottom+42, c)
}

func (v *sideView) legend(f CaughtFall, y float64) {
	v.add(Line{Points: []Point{{2, y - 4}, {34, y - 4}}, Ink: Ink(f.Condition), Width: 1.8, Dash: DashOf(f.Condition)},
		Dot{X: 18, Y: y - 4, Shape: ShapeOf(f.Condition), Size: 4, Ink: Ink(f.Condition)},
		Text{X: 42, Y: y, Body: f.Name, Ink: Plain})
}

// fit chooses one scale that shows the whole of every fall, the wall beside it,
// and the ground where it is near.
func (v *sideView) fit() {
	left, right, low, high := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, f := range v.falls {
		for _, p := range f.shown() {
			left, right = min(left, p.Climber[0]), max(right, p.Climber[0])
			low, high = min(low, p.Climber[2]), max(high, p.Climber[2])
		}
	}
	left, right, low, high = min(left, 0)-0.8, max(right, 0)+0.8, low-0.5, max(high, 0)+0.5
	for _, f := range v.falls {
		if f.Catch.Floor < -low+3 {
			low = min(low, -f.Catch.Floor-0.3)
		}
	}
	per := min(v.Frame.Width()/(right-left), v.Frame.Height()/(high-low)) // px/m
	middle, across := (left+right)/2, v.Frame.Width()/per/2
	v.out = Scale{Low: middle - across, High: middle + across, From: v.Frame.Left, To: v.Frame.Right}
	mid, tall := (low+high)/2, v.Frame.Height()/per/2
	v.up = Scale{Low: mid - tall, High: mid + tall, From: v.Frame.Bottom, To: v.Frame.Top}
}

func (v *sideView) at(x, z float64) Point { return Point{v.out.At(x), v.up.At(z)} }

// wall draws the wall and the ground of the first fall; falls beside each other
// share them or are told apart in words.
func (v *sideView) wall() {
	c := v.falls[0].Catch
	if !c.Wall.None {
		slope := math.Tan(c.Wall.Overhang)
		var points []Point
		const steps = 60
		for i := range steps + 1 {
			z := v.up.Low + (v.up.High-v.up.Low)*float64(i)/steps
			if x := z*slope - c.Wall.Behind; x >= v.out.Low && x <= v.out.High && z >= -c.Floor {
				points = append(points, v.at(x, z))
			}
		}
		if len(points) > 1 {
			end := points[len(points)-1]
			v.add(Line{Points: points, Ink: Plain, Width: 3},
				Text{X: max(end.X-6, v.Frame.Left+30), Y: end.Y + 14, Anchor: End, Body: "wall", Ink: Soft})
		}
	}
	if -c.Floor > v.up.Low {
		a, b := v.at(v.out.Low, -c.Floor), v.at(v.out.High, -c.Floor)
		v.add(Line{Points: []Point{a, b}, Ink: Plain, Width: 3}, Text{X: b.X - 4, Y: b.Y - 6, Anchor: End, Body: "ground or ledge", Ink: Soft})
	}
}

// runners draws those in view, and the rope below the first.
func (v *sideView) runners() {
	c := v.falls[0].Catch
	slope := math.Tan(c.Wall.Overhang)
	if c.Wall.None {
		slope = 0
	}
	z, before := 0.0, v.at(0, 0)
	for i, r := range c.Runners {
		if z < v.up.Low || z*slope < v.out.Low {
			return
		}
		p := v.at(z*slope, z)
		v.add(Line{Points: []Point{before, p}, Ink: Soft, Width: 1.2}, Dot{X: p.X, Y: p.Y, Shape: Diamond, Size: 4.5, Ink: Plain})
		if i == 0 {
			v.words = append(v.words, beside{"top runner", p, -1, Soft})
		}
		z -= r.Below / math.Hypot(1, slope)
		before = p
	}
}

// fall draws the way of a climber and the rope at the times that matter.
func (v *sideView) fall(f CaughtFall) {
	ink, o := Ink(f.Condition), f.Outcome
	var way []Point
	for i, p := range f.shown() {
		at := v.at(p.Climber[0], p.Climber[2])
		way = append(way, at)
		if i%6 == 0 {
			v.add(Dot{X: at.X, Y: at.Y, Shape: ShapeOf(f.Condition), Size: 3, Ink: ink})
		}
	}
	v.add(Line{Points: way, Ink: ink, Width: 1.8, Dash: DashOf(f.Condition), Of: f.Name})
	if f.Condition == v.falls[0].Condition {
		v.moment(f, "start", o.Frames[0].Climber, 1)
	}
	held := o.Frames[len(o.Frames)-1] // on the ground with the rope still loose
	for _, p := range o.Frames {
		if p.Taut {
			held = p
			break
		}
	}
	v.rope(f, held.Climber)
	if !math.IsNaN(o.Lowest.Below) {
		v.rope(f, o.Lowest.Place)
		v.moment(f, "lowest, "+Fixed(o.Lowest.At, 2)+" s", o.Lowest.Place, 1)
	}
	if o.Wall != nil {
		v.moment(f, fmt.Sprintf("wall, %s m/s", Fixed(o.Wall.Normal, 1)), o.Wall.Place, -1)
	}
	if o.Hit != nil {
		last := o.Frames[len(o.Frames)-1].Climber
		v.moment(f, fmt.Sprintf("ground, %s m/s", Fixed(o.Hit.Speed, 1)), last, 1)
	}
}

func (v *sideView) rope(f CaughtFall, to [3]float64) {
	v.add(Line{Points: []Point{v.at(0, 0), v.at(to[0], to[2])}, Ink: Ink(f.Condition), Width: 1, Faint: true})
}

// moment marks a place and keeps the word that goes beside it.
func (v *sideView) moment(f CaughtFall, word string, place [3]float64, side float64) {
	p := v.at(place[0], place[2])
	v.add(Dot{X: p.X, Y: p.Y, Shape: ShapeOf(f.Condition), Size: 5, Ink: Ink(f.Condition)})
	v.words = append(v.words, beside{word, p, side, Ink(f.Condition)})
}

// shown are the frames up to a moment after the fall is over: what the climber
// does on the wall from then on is nobody's question.
func (f CaughtFall) shown() []field.Frame {
	o := f.Outcome
	end := o.Ended
	if o.Wall != nil && o.Hit == nil {
		end = max(o.Wall.At, o.Lowest.At) + 0.1
	}
	for i, p := range o.Frames {
		if p.At > end {
			return o.Frames[:i]
		}
	}
	return o.Frames
}

func caughtWords(falls []CaughtFall) string {
	words := "Seen along the wall, the same scale both ways, a mark every tenth of a second."
	for _, f := range falls {
		o := f.Outcome
		if o.Hit != nil {
			words += fmt.Sprintf(" %s: ground or ledge hit at %s m/s.", f.Name, Fixed(o.Hit.Speed, 1))
			continue
		}
		words += fmt.Sprintf(" %s: lowest point %s m below the top runner", f.Name, Fixed(o.Lowest.Below, 1))
		switch {
		case o.Wall != nil:
			words += fmt.Sprintf(", wall met at %s m/s straight in.", Fixed(o.Wall.Normal, 1))
		default:
			words += ", wall not met."
		}
	}
	return words
}
