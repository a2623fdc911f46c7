package figure

import (
	"fmt"
	"math"
	"strings"
)

// SpectrumCurve is a spectrum of force: a density for each frequency.
type SpectrumCurve struct {
	Name      string // "CFC 60"
	Ink       Ink
	Dash      []float64
	Frequency []float64 // Hz, increasing
	Density   []float64 // N/√Hz
}

// Spectrum draws densities against frequency, both on log scales. The largest
// value of every px column is drawn. The scale ends six decades below the
// highest value: further down there is nothing but rounding.
func Spectrum(name string, curves []SpectrumCurve, c Canvas) *Scene {
	s := newScene(c, "Spectrum of the force, "+name)
	s.Frame = Box{44, 36, s.Width - 14, c.Height - 42}
	var low, high, first, last float64
	first, last = math.Inf(1), math.Inf(-1)
	low, high = math.Inf(1), math.Inf(-1)
	for _, k := range curves {
		for i, f := range k.Frequency {
			if d := k.Density[i]; f > 0 && known(d) && d > 0 {
				first, last = math.Min(first, f), math.Max(last, f)
				low, high = math.Min(low, d), math.Max(high, d)
			}
		}
	}
	s.Desc = spectrumWords(curves)
	if !(first < last) || !(high > 0) {
		s.empty("no spectrum can be had")
		return s.finish(c.Height, c)
	}
	low = math.Max(low, high*1e-6)
	y := Scale{Low: math.Log10(low) - 0.1, High: math.Log10(high) + 0.1, From: s.Frame.Bottom, To: s.Frame.Top}
	up := decades(y.Low, y.High)
	s.Frame.Left = widest(up) + labelGap + 2
	x := Scale{Low: math.Log10(first), High: math.Log10(last), From: s.Frame.Left, To: s.Frame.Right}
	upAxis(s, y, up, "Force, N/√Hz")
	alongAxis(s, x, decades(x.Low, x.High), "frequency, Hz")
	for _, k := range curves {
		s.add(Line{Points: k.points(x, y, int(s.Frame.Width())), Ink: k.Ink, Width: 1.3, Dash: k.Dash})
	}
	return s.finish(c.Height, c)
}

// points keeps of each px column the largest value.
func (k SpectrumCurve) points(x, y Scale, columns int) []Point {
	var out []Point
	column := -1
	for i, f := range k.Frequency {
		d := k.Density[i]
		if f <= 0 || !known(d) || d <= 0 {
			continue
		}
		p := Point{x.At(math.Log10(f)), y.At(math.Max(math.Log10(d), y.Low))}
		if now := int(p.X); now != column || columns < 1 {
			column = now
			out = append(out, p)
			continue
		}
		if p.Y < out[len(out)-1].Y {
			out[len(out)-1] = p
		}
	}
	return out
}

// decades are the powers of ten between two logarithms, with 2 and 5 between
// them where there are fewer than three.
func decades(low, high float64) []Tick {
	var out []Tick
	add := func(m float64, power int) {
		if t := decimal(m, power); math.Log10(t.Value) >= low-1e-9 && math.Log10(t.Value) <= high+1e-9 {
			t.Value = math.Log10(t.Value) + 1e-12 // a 1 is no zero, which is drawn heavier
			out = append(out, t)
		}
	}
	between := high-low < 3
	for power := int(math.Floor(low)); power <= int(math.Ceil(high)); power++ {
		add(1, power)
		if between {
			add(2, power)
			add(5, power)
		}
	}
	return out
}

func spectrumWords(curves []SpectrumCurve) string {
	var b strings.Builder
	for _, k := range curves {
		best := largest(k.Density)
		if best < 0 || best >= len(k.Frequency) {
			continue
		}
		fmt.Fprintf(&b, "%s: largest %s N/√Hz at %s Hz. ", upper(k.Name), Fixed(k.Density[best], 2), Fixed(k.Frequency[best], 1))
	}
	if b.Len() == 0 {
		return "No spectrum can be had."
	}
	return strings.TrimSpace(b.String())
}
