package delimited_test

import (
	"fmt"
	"testing"

	"fallwright.example/trace"
)

// A unit may stand anywhere in a title, in a row above it or on a line of its
// own; one that is not read is refused by name.
func TestUnitsOfTitles(t *testing.T) {
	row := func(sep string) func(i int) string {
		return func(i int) string { return fmt.Sprintf("%d.5%s%d.25", i, sep, i) }
	}
	for _, header := range []string{
		"Time (s),Force (kN) raw", "Time (s),Ch1: Force [kN] (filtered)", "Time (s),Load cell 1 (kN) tared", "Time (s),Kraft:kN", "Time (s),Force.kN",
		"Time (s),Force kN (filtered)", "s,kN\nTime,Force", "# unit: kN\nTime (s),Force", "Unit of force: kN\nTime (s),Force",
		"Time (s),Force (kN, tared)", "Time (s),Load [kN raw]", "Time (s),Force (tared, kN)", "Time (s),Force (kN; offset removed) A", "Time,Force\ns,\"kN, tared\"",
		"# Unit of Force: kN\nTime (s),Force", "Load unit: kN\nPiston travel unit: mm\nTime (s),Load,Piston travel", "unit (Force): kN\n# unit: N\nTime (s),Force", "Column 2 unit: kN\nTime (s),Force",
		"# unit: kN\n# unit: kN\nTime (s),Force", "\u6642\u9593[\u79d2],\u8377\u91cd[kN]", "\u6642\u9593\uff08\u79d2\uff09,\u529b\uff08\uff4b\uff2e\uff09",
	} {
		rec, err := readOne("a.csv", []byte(down(header, 20, row(","))), trace.Ask{})
		if err != nil || rec.Unit != "kN" || rec.Force[1] != 1250 || rec.Time[1] != 1.5 {
			t.Errorf("%s: %+v, %v; want kN", header, rec, err)
		}
	}
	for header, unit := range map[string]string{
		"Time (s),Load (kips)": "kips", "Time (s),Load (pounds)": "pounds", "Time (s),Load (metric tons)": "metric tons", "Time (s),Load (klbf)": "klbf",
		"Time (s),Load (ozf)": "ozf", "Time (s),Load (kilopond)": "kilopond", "Time (s),Load kg": "kg", "Time (hrs),Load (N)": "hrs", "Time(days),Load (N)": "days",
		"# unit: kips\nTime (s),Load": "kips", "Time (s),Load (N m)": "N m", "Time (s),Load (kips, tared)": "kips, tared", "Time (s),Load (N, mm)": "N, mm",
	} {
		refused(t, down(header, 20, row(",")), trace.Ask{}, `"`+unit+`"`)
	}
	for _, header := range []string{"Time (s),Force (filtered)", "Time (s),Force (left foot)"} {
		rec, err := readOne("a.csv", []byte(down(header, 20, row(","))), trace.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		doubts(t, rec.Notes, []string{"no unit that is known in the title"})
	}
}

// Two lines that differ are refused with both, unless a flag or the title settles
// it, or each names its column.
func TestUnitLinesThatDiffer(t *testing.T) {
	row := func(i int) string { return fmt.Sprintf("%d.5,%d.25", i, i) }
	two := "# unit: kN\n# Einheit: N\n"
	refused(t, down(two+"Time (s),Force", 20, row), trace.Ask{}, `line 2, "# Einheit: N", states another unit than line 1, "# unit: kN",`)
	for _, c := range []struct {
		data, unit string
		ask        trace.Ask
	}{
		{two + "Time (s),Force", "N", trace.Ask{Unit: "N"}},
		{two + "Time (s),Force (daN)", "daN", trace.Ask{}},
		{"Time unit: ms\nForce unit: kN\n# unit: N\nTime,Force", "kN", trace.Ask{}},
	} {
		rec, err := readOne("a.csv", []byte(down(c.data, 20, row)), c.ask)
		if err != nil || rec.Unit != c.unit {
			t.Errorf("%q: %+v, %v; want %s", c.data, rec, err, c.unit)
			continue
		}
		if step := rec.Time[1] - rec.Time[0]; c.data[0] == 'T' && step != 0.001 {
			t.Errorf("%q: a step of %v s", c.data, step)
		}
	}
}

// A number above the table that may be no rate, or another, is never taken
// silently: the time column decides, or a flag.
func TestOpenRates(t *testing.T) {
	row := func(i int) string { return fmt.Sprintf("%d.5", i) }
	for line, why := range map[string]string{
		"Sample rate: 2.000 Hz": `"Sample rate: 2.000 Hz" can be read as 2 Hz, or with a point between thousands as 2000 Hz`,
		"Interval: 1.000 us":    "or with a point between thousands as 1000 Hz",
		"Interval: 10 s":        "no column is known to be time",
		"Data rate: 115200":     "no column is known to be time",
	} {
		refused(t, down(line+"\nForce (N)", 20, row), trace.Ask{}, why)
		rec, err := readOne("a.txt", []byte(down(line+"\nForce (N)", 20, row)), trace.Ask{Rate: 500})
		if err != nil || rec.Time[1] != 0.002 {
			t.Errorf("%s with --rate: %v", line, err)
		}
	}
	for line, hint := range map[string]string{"Interval: 10 s": "how long it went on", "Data rate: 115200": "the speed of a serial line"} {
		_, err := readOne("a.txt", []byte(down(line+"\nForce (N)", 20, row)), trace.Ask{})
		refusedWith(t, line, err, "a.txt:2", "no column is known to be time", hint)
	}
	for line, want := range map[string]float64{"Sample rate: 1.000 kHz": 1000, "Interval: 1.000 ms": 1000, "Sample rate: 2.5 Hz": 2.5, "Data rate: 115200 Hz": 115200, "Data rate: 1000": 1000} {
		rec, err := readOne("a.txt", []byte(down(line+"\nForce (N)", 20, row)), trace.Ask{})
		if err != nil || rec.Time[1] != 1/want {
			t.Errorf("%s: %v", line, err)
		}
	}
	if rec, err := readOne("a.txt", []byte(down("Sample rate: 2.000 Hz\nForce (N)", 20, row)), trace.Ask{Decimal: "point"}); err != nil || rec.Time[1] != 0.5 {
		t.Errorf("with --decimal point: %v", err)
	}
	timed := func(i int) string { return fmt.Sprintf("%.4f,%d.5", float64(i)/2000, i) }
	rec, err := readOne("a.txt", []byte(down("Sample rate: 2.000 Hz\nTime (s),Force (N)", 20, timed)), trace.Ask{})
	if err != nil || len(rec.Notes) != 0 {
		t.Errorf("a time column at 2000 Hz: %v, %v", rec.Notes, err)
	}
}

// What looks like a rate and is none leaves the file without time.
func TestNoRate(t *testing.T) {
	row := func(i int) string { return fmt.Sprintf("%d.5", i) }
	for _, line := range []string{"Sampling rate (Hz),1000,2000", "FS=20", "FS: 20 kN", "Sampling time: 4 s", "Sample rate: 1 mHz"} {
		refused(t, down(line+"\nForce (N)", 20, row), trace.Ask{}, "needs time or a rate")
	}
	for line, want := range map[string]float64{"dt=0.001": 1000, "Sample rate: 1 kS/s": 1000, "Sample rate: 1 MHz": 1e6, "Fs: 500": 500, "Scan rate: 50 scans/s": 50} {
		rec, err := readOne("a.txt", []byte(down(line+"\nForce (N)", 20, row)), trace.Ask{})
		if err != nil || rec.Time[1] != 1/want {
			t.Errorf("%s: %v", line, err)
		}
	}
}

// Endings and signs that programs of other days write.
func TestOldSigns(t *testing.T) {
	for name, data := range map[string]string{
		"Ctrl-Z":  "Time (s),Force (N)\n0.0,1.5\n1.0,-2.5\n\x1a",
		"NUL":     "Time (s),Force (N)\n0.0,1.5\n1.0,-2.5\n\x00\x00\x00\x00",
		"name":    "Pr\xfcfstand\x00\x00\x00\x00;7\nTime (s);Force (N)\n0.0;1.5\n1.0;-2.5\n",
		"minus":   "Time (s),Force (N)\n0.0,1.5\n1.0,\u22122.5\n",
		"double":  "Time (s),Force (N)\n0.0D+00,0.15D+01\n0.1D+01,-0.25D+01\n",
		"minutes": "Time,Force (N)\n59:58.000,1.5\n59:59.000,-2.5\n",
		"format":  "Time [hh:mm:ss.000],Force (N)\n00:59:58.000,1.5\n00:59:59.000,-2.5\n",
		"comment": "Time (s),Force (N)\n0.0,1.5\n1.0,-2.5\n# peak: 1.5, mean: -0.5\n#\n\n",
		"capital": "TIME (MS),FORCE (N)\n0,1.5\n1000,-2.5\n",
	} {
		rec, err := readOne("a.csv", []byte(data), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(rec.Force) != 2 || rec.Force[1] != -2.5 || rec.Time[1]-rec.Time[0] != 1 {
			t.Errorf("%s: %v at %v", name, rec.Force, rec.Time)
		}
	}
}
