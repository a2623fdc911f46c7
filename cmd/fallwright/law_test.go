package main

import (
	"os"
	"path/filepath"
	"testing"

	"fallwright.example/fall/fit"
	catches "fallwright.example/field"
	"fallwright.example/study"
)

// A state that is written and read again makes the same fall to the bit, with the
// same bands, as the page makes of the law itself.
func TestStatesComeBack(t *testing.T) {
	k := fit.Known{
		Law: "stiffening", Names: []string{"equilibrium", "branch", "relaxation", "growth"}, Units: []string{"N", "N", "s", ""},
		Values: []float64{4765.271323729999, 8904, 0.11999870978785337, 2.0019089486654726},
		Covariance: [][]float64{
			{19041.325516879937, -3173.4172973094146, -0.18575416735979403, -11.47053517876186},
			{-3173.4172973094146, 17129.54144285169, -0.13479610037333575, -2.6799568189886704},
			{-0.18575416735979403, -0.13479610037333575, 5.740266943056849e-06, 0.0001009323041956047},
			{-11.47053517876186, -2.6799568189886704, 0.0001009323041956047, 0.015613020575762504},
		},
		Fitted: fit.Range{Strain: 0.3645672952303634, Rate: 2.02493757945781, Force: 3717.8022598724892},
	}
	path := filepath.Join(t.TempDir(), "states.toml")
	if err := writeStates(path, []lawState{{name: `dry, "first" fall`, from: "fitted", known: k}}); err != nil {
		t.Fatal(err)
	}
	fall := `
[climber]
mass = "75 kg"
above = "2 m"
[belayer]
mass = "65 kg"
[rope]
slack = "0.5 m"
[[runner]]
below = "10 m"
turn = "180 deg"
friction = 0.2
`
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, append([]byte(fall), text...), 0o600); err != nil {
		t.Fatal(err)
	}
	file, err := readWall(path)
	if err != nil {
		t.Fatal(err)
	}
	read, err := file.doubt(file.State[0])
	if err != nil {
		t.Fatal(err)
	}
	rope, err := study.LawRope(`dry, "first" fall`, "fitted", -1, k)
	if err != nil || file.State[0].Name != rope.Name {
		t.Fatal(file.State[0].Name, err)
	}
	c, err := file.catch()
	if err != nil {
		t.Fatal(err)
	}
	options := catches.Options{Accuracy: catches.Shown}
	got, err := read.Bands(options)
	if err != nil {
		t.Fatal(err)
	}
	want, err := rope.Doubt(c).Bands(options)
	if err != nil {
		t.Fatal(err)
	}
	if want.Runs != 9 || !(want.Climber.Low < want.Climber.Value) {
		t.Fatalf("no bands to compare: %+v", want)
	}
	a, b := got.Rows(c), want.Rows(c)
	for i := range b {
		if a[i].Interval != b[i].Interval {
			t.Errorf("%s: %+v, want %+v", b[i].Key, a[i].Interval, b[i].Interval)
		}
	}
	one, err := read.Make(read.Values)
	if err != nil || one.Rope.Fitted != (catches.Fitted{Strain: k.Fitted.Strain, Rate: k.Fitted.Rate, Force: k.Fitted.Force}) {
		t.Errorf("fitted %+v, %v", one.Rope.Fitted, err)
	}
}
