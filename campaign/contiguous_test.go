package campaign

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Whatever is tried, in whatever order, the falls that a specimen's rope took
// are numbered 1, 2, 3 … without a gap and without a double, and their times
// do not run backwards. The draw aims near the right number, so that about half
// of the attempts are accepted; both counts are held above zero.
func TestTakenNumbersStayContiguous(t *testing.T) {
	accepted, refused, voided := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := begun()
		s.Drops = nil
		for step := range rapid.IntRange(1, 40).Draw(t, "steps") {
			var err error
			if len(s.Drops) > 0 && rapid.IntRange(0, 3).Draw(t, "what") == 0 {
				i := rapid.IntRange(0, len(s.Drops)-1).Draw(t, "drop")
				v := Void{Stamp: at(float64(step)), Reason: "drawn", Loaded: rapid.Bool().Draw(t, "loaded")}
				if err = s.CheckVoid(s.Drops[i].ID, v); err == nil {
					s.Drops[i].Void = &v
					voided++
				}
			} else {
				d := drawDrop(t, &s, step)
				if err = s.CheckDrop(d); err == nil {
					s.Drops = append(s.Drops, d)
				}
			}
			if err == nil {
				accepted++
			} else {
				refused++
			}
			holdContiguous(t, &s)
		}
	})
	if accepted == 0 || refused == 0 || voided == 0 {
		t.Errorf("accepted %d (%d voids), refused %d: the draw is blind", accepted, voided, refused)
	}
}

func drawDrop(t *rapid.T, s *Study, step int) Drop {
	d := Drop{
		ID:       fmt.Sprint(step),
		Stamp:    at(float64(step) + rapid.Float64Range(-2, 2).Draw(t, "late")),
		Kind:     rapid.SampledFrom([]Kind{Fall, Fall, Fall, Trial, Check}).Draw(t, "kind"),
		Specimen: rapid.SampledFrom([]string{"M-01", "M-02"}).Draw(t, "specimen"),
		Setting:  "standard",
	}
	if d.Kind == Fall {
		d.Fall = s.NextFall(d.Specimen) + rapid.SampledFrom([]int{-1, 0, 0, 0, 1}).Draw(t, "off")
	}
	if rapid.IntRange(0, 4).Draw(t, "void") == 0 {
		d.Void = &Void{Reason: "drawn", Loaded: rapid.Bool().Draw(t, "loaded")}
	}
	return d
}

// holdContiguous counts for itself and does not ask taken.
func holdContiguous(t *rapid.T, s *Study) {
	for _, specimen := range []string{"M-01", "M-02"} {
		number, last := 0, time.Time{}
		seen := map[int]time.Time{}
		for _, d := range s.Drops {
			if d.Specimen == specimen && d.Kind == Fall && (d.Void == nil || d.Void.Loaded) {
				if _, double := seen[d.Fall]; double {
					t.Fatalf("%s has fall %d twice", specimen, d.Fall)
				}
				seen[d.Fall] = d.At
				number++
			}
		}
		for n := 1; n <= number; n++ {
			when, there := seen[n]
			if !there {
				t.Fatalf("%s has %d falls and none numbered %d", specimen, number, n)
			}
			if when.Before(last) {
				t.Fatalf("%s fall %d is earlier than the one before", specimen, n)
			}
			last = when
		}
	}
}
