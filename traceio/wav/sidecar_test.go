package wav_test

import (
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/traceio/wav"
)

// A value of the wrong kind is refused in the words of the side-car, not in
// those of a library.
func TestSideCarKinds(t *testing.T) {
	for text, want := range map[string]string{
		"full_scale = \"20\"":  "full_scale has to be a number",
		"full_scale = [1]":     "full_scale has to be a number",
		"unit = 5":             "unit has to be a word in quotes",
		"channels = \"force\"": "channels has to be a list of names",
		"pull = true":          "pull has to be a word in quotes",
		"full_scale = 20,5":    "no TOML at column 16",
	} {
		_, err := wav.Format{}.Read("a.wav", mono(riff{}), withCar("\n"+text))
		all := problem.All(err)
		if len(all) != 1 || all[0].Where != "a.wav.toml:2" || !strings.Contains(all[0].What, want) || strings.Contains(all[0].What, "Go") {
			t.Errorf("%s: %v, want line 2 and %q", text, err, want)
		}
	}
}
