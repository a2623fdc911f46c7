package figure

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/dial"
	"pgregory.net/rapid"
)

var dialBands = rapid.Custom(func(t *rapid.T) dial.Band {
	v := rapid.SliceOfN(rapid.Float64Range(100, 30000), 3, 3).Draw(t, "band")
	return dial.Band{Low: min(v[0], v[1], v[2]), Middle: (v[0] + v[1] + v[2]) / 3, High: max(v[0], v[1], v[2])}
})

func TestDialledHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := dial.Question{Window: dial.Window{Low: 3000, High: 3000 * rapid.Float64Range(1.02, 3).Draw(t, "wide")}, Level: 0.9, Falls: rapid.IntRange(1, 9).Draw(t, "falls")}
		a := &dial.Answer{Next: dial.Setting{Mass: 80, Drop: 0.5, FreeLength: 2.6}, Peak: dialBands.Draw(t, "next"), Last: dialBands.Draw(t, "last")}
		for range rapid.IntRange(0, 12).Draw(t, "trials") {
			a.Trials = append(a.Trials, dial.Seen{
				Trial:    dial.Trial{Setting: dial.Setting{Drop: rapid.Float64Range(0.01, 20).Draw(t, "drop")}, Peak: rapid.Float64Range(50, 40000).Draw(t, "peak"), Fall: rapid.IntRange(0, 5).Draw(t, "fall"), Specimen: rapid.SampledFrom([]string{"", "T-1", `<script>"&'`, strings.Repeat("long", 20)}).Draw(t, "specimen")},
				Expected: dialBands.Draw(t, "expected"),
			})
		}
		s := Dialled(q, a, sizes.Draw(t, "canvas"))
		checkScene(t, s)
		bars, apart := 0, map[float64]bool{}
		for _, m := range s.Marks {
			if b, ok := m.(Bar); ok {
				bars++
				apart[b.A.Y] = true
			}
		}
		want := len(a.Trials) + 1
		if q.Falls > 1 {
			want++
		}
		if bars != want || len(apart) != want {
			t.Fatalf("%d intervals on %d lines, want %d", bars, len(apart), want)
		}
	})
}

// A peak at the window's middle is drawn at the band's middle, and the words say
// what the marks show.
func TestDialledPlaces(t *testing.T) {
	q := dial.Question{Window: dial.Window{Low: 3000, High: 4000}, Level: 0.9, Falls: 5}
	a := &dial.Answer{
		Next: dial.Setting{Drop: 0.45}, Peak: dial.Band{Low: 3200, Middle: 3500, High: 3900}, Last: dial.Band{Low: 3500, Middle: 3950, High: 4400},
		Trials: []dial.Seen{{Trial: dial.Trial{Setting: dial.Setting{Drop: 0.6}, Peak: 4000, Fall: 2, Specimen: "T-1"}, Expected: dial.Band{Low: 3000, Middle: 3600, High: 4300}}},
	}
	s := Dialled(q, a, Canvas{Width: 880})
	var band Box
	var dots []Dot
	for _, m := range s.Marks {
		switch m := m.(type) {
		case Band:
			band = m.Box
		case Dot:
			dots = append(dots, m)
		}
	}
	if len(dots) != 3 || math.Abs(dots[0].X-band.Right) > 0.01 || math.Abs(dots[1].X-(band.Left+band.Right)/2) > 0.01 || !(dots[2].X < band.Right) {
		t.Errorf("band %+v, dots %+v", band, dots)
	}
	for _, w := range []string{"window is 3.00 to 4.00 kN", "Trial 1, 0.60 m, fall 2 of T-1: read 4.00 kN, interval 3.00 to 4.30", "Next, 0.45 m: 3.50 kN, interval 3.20 to 3.90", "Fall 5 there: 3.95 kN"} {
		if !strings.Contains(s.Desc, w) {
			t.Errorf("the words do not say %q: %s", w, s.Desc)
		}
	}
}
