package precision

import (
	"encoding/json"
	"fmt"
	"testing"
)

// Every answer can be written as JSON, which knows no NaN and no infinity: when
// all values are alike, alike within or between groups only, huge, tiny, or far
// from zero.
func TestAnswersMarshal(t *testing.T) {
	wrote := 0
	for name, value := range map[string]func(part, operator, repeat int) float64{
		"alike":          func(_, _, _ int) float64 { return 7 },
		"alike within":   func(p, _, _ int) float64 { return float64(p) },
		"alike between":  func(_, _, r int) float64 { return float64(r) },
		"operators only": func(_, o, _ int) float64 { return float64(o) },
		"huge":           func(p, o, r int) float64 { return 1e98 * float64(p*p+o-r*p) },
		"tiny":           func(p, o, r int) float64 { return 1e-150 * float64(p*p+o-r*p) },
		"far":            func(p, o, r int) float64 { return 1e12 + float64(p*p+o-r*p) },
	} {
		var readings []Reading
		var samples []Sample
		var trials []Trial
		var points []Point
		var pairs []Pair
		for p := range 4 {
			for o := range 3 {
				for r := range 2 {
					v, part, operator := value(p, o, r), fmt.Sprint("p", p), fmt.Sprint("o", o)
					readings = append(readings, Reading{operator, part, v})
					samples = append(samples, Sample{[]string{part, operator}, v})
					trials = append(trials, Trial{part, operator, v})
					points = append(points, Point{"", v})
				}
				pairs = append(pairs, Pair{"", value(p, o, 0), value(p, o, 1)})
			}
		}
		study, err1 := Study(readings)
		hierarchy, err2 := Nested([]string{"part", "operator"}, samples)
		gauge, err3 := GaugeStudy(trials, GaugeOptions{Tolerance: 3})
		agreement, err4 := Pairs(pairs, 1)
		answers := []any{study, hierarchy, gauge, agreement}
		for i, err := range []error{err1, err2, err3, err4} {
			if err != nil {
				t.Errorf("%s: answer %d: %v", name, i, err)
			}
		}
		for _, kind := range []ChartKind{Individuals, EWMA, CUSUM} {
			if chart, err := NewChart(points, ChartOptions{Kind: kind}); err == nil {
				answers = append(answers, chart)
			} else if name != "alike" {
				t.Errorf("%s: %s chart: %v", name, kind, err)
			}
		}
		for i, a := range answers {
			if _, err := json.Marshal(a); err != nil {
				t.Errorf("%s: answer %d: %v", name, i, err)
			}
			wrote++
		}
	}
	if wrote != 7*7-3 {
		t.Fatalf("%d answers written", wrote)
	}
}
