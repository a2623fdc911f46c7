package study_test

import (
	"math"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// seriesDesk has a plan of eight falls, so that a series is long enough for a
// trend.
func seriesDesk(t *testing.T) *study.Desk {
	t.Helper()
	d, p := desk(t), plan()
	p.Series.Falls = 8
	if _, err := d.PutPlan(t.Context(), p, "wet.toml", []byte("the file"), "tester"); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Freeze(t.Context(), "wet", "tester"); err != nil {
		t.Fatal(err)
	}
	return d
}

// The peaks are made, so the trend is known: 3.00, 3.21, 3.39, 3.62 kN lie about
// the line with the slope (−1.5·3.00 − 0.5·3.21 + 0.5·3.39 + 1.5·3.62)/5 =
// 0.204 kN, the mean 3.305 and the residuals +0.001, +0.007, −0.017, +0.009: their
// sum of squares is 0.00042, so s² = 0.00021 and the slope's standard error
// √(0.00021/5) = 0.0064807 kN. At fall 5 the line is 3.815 kN; a single new value
// there has the standard error s·√(1 + 1/4 + 2.5²/5) = 0.0144914·√2.5 = 0.0229129 kN.
// By hand. The peaks are read to within 1e-5 of themselves, 0.04 N.
func TestSeries(t *testing.T) {
	d := seriesDesk(t)
	peaks := []float64{3.00, 3.21, 3.39, 3.62, 3.50, 3.55}
	minutes := []float64{0, 3, 6, 9, 9 + 24*60, 9 + 24*60 + 9.5} // over night, and then more than three times 3 min
	for i, p := range peaks {
		add(t, d, release("A", i+1, minutes[i], halfSine(p)))
	}
	add(t, d, release("B", 1, 12, halfSine(2)))
	s, err := d.Series(t.Context(), "wet", "A")
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Falls) != 6 || s.Specimen.Label != "A" {
		t.Fatalf("%d falls of %s", len(s.Falls), s.Specimen.Label)
	}
	for i, f := range s.Falls {
		if want := i == 4 || i == 5; f.Long != want {
			t.Errorf("the rest before fall %d is long: %v, want %v", i+1, f.Long, want)
		}
	}
	const tolerance = 0.1 // N
	if c := s.Falls[1].Change[0]; math.Abs(float64(c)-210) > tolerance || s.Falls[0].Change[0].Known() {
		t.Errorf("changes %v and %v", s.Falls[0].Change[0], c)
	}
	trends := 0
	for _, tr := range s.Trends {
		if tr.Value != 0 {
			continue
		}
		trends++
		if math.Abs(tr.Slope-204) > tolerance || math.Abs(tr.SE-6.4807) > tolerance || tr.From != 1 || tr.To != 4 || tr.Points != 4 || math.Abs(tr.Level-2999) > tolerance {
			t.Errorf("trend %+v", tr)
		}
	}
	looked := 0
	for _, r := range s.Recoveries {
		if r.Value != 0 {
			continue
		}
		looked++
		switch r.Fall {
		case 5:
			if math.Abs(r.Change+120) > tolerance || math.Abs(r.Expected-3815) > tolerance || math.Abs(r.SE-22.9129) > tolerance || r.Points != 4 {
				t.Errorf("recovery %+v", r)
			}
		case 6: // one fall before it makes no line
			if math.Abs(r.Change-50) > tolerance || !math.IsNaN(r.Expected) || !math.IsNaN(r.SE) || r.Points != 0 {
				t.Errorf("recovery %+v", r)
			}
		}
	}
	if trends != 1 || looked != 2 {
		t.Errorf("%d trends and %d recoveries of the peak", trends, looked)
	}
	if len(s.Loops) != 6 || len(s.Loops[0].Force) < 100 {
		t.Errorf("%d loops", len(s.Loops))
	}
}

// Where the plan sets no rest, only a night makes one long.
func TestNightIsALongRest(t *testing.T) {
	d, p := desk(t), plan()
	p.Series.Rest = campaign.Rest{}
	p.Series.Falls = 3
	if _, err := d.PutPlan(t.Context(), p, "wet.toml", []byte("the file"), "tester"); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Freeze(t.Context(), "wet", "tester"); err != nil {
		t.Fatal(err)
	}
	for i, minutes := range []float64{0, 600, 16 * 60} { // 9:00, 19:00 and 1:00
		add(t, d, release("A", i+1, minutes, halfSine(3+0.1*float64(i))))
	}
	s, err := d.Series(t.Context(), "wet", "A")
	if err != nil {
		t.Fatal(err)
	}
	if s.Falls[1].Long || !s.Falls[2].Long {
		t.Errorf("long rests: %v in the day, %v over night", s.Falls[1].Long, s.Falls[2].Long)
	}
}

func TestSeriesOfLittle(t *testing.T) {
	d := seriesDesk(t)
	if s, err := d.Series(t.Context(), "wet", "A"); err != nil || len(s.Falls)+len(s.Trends)+len(s.Recoveries)+len(s.Loops) != 0 {
		t.Errorf("%+v, %v", s, err)
	}
	if _, err := d.Series(t.Context(), "wet", "Z"); problem.KindOf(err) != problem.NotFound {
		t.Errorf("no such specimen: %v", err)
	}
	add(t, d, release("A", 1, 0, halfSine(3)))
	void := release("A", 2, 3, halfSine(9))
	void.Drop.Void = &campaign.Void{Reason: "hit the frame", Loaded: true}
	add(t, d, void)
	add(t, d, release("A", 3, 6, nil))
	add(t, d, release("A", 4, 9, halfSine(3.2)))
	s, err := d.Series(t.Context(), "wet", "A")
	if err != nil || len(s.Falls) != 4 || len(s.Trends) != 0 {
		t.Fatalf("%+v, %v", s, err)
	}
	if s.Falls[1].Values[0].Known() || s.Falls[2].Values[0].Known() || math.Abs(float64(s.Falls[3].Change[0])-200) > 0.1 {
		t.Errorf("a void fall has a value, or a change is not against the last fall that has one: %+v", s.Falls)
	}
}
