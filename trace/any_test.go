package trace

import (
	"encoding/json"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Whatever a logger wrote and whatever is said beside it, Take answers or
// refuses: it does not panic, its JSON has no value that is not finite, and a
// value comes with at most one uncertainty, whose interval is in order.
func TestTakeAnswersAnything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rec := anyRecording(t)
		set := Settings{
			Class: rapid.SampledFrom([]int{0, 60, 180, 600, 1000}).Draw(t, "class"),
			Mass:  rapid.SampledFrom([]float64{0, 1e-6, 1, 80, 1e6}).Draw(t, "mass"),
			Drop:  rapid.SampledFrom([]float64{0, 1e-9, 1.5, 4.8, 1e5}).Draw(t, "drop"),
			Pull:  rapid.SampledFrom([]Pull{PullFound, PullPositive, PullNegative}).Draw(t, "pull"),
			Doubt: Doubt{Cell: rapid.SampledFrom([]float64{0, 0.005, 0.4}).Draw(t, "cell"), Drop: rapid.SampledFrom([]float64{0, 0.01, 10}).Draw(t, "u drop")},
		}
		if rapid.Bool().Draw(t, "trials") {
			set.Trials, set.Mass = trialsFewest, max(set.Mass, 1)
		}
		r, _, err := Take(rec, set)
		if err != nil {
			return
		}
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatalf("no JSON: %v", err)
		}
		var again Reading
		if err := json.Unmarshal(text, &again); err != nil {
			t.Fatal(err)
		}
		for k, c := range r.Contacts {
			if c.From > c.To || c.Start > c.End || k > 0 && (c.From <= r.Contacts[k-1].To || c.Start < r.Contacts[k-1].End) {
				t.Fatalf("contact %d: %+v after %+v", k+1, c, r.Contacts[max(0, k-1)])
			}
		}
		for key, u := range r.Uncertainty {
			if !(u.Standard >= 0) || !(u.Lower <= u.Upper) || math.IsInf(u.Upper, 0) {
				t.Fatalf("%s: %+v", key, u)
			}
		}
	})
}

// anyRecording is falls, noise, steps, flats and single pulses, at any length.
func anyRecording(t *rapid.T) *Recording {
	n := rapid.IntRange(3, 400).Draw(t, "samples")
	rate := rapid.SampledFrom([]float64{0.1, 50, 1000, 1e6}).Draw(t, "rate")
	height := rapid.SampledFrom([]float64{1e-12, 1, 6000, 1e7}).Draw(t, "height")
	kind := rapid.IntRange(0, 5).Draw(t, "kind")
	at := rapid.IntRange(0, n-1).Draw(t, "at")
	long := rapid.IntRange(1, n).Draw(t, "long")
	spoil := rapid.SliceOfN(rapid.Float64Range(-1, 1), n, n).Draw(t, "noise")
	noise := rapid.SampledFrom([]float64{0, 1e-3, 0.1, 1}).Draw(t, "much")
	rec := &Recording{Unit: "N", PerMass: rapid.Bool().Draw(t, "per mass")}
	s := 0.0
	for i := range n {
		f := 0.0
		in := i >= at && i < at+long
		switch {
		case kind == 0 && in:
			f = math.Sin(math.Pi * float64(i-at) / float64(long))
		case kind == 1 && in:
			f = 1
		case kind == 2:
			f = float64(i-at) / float64(n)
		case kind == 3 && i == at:
			f = -1
		case kind == 4 && i >= at:
			f = math.Abs(math.Sin(float64(i-at) / 9))
		}
		rec.Time = append(rec.Time, s)
		rec.Force = append(rec.Force, height*(f+noise*spoil[i]))
		s += 1 / rate
		if noise > 0.05 && i%7 == 0 {
			s += math.Abs(spoil[i]) * 3 / rate
		}
	}
	return rec
}
