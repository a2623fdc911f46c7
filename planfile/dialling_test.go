package planfile

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/dial"
	"fallwright.example/fall"
	"fallwright.example/problem"
)

// The reference has every part and key, says which are needed, and its example is
// read as it looks.
func TestDiallingReference(t *testing.T) {
	data, err := os.ReadFile("../docs/FORMATS.md")
	if err != nil {
		t.Fatal(err)
	}
	rig := section(t, string(data), "Rig file")
	checked := 0
	for _, p := range dialParts {
		rows := rowsBelow(t, rig, "### "+p.header())
		for _, k := range p.keys {
			checked++
			if row, there := rows[k.name]; !there || strings.Contains(row, "needed") != k.need {
				t.Errorf("%s.%s is needed: %v; the reference says: %q", p.name, k.name, k.need, row)
			}
			delete(rows, k.name)
		}
		for name := range rows {
			t.Errorf("the reference has %s.%s, which is no key", p.name, name)
		}
	}
	if checked < 20 {
		t.Fatalf("%d keys", checked)
	}
	got, err := ParseDialling("rig.toml", []byte(fenced(t, rig, "toml")))
	if err != nil {
		t.Fatal(err)
	}
	want := Dialling{Question: dial.Question{
		Window: dial.Window{Low: 3000, High: 4000},
		Rig: dial.Rig{
			Masses: []float64{80}, FreeLengths: []float64{2.6}, LowestDrop: 0.05, HighestDrop: 3, DropStep: 0.01, Gravity: fall.StandardGravity,
		},
		Published: &dial.Published{Force: 8400, Mass: 80, Drop: 4.8, FreeLength: 2.8},
		Trials: []dial.Trial{
			{Setting: dial.Setting{Mass: 80, Drop: 0.45, FreeLength: 2.6}, Peak: 2860},
			{Setting: dial.Setting{Mass: 80, Drop: 0.57, FreeLength: 2.6}, Peak: 3190, Specimen: "T-2"},
			{Setting: dial.Setting{Mass: 80, Drop: 0.57, FreeLength: 2.6}, Peak: 3410, Specimen: "T-2", Fall: 2},
		},
		Falls: 5, Enough: 0.9, Level: 0.9,
	}, Traces: []string{"", "", ""}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	if a, err := dial.Ask(got.Question); err != nil || len(a.Warnings) > 0 {
		t.Errorf("the example gives %+v, %v", a, err)
	}
}

const tower = "[tower]\nmasses = [\"80 kg\"]\nfree_lengths = [\"2.6 m\"]\nhighest_drop = \"3 m\"\n"

// A range of masses has both its ends; one quantity stands for itself.
func TestDiallingRanges(t *testing.T) {
	file := strings.Replace(tower, `["80 kg"]`, `"60 kg to 90 kg by 10 kg"`, 1)
	file = strings.Replace(file, `["2.6 m"]`, `"2.6 m"`, 1)
	d, err := ParseDialling("r.toml", []byte(file))
	if err != nil || !reflect.DeepEqual(d.Rig.Masses, []float64{60, 70, 80, 90}) || !reflect.DeepEqual(d.Rig.FreeLengths, []float64{2.6}) {
		t.Errorf("%+v, %v", d.Rig, err)
	}
}

func TestDiallingRefusals(t *testing.T) {
	cases := []struct{ file, want, hint string }{
		{"", "r.toml: the file has no part [tower]", "add [tower]"},
		{"fallwright = 1\n", "r.toml:1: this is a study file", "Rig file"},
		{tower + "[trail]\n", `r.toml:5: there is no part "trail"`, "write [trial]"},
		{tower + "[trial]\n", "r.toml:5: trial is a part of the file", "write [[trial]]"},
		{tower + "[[tower]]\n", "r.toml", ""},
		{tower + "[[trial]]\ndrop = \"0.5 m\"\n", "r.toml:5: the trial has no peak", "add: peak"},
		{tower + "[[trial]]\ndrop = \"0.5 m\"\npeak = \"3 kN\"\ntrace = \"a.csv\"\n", "the trial has a peak and a trace", "leave one"},
		{tower + "[[trial]]\nheight = \"0.5 m\"\npeak = \"3 kN\"\n", `[[trial]] has no key "height"`, "write drop"},
		{tower + "[[trial]]\ndrop = \"0.5 m\"\npeak = \"3 kg\"\n", "r.toml:7: ", ""},
		{strings.Replace(tower, `["80 kg"]`, `["80"]`, 1), `r.toml:2: "80" has no unit`, "80 kg"},
		{strings.Replace(tower, `["80 kg"]`, `[80]`, 1), "r.toml:2: 80 is a whole number, and masses is a list of quantities", "masses ="},
		{strings.Replace(tower, `["80 kg"]`, `[]`, 1), "r.toml:2: ", "masses ="},
		{strings.Replace(tower, `["80 kg"]`, `"90 kg to 60 kg by 5 kg"`, 1), "goes nowhere", "lower end"},
		{strings.Replace(tower, `highest_drop = "3 m"`, ``, 1), "[tower] has no highest_drop", "add: highest_drop"},
		{tower + "[rope]\nfirst_fall_force = \"8.4 kN\"\n", "[rope] has no mass", "add: mass"},
		{tower + "[window]\nlow = \"3 kN\"\n", "[window] has no high", "add: high"},
		{strings.Replace(tower, `["80 kg"]`, `["80 kg", "70 kg"]`, 1) + "[[trial]]\ndrop = \"0.5 m\"\npeak = \"3 kN\"\n", "trial 1 has no mass, and the tower has 2", "add: mass"},
	}
	for _, c := range cases {
		_, err := ParseDialling("r.toml", []byte(c.file))
		all := problem.All(err)
		if len(all) == 0 || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q\n gives %v\n want %s", c.file, err, c.want)
			continue
		}
		if !strings.Contains(strings.Join(all[0].Hints, "\n"), c.hint) {
			t.Errorf("%q hints %q, want %s", c.file, all[0].Hints, c.hint)
		}
	}
}

func FuzzDialling(f *testing.F) {
	f.Add([]byte(tower + "[[trial]]\ndrop = \"0.5 m\"\npeak = \"3 kN\"\n"))
	f.Add([]byte("[tower]\nmasses = \"1 kg to 2 kg by 0 kg\"\n[rope]\n[window]\n[series]\nfalls = 5"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := ParseDialling("r.toml", data)
		if err == nil && (len(d.Rig.Masses) == 0 || len(d.Traces) != len(d.Trials)) {
			t.Errorf("%+v", d)
		}
		if err != nil && len(problem.All(err)) == 0 {
			t.Errorf("%v is no refusal", err)
		}
	})
}
