package delimited_test

import (
	"fmt"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// Columns under one time are several drops where their titles say so, and are
// several sensors otherwise.
func TestDropsUnderOneTime(t *testing.T) {
	row := func(i int) string { return fmt.Sprintf("%d,%d.5,%d.25", i, i, 2*i) }
	for header, want := range map[string]string{
		"Time (s),Drop 1,Drop 2":                           "[Drop 1 Drop 2]",
		"Time (s),Run A: Force (N),Run B: Force (N)":       "[Run A Run B]",
		"Time (s),Force Versuch 3 (N),Force Versuch 4 (N)": "[Versuch 3 Versuch 4]",
	} {
		file, err := delimited.Format{}.Read("a.csv", []byte(down(header, 20, row)), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", header, err)
			continue
		}
		var got []string
		for _, p := range file.Parts {
			got = append(got, p.Part)
		}
		if fmt.Sprint(got) != want || file.Parts[1].Force[19] != 38.25 || file.Parts[0].Force[19] != 19.5 || file.Parts[1].Time[19] != 19 {
			t.Errorf("%s: drops %q, want %s", header, got, want)
		}
	}
	for _, header := range []string{"Time (s),Force 1 (N),Force 2 (N)", "Time (s),Force Run 1 (N),Load Run 2 (N)"} {
		refused(t, down(header, 20, row), trace.Ask{}, "2 columns could be the force")
	}
}
