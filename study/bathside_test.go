package study

import (
	"math"
	"testing"
	"time"

	"fallwright.example/problem"
)

// Numbers as thumbs type them: in the field's unit, or with their own; either decimal
// mark; what may be a thousand is refused.
func TestTypedNumbers(t *testing.T) {
	tried := 0
	for text, want := range map[string]float64{
		"281.9": 0.2819, "281,9": 0.2819, " 281 ": 0.281, "281,9 g": 0.2819, "0.2819 kg": 0.2819, "0,282 kg": 0.282, "0,282": 0.000282,
		"1,234": math.NaN(), "wet": math.NaN(), "281.9 m": math.NaN(), "1,234,567": math.NaN(), "28 1": math.NaN(),
	} {
		w, err := WeighingTyped{Specimen: "M-01", Of: "dry", Mass: text, By: "tester"}.Weighing(time.Unix(0, 0))
		if refused := problem.KindOf(err) == problem.Invalid; refused != math.IsNaN(want) || !refused && math.Abs(w.Mass-want) > 1e-12 {
			t.Errorf("%q: %g kg, %v; want %g", text, w.Mass, err, want)
		}
		tried++
	}
	if tried != 12 {
		t.Errorf("%d tried", tried)
	}
}
