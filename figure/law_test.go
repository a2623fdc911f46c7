package figure

import (
	"math"
	"strings"
	"testing"
)

// fittedHalf is a half sine that a law misses by so much of itself.
func fittedHalf(miss float64) FittedFall {
	f := FittedFall{Name: "fall 2", Law: "Zener", Condition: 3, Rate: 1000, Noise: 8, Contact: 0.2, Peak: 4000 * (1 - miss), SD: 20}
	for i := range 1000 {
		v := 0.0
		if x := float64(i-200) / 300; x > 0 && x < 1 {
			v = 4000 * math.Sin(math.Pi*x)
		}
		f.Measured, f.Predicted = append(f.Measured, v), append(f.Predicted, v*(1-miss))
	}
	return f
}

// What is left is measured less predicted in its own panel, on the side it is on, and
// a law that leaves nothing stays on the line.
func TestByLaw(t *testing.T) {
	for _, miss := range []float64{0, 0.05, -0.05} {
		s := ByLaw(fittedHalf(miss), Canvas{Width: 540, Height: 360})
		var solid []Line
		for _, m := range s.Marks {
			if l, ok := m.(Line); ok && len(l.Points) > 50 {
				solid = append(solid, l)
			}
		}
		if len(solid) != 3 || solid[1].Ink != Ink(3) {
			t.Fatalf("%d curves", len(solid))
		}
		left, base := solid[2], solid[2].Points[len(solid[2].Points)-1].Y
		high, low := 0.0, 0.0 // px above and below where nothing is left
		for _, p := range left.Points {
			high, low = math.Max(high, base-p.Y), math.Max(low, p.Y-base)
		}
		if miss > 0 && (high < 40 || low > 0.01) || miss < 0 && (low < 40 || high > 0.01) || miss == 0 && high+low > 0.01 {
			t.Errorf("missed by %g: %g above, %g below", miss, high, low)
		}
	}
	s := SeriesByLaw([]FittedFall{fittedHalf(0), fittedHalf(0.1)}, Canvas{Width: 540, Height: 360, Remark: "invented"})
	one := strings.Count(ByLaw(fittedHalf(0), Canvas{Width: 540, Height: 360, Remark: "invented"}).SVG(), "invented")
	if n := strings.Count(s.SVG(), "invented"); n != one || !strings.Contains(s.Desc, "a peak of 4.00 kN") || !strings.Contains(s.Desc, "a peak of 3.60 kN") {
		t.Errorf("%d remarks, %q", n, s.Desc)
	}
	if empty := ByLaw(FittedFall{Name: "fall 1", Law: "Zener", Rate: 1}, Canvas{Width: 300, Height: 200}).SVG(); !strings.Contains(empty, "nothing to draw") {
		t.Error("a fall without samples is drawn")
	}
}
