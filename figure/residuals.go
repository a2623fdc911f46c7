package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/compare"
)

// Residuals draws what the model leaves over of each value, in its own standard
// deviations, against what it fitted. Lines lie at zero and at two either way;
// values that were found to be outlying are named. on is the model's scale;
// fitted values are shown in the unit.
func Residuals(rows []compare.Residual, conditions []string, on compare.Scale, unit Unit, c Canvas) *Scene {
	r := newResiduals(rows, conditions)
	s := newScene(c, "Residuals against fitted values")
	s.Desc = r.words("Each mark is one value: what is left over after the model, in standard deviations, against the value fitted in " + unit.Name + ".")
	fitted := make([]float64, len(r.rows))
	for i, row := range r.rows {
		fitted[i] = row.Fitted * unit.Scale
		if on == compare.Log {
			fitted[i] = math.Exp(row.Fitted) * unit.Scale
		}
	}
	r.scatter(s, c, fitted, "fitted, "+unit.Name, nil)
	return s.finish(s.Height, c)
}

// Quantiles draws the residuals in order against the normal quantiles that they
// would lie on were they normal: along the line.
func Quantiles(rows []compare.Residual, conditions []string, c Canvas) *Scene {
	r := newResiduals(rows, conditions)
	slices.SortStableFunc(r.rows, func(a, b compare.Residual) int {
		if a.Standardised < b.Standardised {
			return -1
		}
		return 1
	})
	s := newScene(c, "Residuals against normal quantiles")
	s.Desc = r.words("Each mark is one value: its residual in standard deviations, in order, against the normal quantile of its place. Normal residuals lie along the line.")
	normal := make([]float64, len(r.rows))
	for i := range normal {
		normal[i] = plotted(i, len(normal))
	}
	r.scatter(s, c, normal, "normal quantile", func(x, y Scale) {
		low, high := math.Max(x.Low, y.Low), math.Min(x.High, y.High)
		s.add(Line{Points: []Point{{x.At(low), y.At(low)}, {x.At(high), y.At(high)}}, Ink: Soft, Width: 1.2, Dash: []float64{5, 4}})
	})
	return s.finish(s.Height, c)
}

// plotted is the normal quantile of the i-th of n in order, at (i + 1 - 3/8)/(n + 1/4)
// (Blom's places; common practice).
func plotted(i, n int) float64 {
	p := (float64(i) + 0.625) / (float64(n) + 0.25)
	return math.Sqrt2 * math.Erfinv(2*p-1)
}

// residuals is Residuals or Quantiles on its way.
type residuals struct {
	rows  []compare.Residual
	names palette
}

func newResiduals(rows []compare.Residual, conditions []string) *residuals {
	r := &residuals{names: newPalette(conditions)}
	for _, row := range rows {
		if known(row.Standardised) && known(row.Fitted) {
			r.rows = append(r.rows, row)
			r.names.index(row.Condition)
		}
	}
	return r
}

// scatter draws the rows at x; with is drawn below the marks.
func (r *residuals) scatter(s *Scene, c Canvas, at []float64, name string, with func(x, y Scale)) {
	top := legend(s, r.names) + 8
	s.Height = top + c.Height
	s.Frame = Box{44, top + 28, s.Width - 14, top + c.Height - 46}
	if len(r.rows) == 0 {
		s.empty("no residuals to draw")
		return
	}
	left := []float64{-2.2, 2.2}
	for _, row := range r.rows {
		left = append(left, row.Standardised)
	}
	y, up, _ := around(s.Frame.Bottom, s.Frame.Top, left...)
	s.Frame.Left = widest(up) + labelGap + 2
	x, along, _ := around(s.Frame.Left, s.Frame.Right, at...)
	upAxis(s, y, up, "Residual, standard deviations")
	alongAxis(s, x, along, name)
	for _, level := range []float64{-2, 2} {
		s.add(Line{Points: []Point{{s.Frame.Left, y.At(level)}, {s.Frame.Right, y.At(level)}}, Ink: Soft, Width: 1, Dash: []float64{2, 3}})
	}
	if with != nil {
		with(x, y)
	}
	for i, row := range r.rows {
		k := r.names.index(row.Condition)
		p := Point{x.At(at[i]), y.At(row.Standardised)}
		s.add(Dot{X: p.X, Y: p.Y, Shape: ShapeOf(k), Size: 3.8, Ink: Ink(k)})
		if row.Outlying {
			s.add(Text{X: inside(p.X, row.Row, s.Width), Y: p.Y - 8, Anchor: Middle, Body: row.Row, Ink: Warn})
		}
	}
}

func (r *residuals) words(what string) string {
	if len(r.rows) == 0 {
		return "There are no residuals to draw."
	}
	beyond := 0
	low, high := math.Inf(1), math.Inf(-1)
	var odd []string
	for _, row := range r.rows {
		if math.Abs(row.Standardised) > 2 {
			beyond++
		}
		low, high = math.Min(low, row.Standardised), math.Max(high, row.Standardised)
		if row.Outlying {
			odd = append(odd, row.Row)
		}
	}
	text := fmt.Sprintf("%s They reach from %s to %s; %d of %d lie beyond two standard deviations.", what, Fixed(low, 1), Fixed(high, 1), beyond, len(r.rows))
	if len(odd) > 0 {
		text += " Outlying: " + strings.Join(odd, ", ") + "."
	}
	return text
}
