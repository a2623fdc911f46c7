package figure

import (
	"fmt"
	"strings"
	"testing"
)

// Forty traces have no room for names: the key has one entry each, and any of
// them can be picked out and is then the one that is named and drawn over the
// others.
func TestKeyOfManyTraces(t *testing.T) {
	two := []string{"dry", "wet"}
	var traces []OverlayTrace
	for i := range 40 {
		traces = append(traces, OverlayTrace{
			Name: fmt.Sprintf("M-%02d, fall 3", i), Condition: two[i%2],
			Time: []float64{-0.05, 0, 0.1, 0.2}, Force: []float64{0, 0, 3000 + float64(i), 0},
		})
	}
	c := Canvas{Width: 880, Height: 420}
	if OverlayNamed(traces, c) || !OverlayNamed(traces[:12], c) {
		t.Error("12 traces are to be named in the picture, and 40 not")
	}
	key := OverlayKey(two, traces)
	if len(key) != len(traces) || !strings.Contains(key[1], `class="c1"`) || !strings.Contains(key[3], "stroke-dasharray") {
		t.Fatalf("%d entries: %s", len(key), key[1])
	}
	for picked := range traces {
		s := OverlayPicked(two, traces, picked, c)
		checkScene(t, s)
		bold, faint, named := 0, 0, 0
		for _, m := range s.Marks {
			switch m := m.(type) {
			case Line:
				switch {
				case m.Of == fmt.Sprint(picked) && m.Width == 2.8 && !m.Faint:
					bold++
				case m.Of != "" && m.Faint:
					faint++
				}
			case Text:
				if m.Of != "" && m.Body == traces[picked].Name {
					named++
				}
			}
		}
		if bold != 1 || faint != len(traces)-1 || named != 1 {
			t.Fatalf("trace %d: %d bold, %d faint, %d named", picked, bold, faint, named)
		}
	}
}
