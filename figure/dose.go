package figure

import (
	"fmt"
	"math"

	"fallwright.example/uptake"
)

// DoseCurve is how a value of the falls goes with the water in the rope.
type DoseCurve struct {
	Lot    string
	Points []uptake.Dosed
	Of     map[string]string // condition of each specimen
	Fit    *uptake.Dose      // nil where no line is held
}

// Doses draws a value against uptake: a mark for the mean of each specimen over its
// falls, and for each lot the line of its fit over the uptakes that were seen, with its name at the wet end.
// conditions are those of the plan, whose places fix colours and marks.
func Doses(of string, curves []DoseCurve, conditions []string, unit Unit, c Canvas) *Scene {
	s := newScene(c, upper(of)+" against water in the rope")
	names := newPalette(conditions)
	key := make([]string, len(conditions), 2*len(conditions)+8)
	means := make([][]uptake.Dosed, len(curves))
	var values, shares []float64
	for i, d := range curves {
		means[i] = specimenMeans(d.Points)
		for _, m := range means[i] {
			k := names.index(d.Of[m.Specimen])
			for len(key) <= k {
				key = append(key, "")
			}
			key[k] = names[k]
			values, shares = append(values, m.Value*unit.Scale), append(shares, 100*m.Uptake)
		}
	}
	s.Desc = fmt.Sprintf("Each mark is the mean of one specimen over its falls, against the water in it as a share of its dry mass. %s. Lines are fitted over the uptakes seen.", upper(Counted(len(values), "specimen")))
	top := legend(s, key) + 8
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 46}
	bottom := top + c.Height
	if len(values) == 0 {
		s.empty("no fall of a weighed specimen to draw")
		return s.finish(bottom, c)
	}
	y, up, _ := around(s.Frame.Bottom, s.Frame.Top, values...)
	s.Frame.Left = widest(up) + labelGap + 2
	x, along, _ := around(s.Frame.Left, s.Frame.Right, append(shares, 0)...)
	upAxis(s, y, up, upper(of)+", "+unit.Name)
	alongAxis(s, x, along, "uptake, % of the dry mass")
	v := &sideView{Scene: s} // for its way to find words a place
	for i, d := range curves {
		if d.Fit != nil {
			at := func(w float64) Point {
				v := (d.Fit.AtZero.Value + d.Fit.Slope.Value*w) * unit.Scale
				return Point{x.At(100 * w), y.At(math.Max(y.Low, math.Min(y.High, v)))}
			}
			end := at(d.Fit.To)
			s.add(Line{Points: []Point{at(d.Fit.From), end}, Ink: Plain, Width: 1.8, Dash: DashOf(i)})
			v.words = append(v.words, beside{d.Lot, end, -1, Soft})
		}
		for _, m := range means[i] {
			k := names.index(d.Of[m.Specimen])
			s.add(Dot{X: x.At(100 * m.Uptake), Y: y.At(m.Value * unit.Scale), Shape: ShapeOf(k), Size: 4.4, Ink: Ink(k), Of: m.Specimen})
		}
	}
	v.write()
	return s.finish(bottom, c)
}

// specimenMeans are the values of each specimen over its falls, in the order met.
func specimenMeans(points []uptake.Dosed) (out []uptake.Dosed) {
	at := map[string]int{}
	count := map[string]float64{}
	for _, p := range points {
		if _, known := at[p.Specimen]; !known {
			at[p.Specimen] = len(out)
			out = append(out, uptake.Dosed{Specimen: p.Specimen, Uptake: p.Uptake})
		}
		out[at[p.Specimen]].Value += p.Value
		count[p.Specimen]++
	}
	for i := range out {
		out[i].Value /= count[out[i].Specimen]
	}
	return out
}
