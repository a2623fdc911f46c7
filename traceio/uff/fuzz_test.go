package uff_test

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/uff"
)

// FuzzRead holds that any bytes give either sound recordings or a whole refusal.
func FuzzRead(f *testing.F) {
	for _, c := range examCases(f) {
		f.Add(c.Data, c.Ask.Rate, c.Ask.Force, c.Ask.Unit)
	}
	f.Fuzz(func(t *testing.T, data []byte, rate float64, force, unit string) {
		format := uff.Format{}
		format.Claims("a.uff", data)
		file, err := format.Read("a.uff", data, trace.Ask{Rate: rate, Force: force, Unit: unit})
		if err != nil {
			var p *problem.Problem
			if !errors.As(err, &p) || p.Where == "" || p.What == "" || len(p.Hints) == 0 || p.State == "" || p.Kind == 0 || len(file.Parts) > 0 {
				t.Fatalf("half a refusal: %#v", err)
			}
			return
		}
		for _, rec := range file.Parts {
			if len(rec.Time) != len(rec.Force) || len(rec.Time) < 2 || rec.Stretch != nil && len(rec.Stretch) != len(rec.Time) {
				t.Fatalf("%d times, %d forces", len(rec.Time), len(rec.Force))
			}
			for i := range rec.Time {
				if math.IsNaN(rec.Time[i]-rec.Time[i]) || math.IsNaN(rec.Force[i]-rec.Force[i]) {
					t.Fatalf("value %d is not finite", i)
				}
				if i > 0 && rec.Time[i] <= rec.Time[i-1] {
					t.Fatalf("time does not rise at value %d", i)
				}
			}
		}
	})
}

// What is written in any of the four layouts of real values is read back as the
// very numbers that the text says.
func TestReadsBackWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]int{2, 4}).Draw(t, "kind")
		even := rapid.Bool().Draw(t, "even")
		o := one{kind: kind, unit: "N", label: "Cell", step: 0.001}
		if !even {
			o.spacing = 2
		}
		o.n = rapid.IntRange(2, 30).Draw(t, "n")
		var values strings.Builder
		var want, times []float64
		onLine := 0
		put := func(text string, perLine int) {
			values.WriteString(text)
			if onLine++; onLine == perLine {
				values.WriteString("\n")
				onLine = 0
			}
		}
		perLine := map[int]int{2: 6, 4: 4}[kind]
		for i := range o.n {
			if !even {
				x := fmt.Sprintf("%13.5E", float64(i+1)/64)
				put(x, perLine)
				v, _ := strconv.ParseFloat(strings.TrimSpace(x), 64)
				times = append(times, v)
			}
			v := rapid.Float64Range(-1e6, 1e6).Draw(t, "value")
			text := fmt.Sprintf("%13.5E", v)
			if kind == 4 {
				text = fmt.Sprintf("%20.12E", v)
			}
			written, _ := strconv.ParseFloat(strings.TrimSpace(text), 64)
			if rapid.Bool().Draw(t, "D") {
				text = strings.Replace(text, "E", "D", 1)
			}
			want = append(want, written)
			put(text, perLine)
		}
		if onLine > 0 {
			values.WriteString("\n")
		}
		o.values = values.String()
		file, err := uff.Format{}.Read("a.uff", []byte(set(o)), trace.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		rec := file.Parts[0]
		if len(rec.Force) != o.n {
			t.Fatalf("%d values, want %d", len(rec.Force), o.n)
		}
		for i, w := range want {
			if rec.Force[i] != w {
				t.Fatalf("force %d: %v, want %v", i, rec.Force[i], w)
			}
			if !even && rec.Time[i] != times[i] {
				t.Fatalf("time %d: %v, want %v", i, rec.Time[i], times[i])
			}
		}
	})
}
