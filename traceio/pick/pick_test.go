package pick_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/pick"
)

// table makes columns of numbers from titles; "Title|unit" states the unit
// apart, a title that ends in "~" has gaps, one that ends in "@" holds times of
// day, one in "!" words.
func table(titles ...string) []pick.Column {
	var out []pick.Column
	for i, s := range titles {
		bare := strings.TrimRight(s, "~@!")
		title, unit, _ := strings.Cut(bare, "|")
		c := pick.NewColumn(i+1, title, unit)
		c.Holds, c.Cells = pick.Numbers, []string{fmt.Sprint(i) + ".5"}
		switch s[len(bare):] {
		case "~":
			c.Gaps = true
		case "@":
			c.Holds = pick.Stamps
		case "!":
			c.Holds = pick.Words
		}
		out = append(out, c)
	}
	return out
}

var source = pick.Source{Name: "a.x", Where: "a.x, sheet \"1\"", Header: true}

// wants are column numbers and units of what has to be chosen.
type wants struct {
	force, time, stretch, gate int
	unit                       string
	rate                       float64
	byMass                     bool
	notes                      string // parts of their texts, with "; " between
}

func TestChoices(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		columns []pick.Column
		ask     trace.Ask
		want    wants
	}{
		{table("Time (s)", "Force (kN)"), trace.Ask{}, wants{2, 1, 0, 0, "kN", 0, false, ""}},
		{table("Time|s", "Force|kN"), trace.Ask{}, wants{2, 1, 0, 0, "kN", 0, false, ""}},
		{table("Clock@", "Force (N)"), trace.Ask{}, wants{2, 1, 0, 0, "N", 0, false, ""}},
		{table("Elapsed (s)", "Clock@", "Force (N)"), trace.Ask{}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time!", "Clock@", "Force (N)"), trace.Ask{}, wants{3, 2, 0, 0, "N", 0, false, ""}},
		{table("Force (N).1", "Time (s).1"), trace.Ask{}, wants{1, 2, 0, 0, "N", 0, false, ""}},
		// stretch
		{table("Time (s)", "Extension (mm)", "Force (N)"), trace.Ask{}, wants{3, 1, 2, 0, "N", 0, false, "recorded stretch"}},
		{table("Zeit (s)", "Traversenweg|mm", "Kraft (N)"), trace.Ask{Stretch: "2"}, wants{3, 1, 2, 0, "N", 0, false, ""}},
		{table("Time (s)", "x (mm)", "Force (N)"), trace.Ask{}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "x (mm)", "Force (N)"), trace.Ask{Stretch: "x"}, wants{3, 1, 2, 0, "N", 0, false, ""}},
		{table("Time (s)", "Extension (mm)~", "Force (N)"), trace.Ask{}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "Extension (mm)~", "Displacement (in)", "Force (N)"), trace.Ask{}, wants{4, 1, 3, 0, "N", 0, false, "recorded stretch"}},
		{table("Time (s)", "Extension (mm)", "Displacement (in)", "Force (N)"), trace.Ask{}, wants{4, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "Extension (mm)", "Force (N)"), trace.Ask{Stretch: "none"}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "Strain (%)", "Force (N)"), trace.Ask{}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "Stretch_mm", "Force (N)"), trace.Ask{}, wants{3, 1, 2, 0, "N", 0, false, "recorded stretch"}},
		// gate
		{table("Time (s)", "Gate (V)", "Force (N)"), trace.Ask{}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "Gate (V)", "Force (N)"), trace.Ask{Gate: "gate"}, wants{3, 1, 0, 2, "N", 0, false, ""}},
		{table("Time (s)", "Gate (V)", "Force (N)"), trace.Ask{Gate: "none"}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		// sensors in the mass
		{table("Time (s)", "Acceleration (g)"), trace.Ask{Unit: "g"}, wants{2, 1, 0, 0, "g", 0, true, ""}},
		{table("Time (s)", "Acceleration (m/s²)"), trace.Ask{Unit: "m/s2"}, wants{2, 1, 0, 0, "m/s2", 0, true, ""}},
		{table("Time (s)", "Acceleration (m/s^2)"), trace.Ask{Force: "2"}, wants{2, 1, 0, 0, "m/s2", 0, true, ""}},
		{table("Time (s)", "Beschleunigung"), trace.Ask{Unit: "g"}, wants{2, 1, 0, 0, "g", 0, true, ""}},
		{table("Time (s)", "Acceleration (g)", "Force (N)"), trace.Ask{}, wants{3, 1, 0, 0, "N", 0, false, ""}},
		{table("Time (s)", "Acceleration (g)", "Force (N)"), trace.Ask{Unit: "g"}, wants{2, 1, 0, 0, "g", 0, true, ""}},
		{table("Time (s)", "Channel 1 (V)"), trace.Ask{Force: "2", Unit: "g"}, wants{2, 1, 0, 0, "g", 0, true, "because of --unit"}},
		// rates
		{table("Time (s)", "Force (N)"), trace.Ask{Rate: 50}, wants{2, 0, 0, 0, "N", 50, false, "was not used"}},
		{table("Force (N)"), trace.Ask{Rate: 50}, wants{1, 0, 0, 0, "N", 50, false, ""}},
	} {
		got, err := pick.Choose(source, c.columns, c.ask)
		if err != nil {
			t.Errorf("%v %+v: %v", c.columns, c.ask, err)
			continue
		}
		is := wants{got.Force.No, got.Time.No, got.Stretch.No, got.Gate.No, got.ForceUnit.Symbol, got.Rate, got.PerMass, c.want.notes}
		if is != c.want {
			t.Errorf("%v %+v: got %+v, want %+v", c.columns, c.ask, is, c.want)
		}
		said := ""
		for _, n := range got.Notes {
			said += n.Text + "\n"
		}
		if (said == "") != (c.want.notes == "") || !strings.Contains(said, c.want.notes) {
			t.Errorf("%v %+v: notes %q, want %q", c.columns, c.ask, said, c.want.notes)
		}
		for _, f := range got.Facts {
			if f.What == "" || f.Is == "" || f.Why == "" || !strings.HasPrefix(f.Flag, "--") {
				t.Errorf("%v: fact %+v", c.columns, f)
			}
		}
		uses := map[string]int{}
		for _, col := range pick.Columns(c.columns, got) {
			uses[col.Use] = col.No
		}
		delete(uses, "")
		for use, no := range map[string]int{"force": is.force, "time": is.time, "stretch": is.stretch, "gate": is.gate} {
			if uses[use] != no {
				t.Errorf("%v: column %d is used as %s, want %d", c.columns, uses[use], use, no)
			}
		}
		if len(got.Used()) != len(uses) {
			t.Errorf("%v: %d columns are used", c.columns, len(got.Used()))
		}
		checked++
	}
	if checked < 25 {
		t.Fatalf("%d choices were checked", checked)
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		columns    []pick.Column
		ask        trace.Ask
		what, hint string
	}{
		{table("Time (s)", "Acceleration (g)"), trace.Ask{}, "no column says that it is a force", "--force 2 --unit g with --mass reads the sensor in the mass"},
		{table("Time (s)", "ax (m/s^2)", "ay (m/s^2)"), trace.Ask{}, "no column says that it is a force", "--force COLUMN --unit m/s2 with --mass"},
		{table("Time (s)", "ax (m/s^2)", "ay (m/s^2)"), trace.Ask{Unit: "m/s2"}, "2 columns could be the force", "--force 2, --force 3"},
		{table("Time (s)", "Load (g)"), trace.Ask{}, `is in "g", which is no unit of force`, "no gram: --unit g with --mass"},
		{table("Time (s)", "Force (N)"), trace.Ask{Unit: "g"}, "no column says that it is a force", "--force"},
		{table("Time (s)", "Force (N)", "x"), trace.Ask{Stretch: "x"}, `--stretch: column 3 "x" has no unit`, "--stretch none"},
		{table("Time (s)", "Force (N)", "x (V)"), trace.Ask{Stretch: "3"}, `--stretch: column 3 "x (V)" is in V, and a stretch has a unit of length (m, mm, cm, um, in)`, "--stretch none"},
		{table("Time (s)", "Force (N)", "x (mm)"), trace.Ask{Stretch: "2"}, `--stretch: column 2 "Force (N)" is the force already`, `1 "Time (s)", 3 "x (mm)"`},
		{table("Time (s)", "Force (N)", "x (mm)"), trace.Ask{Gate: "1"}, `--gate: column 1 "Time (s)" is the time already`, `2 "Force (N)"`},
		{table("Time (s)", "Force (N)", "x (mm)"), trace.Ask{Gate: "3", Stretch: "3"}, `--gate: column 3 "x (mm)" is the stretch already`, `2 "Force (N)"`},
		{table("Time (s)", "Force (N)", "x (mm)"), trace.Ask{Gate: "light"}, `--gate "light": no column has that name`, `3 "x (mm)"`},
	} {
		got, err := pick.Choose(source, c.columns, c.ask)
		var p *problem.Problem
		if !errors.As(err, &p) {
			t.Errorf("%v %+v: %v", c.columns, c.ask, err)
			continue
		}
		if got == nil || p.Where != source.Where || p.State != "nothing was read from a.x" || !strings.Contains(p.What, c.what) || !strings.Contains(strings.Join(p.Hints, "\n"), c.hint) {
			t.Errorf("%v %+v: %+v", c.columns, c.ask, p)
		}
	}
}

