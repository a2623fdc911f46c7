package importer

import "testing"

// Texts for the command line speak of this page's fields here.
func TestWords(t *testing.T) {
	v := View{Fields: []Field{
		{Name: "force", Label: "force column"},
		{Name: "rate", Label: "sample rate, Hz"},
		{Name: "full-scale", Label: "force at full scale"},
		{Name: "unit", Label: "unit of force"},
		{Name: "part", Label: "drop of several"},
	}}
	for text, want := range map[string]string{
		"say which by its number: --force 2":                       "say which by its number: “force column” 2",
		"say so: --full-scale 20 --unit kN":                        "say so: “force at full scale” 20, “unit of force” kN",
		"give the logger's sample rate: --rate HZ":                 "give the logger's sample rate: the field “sample rate”",
		"or write a side-car a.wav.toml beside it, with the lines": "or choose the file again, and with it a side-car a.wav.toml, with the lines",
		"say which, and in what unit: --force COLUMN --unit N":     "say which, and in what unit: the field “force column”, “unit of force” N",
		"say which: --rate 1 or --rate 1000":                       "say which: “sample rate” 1 or “sample rate” 1000",
		"--full-scale and --unit say so":                           "“force at full scale” and “unit of force” say so",
		"choose one by name or number, as --part 1":                "choose one by name or number, as “drop of several” 1",
		"give the falling mass: --mass KG":                         "give the falling mass: the mass of the setting",
		"a -- b, --nothing of ours":                                "a -- b, --nothing of ours",
	} {
		if got := v.Words(text); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
