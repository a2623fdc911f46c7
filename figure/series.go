package figure

import (
	"fmt"
	"math"
	"strings"
)

// SeriesCurve is a value of one specimen by fall.
type SeriesCurve struct {
	Specimen  string
	Condition int
	Name      string // "secant stiffness"
	Unit      Unit
	Falls     []int     // increasing
	Values    []float64 // SI; NaN where a fall has none
	Long      []int     // falls before which the rest was long

	// The trend from fall From to fall To; none when To is 0.
	From, To     int
	Level, Slope float64 // at From, and per fall
}

// SeriesByFall draws a value fall by fall, with its trend as a dashed line and a
// stroke where the rope had a long rest.
func SeriesByFall(v SeriesCurve, c Canvas) *Scene {
	s := newScene(c, upper(v.Name)+" by fall, "+v.Specimen)
	s.Desc = v.words()
	name := upper(v.Name)
	if v.Unit.Name != "" {
		name += ", " + v.Unit.Name
	}
	x, y := make([]float64, len(v.Falls)), make([]float64, len(v.Falls))
	for i := range v.Falls {
		x[i], y[i] = float64(v.Falls[i]), v.Values[i]*v.Unit.Scale
	}
	p := panel{name: name, height: c.Height - 4 - panelGap - 42, curves: []curve{}}
	if v.To > v.From {
		p.curves = append(p.curves, curve{
			x: []float64{float64(v.From), float64(v.To)}, y: []float64{v.Level * v.Unit.Scale, (v.Level + v.Slope*float64(v.To-v.From)) * v.Unit.Scale},
			ink: Soft, width: 1.2, dash: []float64{5, 4},
		})
	}
	p.curves = append(p.curves, v.between(x, y)...)
	s.Frame = Box{44, 4 + panelGap, s.Width - 14, 4 + panelGap + p.height}
	yScale, up, ok := p.scale(s.Frame)
	if !ok || len(v.Falls) == 0 {
		upAxis(s, yScale, nil, name)
		s.empty("no value to draw")
		return s.finish(c.Height, c)
	}
	s.Frame.Left = widest(up) + labelGap + 2
	gap := s.Frame.Width() / float64(v.Falls[len(v.Falls)-1]-v.Falls[0]+1)
	xScale := Scale{Low: x[0], High: x[0] + 1, From: s.Frame.Left + gap/2, To: s.Frame.Left + 1.5*gap}
	upAxis(s, yScale, up, name)
	s.foot()
	every := max(1, int(math.Ceil(textWidth("fall 00")/gap)))
	for i, n := range v.Falls {
		if (n-v.Falls[0])%every != 0 {
			continue
		}
		label := fmt.Sprint(n)
		if i == 0 {
			label = "fall " + label
		}
		s.add(Text{X: inside(xScale.At(x[i]), label, s.Width), Y: s.Frame.Bottom + lineHeight, Anchor: Middle, Body: label, Ink: Soft})
	}
	for _, n := range v.Long {
		at := xScale.At(float64(n) - 0.5)
		s.add(Line{Points: []Point{{at, s.Frame.Top}, {at, s.Frame.Bottom}}, Ink: Soft, Width: 1, Dash: []float64{2, 3}})
	}
	p.draw(s, xScale, yScale)
	return s.finish(c.Height-lineHeight+4, c)
}

// between joins the values of the falls between two long rests.
func (v SeriesCurve) between(x, y []float64) []curve {
	var out []curve
	long := map[int]bool{}
	for _, n := range v.Long {
		long[n] = true
	}
	for i := range x {
		if i == 0 || long[v.Falls[i]] {
			out = append(out, curve{ink: Ink(v.Condition), width: 1.8, dots: true})
			if v.Condition < 0 {
				out[len(out)-1].ink = Sea
			}
		}
		k := &out[len(out)-1]
		k.x, k.y = append(k.x, x[i]), append(k.y, y[i])
	}
	return out
}

func (v SeriesCurve) words() string {
	var b strings.Builder
	unit := v.Unit.Name
	if unit != "" {
		unit = " in " + unit
	}
	fmt.Fprintf(&b, "%s%s.", upper(v.Name), unit)
	for i, n := range v.Falls {
		fmt.Fprintf(&b, " Fall %d: %s.", n, v.Unit.Write(v.Values[i]))
	}
	if v.To > v.From {
		fmt.Fprintf(&b, " Trend over falls %d to %d: %s a fall.", v.From, v.To, v.Unit.Signed(v.Slope))
	}
	for _, n := range v.Long {
		fmt.Fprintf(&b, " A long rest before fall %d.", n)
	}
	return b.String()
}