// The rate that a file states, in the four places where it may matter.
func TestStatedRate(t *testing.T) {
	stated := source
	stated.Stated, stated.StatedBy = 2000, "line 3"
	clocked := stated
	clocked.Clock = true
	for _, c := range []struct {
		source  pick.Source
		columns []pick.Column
		ask     trace.Ask
		time    int
		rate    float64
		doubts  int
	}{
		{stated, table("Force (N)"), trace.Ask{}, 0, 2000, 1},
		{stated, table("Time (s)", "Force (N)"), trace.Ask{}, 1, 0, 0},
		{stated, table("Force (N)"), trace.Ask{Rate: 10}, 0, 10, 0},
		{clocked, table("Force (N)"), trace.Ask{}, 0, 2000, 0},
		{clocked, table("Time (s)", "Force (N)"), trace.Ask{}, 0, 2000, 0},
		{clocked, table("Time (s)", "Force (N)"), trace.Ask{Time: "1"}, 1, 0, 0},
		{clocked, table("Force (N)"), trace.Ask{Rate: 10}, 0, 10, 0},
	} {
		got, err := pick.Choose(c.source, c.columns, c.ask)
		if err != nil || got.Time.No != c.time || got.Rate != c.rate {
			t.Errorf("%+v %+v: time %d, rate %g, %v", c.columns, c.ask, got.Time.No, got.Rate, err)
			continue
		}
		doubts := 0
		for _, n := range got.Notes {
			if n.Grade == trace.Doubtful {
				doubts++
			}
		}
		if doubts != c.doubts {
			t.Errorf("%+v %+v: notes %q", c.columns, c.ask, got.Notes)
		}
	}
}

