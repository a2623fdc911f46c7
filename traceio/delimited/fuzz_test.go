package delimited_test

import (
	"errors"
	"math"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// FuzzRead holds that any bytes and any ask give either sound drops or a whole
// refusal.
func FuzzRead(f *testing.F) {
	add := func(data []byte, a trace.Ask) {
		f.Add(data, a.Rate, a.Force, a.Time, a.Unit, a.Stretch, a.Gate, a.Delimiter, a.Decimal, a.Part)
	}
	for _, c := range examCases(f) {
		add(c.Data, c.Ask)
	}
	add([]byte("a\n\n1 2\n\n\"\n1,2"), trace.Ask{Force: "1", Time: "2", Unit: "N"})
	add([]byte("#\tF\n1\t2\n2\t3"), trace.Ask{Rate: 5e-324, Unit: "kN"})
	add([]byte("\xef\xbb\xbf"), trace.Ask{})
	add([]byte("\xff\xfet\x00\xd8"), trace.Ask{Delimiter: "bar", Decimal: "comma"})
	add([]byte("t;F (N);x (mm)\n12:00:00;1;2\n12:00:00;2;\n"), trace.Ask{Stretch: "3", Gate: "x", Part: "2"})
	f.Fuzz(func(t *testing.T, data []byte, rate float64, force, time, unit, stretch, gate, delimiter, decimal, part string) {
		format := delimited.Format{}
		format.Claims("f.csv", data)
		file, err := format.Read("f.csv", data, trace.Ask{
			Rate: rate, Force: force, Time: time, Unit: unit, Stretch: stretch, Gate: gate, Delimiter: delimiter, Decimal: decimal, Part: part,
		})
		if err != nil {
			var p *problem.Problem
			if !errors.As(err, &p) || p.Where == "" || p.What == "" || len(p.Hints) == 0 || p.State == "" || p.Kind == 0 || len(file.Parts) > 0 {
				t.Fatalf("half a refusal: %#v", err)
			}
			return
		}
		if len(file.Parts) == 0 {
			t.Fatal("no drops")
		}
		for _, rec := range file.Parts {
			sound(t, rec)
		}
	})
}

// sound holds what holds of every drop.
func sound(t *testing.T, rec *trace.Recording) {
	t.Helper()
	n := len(rec.Time)
	if len(rec.Force) != n || n < 2 || rec.Stretch != nil && len(rec.Stretch) != n || rec.Gate != nil && len(rec.Gate) != n {
		t.Fatalf("%d times, %d forces, %d of stretch, %d of gate", n, len(rec.Force), len(rec.Stretch), len(rec.Gate))
	}
	for _, values := range [][]float64{rec.Time, rec.Force, rec.Stretch, rec.Gate} {
		for i, v := range values {
			if math.IsNaN(v - v) {
				t.Fatalf("sample %d is not finite", i)
			}
		}
	}
	for i := 1; i < n; i++ {
		if rec.Time[i] <= rec.Time[i-1] {
			t.Fatalf("time does not rise at sample %d", i)
		}
	}
}
