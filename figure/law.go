package figure

import "fmt"

// FittedFall is a fall as it was measured and as a law has it.
type FittedFall struct {
	Name      string    // "fall 3"
	Law       string    // "stiffening"
	Condition int       // whose colour the law is drawn in
	Rate      float64   // Hz, of both
	Measured  []float64 // N
	Predicted []float64 // N
	Noise     float64   // N, standard deviation of the baseline
	Contact   float64   // s, when the rope held, from the first sample
	Peak      float64   // N, by the law
	SD        float64   // N, of what is left
}

// Of a fitted fall: how much is drawn before the contact, and how finely.
const (
	fittedLead    = 0.05 // s
	fittedBuckets = 500
)

// ByLaw draws the force of a fall over time, measured and by a law, and below it
// what is left, with a band of ±1.96 times the noise.
func ByLaw(f FittedFall, c Canvas) *Scene {
	s := newScene(c, upper(f.Name)+" by the "+f.Law+" law")
	s.Desc = f.words()
	var time, left []float64
	for i, v := range f.Measured {
		time, left = append(time, float64(i)/f.Rate-f.Contact), append(left, v-f.Predicted[i])
	}
	if len(time) < 2 {
		s.Frame = Box{44, 30, s.Width - 14, c.Height - 46}
		s.empty("nothing to draw here")
		return s.finish(c.Height, c)
	}
	end := time[len(time)-1]
	thinned := func(v []float64, scale float64) (x, y []float64) {
		x, y = NewPyramid(time, v).Thin(-fittedLead, end, fittedBuckets)
		for i := range y {
			y[i] *= scale
		}
		return x, y
	}
	measured, law, rest := curve{ink: Soft, width: 3, faint: true}, curve{ink: Ink(f.Condition), width: 1.6, dash: DashOf(f.Condition)}, curve{ink: Plain, width: 1}
	measured.x, measured.y = thinned(f.Measured, 1e-3)
	law.x, law.y = thinned(f.Predicted, 1e-3)
	rest.x, rest.y = thinned(left, 1)
	room := c.Height - 4 - 2*panelGap - 42
	quiet := 1.96 * f.Noise
	bottom := stack(s, 4, []panel{
		{name: upper(f.Name) + ": force, kN; broad: measured", height: 0.64 * room, curves: []curve{measured, law}, zero: true},
		{
			name: "Left over, N", height: 0.36 * room, zero: true,
			curves: []curve{{x: []float64{0, end}, y: []float64{quiet, quiet}, ink: Soft, width: 0.8, dash: []float64{4, 3}}, {x: []float64{0, end}, y: []float64{-quiet, -quiet}, ink: Soft, width: 0.8, dash: []float64{4, 3}}, rest},
		},
	}, -fittedLead, end, "s after the rope held", nil)
	return s.finish(bottom, c)
}

func (f FittedFall) words() string {
	return fmt.Sprintf("%s: the %s law reaches a peak of %s kN. What it leaves of the trace has a standard deviation of %s N, the noise one of %s N; dashed lines mark 1.96 times the noise.",
		upper(f.Name), f.Law, KN(f.Peak), Fixed(f.SD, 1), Fixed(f.Noise, 1))
}

// SeriesByLaw draws falls under each other.
func SeriesByLaw(falls []FittedFall, c Canvas) *Scene {
	var out *Scene
	for i, f := range falls {
		one := c
		if i > 0 {
			one.Remark = ""
		}
		if drawn := ByLaw(f, one); out == nil {
			out = drawn
		} else {
			out = under(out, drawn)
		}
	}
	return out
}