// A stretch that turns out not to be whole is given up, in note and fact.
func TestWithoutStretch(t *testing.T) {
	c, err := pick.Choose(source, table("Time (s)", "Weg (mm)", "Force (N)"), trace.Ask{})
	if err != nil || c.Stretch.No != 2 {
		t.Fatal(c, err)
	}
	c.WithoutStretch("is blank on line 9")
	if len(c.Notes) != 1 || c.Notes[0].Grade != trace.Doubtful || !strings.Contains(c.Notes[0].Text, "is blank on line 9") || c.Stretch.No != 0 || len(c.Used()) != 2 {
		t.Errorf("%+v", c)
	}
	for _, f := range c.Facts {
		if f.What == "stretch" && (f.Is != "none" || !strings.Contains(f.Why, "line 9")) {
			t.Errorf("%+v", f)
		}
	}
}

// Source: the definitions of rate and interval; times whole multiples of one.
func TestEvenness(t *testing.T) {
	even := make([]float64, 3000)
	for i := range even {
		even[i] = 5 + float64(i)/2048
	}
	jittered := append([]float64(nil), even...)
	for i := 1; i < len(even); i += 2 {
		even := 1. / 2048
		jittered[i] += even / 200
	}
	gap := append([]float64(nil), even...)
	for i := 2000; i < len(gap); i++ {
		gap[i] += 1
	}
	for _, c := range []struct {
		times   []float64
		is, why string
	}{
		{even, "2048 Hz", "3000 stamps is 0.0004883 s; all are the same"},
		{jittered, "2048 Hz", "they stray from it by 0.5 %"},
		{gap, "2048 Hz", "they go from 0.0004883 to 1 s"},
		{[]float64{0, 0.5}, "2 Hz", "all are the same"},
	} {
		f := pick.Evenness(&trace.Recording{Time: c.times})
		if f.What != "rate" || f.Is != c.is || !strings.Contains(f.Why, c.why) || f.Flag != "--rate" {
			t.Errorf("%+v, want %s, %s", f, c.is, c.why)
		}
	}
}
