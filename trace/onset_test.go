package trace

import (
	"strings"
	"testing"
)

// A contact that begins within one interval with a jump: the uncertainty is too
// small and says so. With samples on the foot, or a jump in a fine trace, nothing
// is said.
func TestBeginningBetweenSamples(t *testing.T) {
	good := Doubt{Cell: 0.0005, Mass: 0.008, Drop: 0.001}
	for _, c := range []struct {
		name  string
		law   law
		rate  float64
		doubt Doubt
		want  string
	}{
		{"small jump, 100 Hz", kelvinVoigt(20e3, 0.02), 100, doubtStated, "no sample is on the foot"},
		{"small jump, 200 Hz", kelvinVoigt(20e3, 0.01), 200, doubtStated, "no sample is on the foot"},
		{"jump, 200 Hz, a very good cell", kelvinVoigt(20e3, 0.1), 200, good, "the force jumps by"},
		{"jump, 5 kHz, a very good cell", kelvinVoigt(20e3, 0.1), 5000, good, ""},
		{"no jump, 2 kHz", zener(10e3, 15e3, 0.1), 2000, good, ""},
	} {
		r, _, err := Take(spoil(fallTrace(c.law, c.rate, 0.3, 2.2), 2, 40, 1, 3), Settings{Mass: refMass, Drop: refDrop, Doubt: c.doubt})
		if err != nil {
			t.Fatal(err)
		}
		notes := ""
		for _, n := range r.Notes {
			notes += n.Text + "\n"
		}
		if c.want != "" && !strings.Contains(notes, c.want) {
			t.Errorf("%s: nothing is said of it:\n%s", c.name, notes)
		}
		if c.want == "" && (strings.Contains(notes, "on the foot") || strings.Contains(notes, "the force jumps by")) {
			t.Errorf("%s: remarked on:\n%s", c.name, notes)
		}
	}
}
