package delimited_test

import (
	"errors"
	"math"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// FuzzRead holds that any bytes give either a sound recording or a whole
// refusal.
func FuzzRead(f *testing.F) {
	for _, c := range examCases(f) {
		f.Add(c.Data, c.Ask.Rate, c.Ask.Force, c.Ask.Time, c.Ask.Unit)
	}
	f.Add([]byte("a\n\n1 2\n\n\"\n1,2"), 0.0, "1", "2", "N")
	f.Add([]byte("#\tF\n1\t2\n2\t3"), 5e-324, "", "", "kN")
	f.Add([]byte("\xef\xbb\xbf"), 0.0, "", "", "")
	f.Fuzz(func(t *testing.T, data []byte, rate float64, force, time, unit string) {
		format := delimited.Format{}
		format.Claims("f.csv", data)
		rec, err := format.Read("f.csv", data, traceio.Ask{Rate: rate, Force: force, Time: time, Unit: unit})
		if err != nil {
			var p *problem.Problem
			if !errors.As(err, &p) || p.Where == "" || p.What == "" || len(p.Hints) == 0 || p.State == "" || p.Kind == 0 || rec != nil {
				t.Fatalf("half a refusal: %#v", err)
			}
			return
		}
		if len(rec.Time) != len(rec.Force) || len(rec.Time) < 2 {
			t.Fatalf("%d times, %d forces", len(rec.Time), len(rec.Force))
		}
		for i := range rec.Time {
			if math.IsNaN(rec.Time[i]-rec.Time[i]) || math.IsNaN(rec.Force[i]-rec.Force[i]) {
				t.Fatalf("sample %d is not finite", i)
			}
			if i > 0 && rec.Time[i] <= rec.Time[i-1] {
				t.Fatalf("time does not rise at sample %d", i)
			}
		}
	})
}
