package planfile

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// nested is a file with a soak time that belongs to soaked rope only; what makes
// its conditions is put in.
func nested(conditions string) string {
	return `fallwright = 1
[study]
name = "soak"
title = "How long in the sea"
[[factor]]
name = "rope"
levels = ["marram", "samphire"]
lots = ["Marram 9.6", "Samphire 9.6 treated"]
[[factor]]
name = "water"
levels = ["dry", "soaked"]
[[factor]]
name = "soak"
levels = ["10 min", "2 h"]
within = { water = "soaked" }
` + conditions + `
[[rope]]
lot = "Marram 9.6"
length = "60 m"
[[rope]]
lot = "Samphire 9.6 treated"
length = "60 m"
[rig]
name = "Boathouse tower"
[[setting]]
name = "standard"
mass = "80 kg"
drop = "1.42 m"
free_length = "2.60 m"
[series]
falls = 3
setting = "standard"
[reading]
filter = "CFC 60"
[cutting]
knot_takes = "40 cm"
[order]
seed = 4711
`
}

const combined = `[combinations]
specimens = 2
baseline = { rope = "marram", water = "dry" }`

// All combinations of two ropes, dry and soaked for two times, written out by hand:
// names, levels, lots, and the one that is the baseline; and the specimens drawn.
func TestCombinations(t *testing.T) {
	p, err := Parse("soak.toml", []byte(nested(combined)))
	if err != nil {
		t.Fatal(err)
	}
	want := []campaign.Condition{
		{Name: "marram dry", Levels: map[string]string{"rope": "marram", "water": "dry"}, Lot: "Marram 9.6", Specimens: 2, Baseline: true},
		{Name: "marram soaked 10 min", Levels: map[string]string{"rope": "marram", "water": "soaked", "soak": "10 min"}, Lot: "Marram 9.6", Specimens: 2},
		{Name: "marram soaked 2 h", Levels: map[string]string{"rope": "marram", "water": "soaked", "soak": "2 h"}, Lot: "Marram 9.6", Specimens: 2},
		{Name: "samphire dry", Levels: map[string]string{"rope": "samphire", "water": "dry"}, Lot: "Samphire 9.6 treated", Specimens: 2},
		{Name: "samphire soaked 10 min", Levels: map[string]string{"rope": "samphire", "water": "soaked", "soak": "10 min"}, Lot: "Samphire 9.6 treated", Specimens: 2},
		{Name: "samphire soaked 2 h", Levels: map[string]string{"rope": "samphire", "water": "soaked", "soak": "2 h"}, Lot: "Samphire 9.6 treated", Specimens: 2},
	}
	same := func(a, b campaign.Condition) bool {
		return a.Name == b.Name && maps.Equal(a.Levels, b.Levels) && a.Lot == b.Lot && a.Specimens == b.Specimens && a.Baseline == b.Baseline
	}
	if !slices.EqualFunc(p.Conditions, want, same) {
		t.Errorf("conditions\n%+v\nwant\n%+v", p.Conditions, want)
	}
	for _, s := range p.Specimens {
		if c, _ := p.Condition(s.Condition); c.Lot != s.Lot {
			t.Errorf("%s of %s is cut from %s", s.Label, s.Condition, s.Lot)
		}
	}
	if len(p.Specimens) != 12 {
		t.Errorf("%d specimens", len(p.Specimens))
	}
}

// A listed condition comes first and keeps its name and number; the rest is made.
func TestCombinationsBesideListed(t *testing.T) {
	p, err := Parse("soak.toml", []byte(nested(`[[condition]]
name = "control"
levels = { rope = "marram", water = "dry" }
baseline = true
specimens = 4
[combinations]
specimens = 2`)))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Conditions) != 6 || p.Conditions[0].Name != "control" || p.Conditions[0].Specimens != 4 || p.Conditions[0].Lot != "Marram 9.6" {
		t.Errorf("%d conditions, the first %+v", len(p.Conditions), p.Conditions[0])
	}
	for _, c := range p.Conditions[1:] {
		if c.Name == "marram dry" || c.Baseline || c.Specimens != 2 {
			t.Errorf("made besides: %+v", c)
		}
	}
}

// Picked conditions stay possible, nested or not; "within" takes several levels.
func TestPickedNested(t *testing.T) {
	picked := `[[condition]]
name = "dry"
levels = { rope = "marram", water = "dry" }
baseline = true
specimens = 2
[[condition]]
name = "wet"
levels = { rope = "samphire", water = "soaked", soak = "2 h" }
specimens = 2`
	p, err := Parse("soak.toml", []byte(nested(picked)))
	if err != nil {
		t.Fatal(err)
	}
	if _, has := p.Conditions[0].Levels["soak"]; has || p.Conditions[1].Lot != "Samphire 9.6 treated" {
		t.Errorf("%+v", p.Conditions)
	}
	several := swap(t, swap(t, nested(picked), `within = { water = "soaked" }`, `within = { water = ["soaked", "dry"] }`), `water = "dry" }`, `water = "dry", soak = "10 min" }`)
	if p, err = Parse("soak.toml", []byte(several)); err != nil || !slices.Equal(p.Factors[2].Within.Levels, []string{"soaked", "dry"}) {
		t.Errorf("%v: %+v", err, p.Factors)
	}
}

func TestNestedRefusals(t *testing.T) {
	picked := func(dry, wet string) string {
		return `[[condition]]
name = "dry"
levels = { rope = "marram", ` + dry + ` }
baseline = true
specimens = 2
[[condition]]
name = "wet"
levels = { rope = "marram", ` + wet + ` }
specimens = 2`
	}
	good := picked(`water = "dry"`, `water = "soaked", soak = "2 h"`)
	looked := 0
	for _, c := range []struct{ from, to, want string }{
		{good, picked(`water = "dry", soak = "2 h"`, `water = "soaked", soak = "2 h"`), `soak.toml:18: soak belongs to water "soaked", and here it is "dry" | take soak out of these levels`},
		{good, picked(`water = "dry"`, `water = "soaked"`), `soak.toml:23: it does not say its level of factor "soak" | the levels are: "10 min", "2 h"`},
		{good, swap(t, good, `water = "soaked", soak = "2 h"`, `water = "soaked", soak = "3 h"`), `soak.toml:23: factor "soak" has no level "3 h" | the levels are: "10 min", "2 h"`},
		{`within = { water = "soaked" }`, `within = { water = "frozen" }`, `soak.toml:15: factor "water" has no level "frozen" | the levels are: "dry", "soaked"`},
		{`within = { water = "soaked" }`, `within = { wind = "soaked" }`, `soak.toml:15: there is no factor "wind" that "soak" could be nested in | the plan has: "rope", "water"`},
		{`within = { water = "soaked" }`, `within = { soak = "2 h" }`, `soak.toml:15: the factor "soak" is nested in itself | the plan has: "rope", "water"`},
		{`within = { water = "soaked" }`, `within = { water = [] }`, `soak.toml:15: it does not say at which level of "water" it has one | the levels are: "dry", "soaked"`},
		{`within = { water = "soaked" }`, `within = { water = "soaked", rope = "marram" }`, `soak.toml:15: this is a table, and within is a table with one factor and its levels | write, such as: within = { water = "soaked" }`},
		{`within = { water = "soaked" }`, `within = "soaked"`, `soak.toml:15: "soaked" is text, and within is a table with one factor and its levels | write, such as: within = { water = "soaked" }`},
		{
			good, strings.Replace(picked(`water = "dry"`, `water = "dry"`), "marram", "samphire", 1),
			`soak.toml:15: the nested factor "soak" is empty: none of 2 conditions has water "soaked" | add a condition with water = "soaked" and soak = "10 min" | or take the factor "soak" out`,
		},
		{`levels = ["dry", "soaked"]`, "levels = [\"dry\", \"soaked\"]\nwithin = { soak = \"2 h\" }", `soak.toml:12: the factor "water" is nested in itself by way of "soak" | take within out of one of the two`},
		{`lots = ["Marram 9.6", "Samphire 9.6 treated"]`, `lots = ["Marram 9.6"]`, `soak.toml:8: there are 1 lots for 2 levels | give one lot for each level, in the same order`},
		{`lots = ["Marram 9.6", "Samphire 9.6 treated"]`, `lots = ["Marram", "Samphire 9.6 treated"]`, `soak.toml:8: there is no rope of lot "Marram" | the plan has: "Marram 9.6", "Samphire 9.6 treated"`},
		{good, swap(t, combined, `water = "dry"`, `water = "wet"`), `soak.toml:18: none of the 6 combinations has these levels | one is: { rope = "marram", water = "dry" }`},
		{good, swap(t, combined, "\nbaseline = { rope = \"marram\", water = \"dry\" }", ""), `soak.toml:16: none of the 6 conditions is the baseline | mark the one that the others are compared with | add to [combinations] its levels, such as: baseline = { rope = "marram", water = "dry" }`},
	} {
		file := swap(t, nested(good), c.from, c.to)
		if got := faults(file); len(got) != 1 || got[0] != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.to, strings.Join(got, "\n     "), c.want)
		}
		looked++
	}
	if looked < 15 {
		t.Errorf("%d looked at", looked)
	}
}

// faults are what a file is refused for, one line each.
func faults(file string) []string {
	var out []string
	_, err := Parse("soak.toml", []byte(file))
	for _, p := range problem.All(err) {
		out = append(out, strings.Join(append([]string{p.Error()}, p.Hints...), " | "))
	}
	return out
}

// Too many combinations are counted, not made.
func TestTooManyCombinations(t *testing.T) {
	for factors, want := range map[int]string{4: "the 4 factors make 81 combinations", 40: "the 40 factors make more than 10000 combinations"} {
		var b strings.Builder
		for i := range factors {
			fmt.Fprintf(&b, "[[factor]]\nname = \"f%d\"\nlevels = [\"a\", \"b\", \"c\"]\n", i)
		}
		_, after, _ := strings.Cut(nested(combined), "[combinations]")
		got := faults("fallwright = 1\n[study]\nname = \"s\"\ntitle = \"t\"\n" + b.String() + "[combinations]" + after)
		if len(got) != 1 || !strings.Contains(got[0], want) || !strings.Contains(got[0], "60 conditions") {
			t.Errorf("%d factors: %q", factors, got)
		}
	}
}

// A question about a factor is answered by two conditions that differ in it alone.
func TestAbout(t *testing.T) {
	ask := func(compare, with, about string) string {
		return `[[question]]
name = "q"
asks = "Is it harder?"
value = "peak force"
compare = "` + compare + `"
with = "` + with + `"
falls = [1]
margin = "5 %"
about = "` + about + `"
` + combined
	}
	for _, c := range []struct{ compare, with, about, want string }{
		{"marram soaked 2 h", "marram soaked 10 min", "soak", ""},
		{"marram soaked 2 h", "marram dry", "water", ""}, // the soak time is part of it
		{"samphire dry", "marram dry", "rope", ""},
		{
			"samphire soaked 2 h", "marram dry", "water",
			`soak.toml:24: "samphire soaked 2 h" and "marram dry" differ in rope (samphire and marram) too, so the answer cannot be put down to water | compare "samphire soaked 2 h" with "samphire dry" | or take about out: the answer then holds for all that differs`,
		},
		{
			"marram soaked 2 h", "marram dry", "rope",
			`soak.toml:24: "marram soaked 2 h" and "marram dry" do not differ in rope, so they say nothing of it | compare "marram dry" with "samphire dry"`,
		},
		{"marram soaked 2 h", "marram dry", "wind", `soak.toml:24: there is no factor "wind" | the plan has: "rope", "water", "soak"`},
	} {
		got := strings.Join(faults(nested(ask(c.compare, c.with, c.about))), "\n")
		if got != c.want {
			t.Errorf("%s\n got %s\nwant %s", c.about, got, c.want)
		}
	}
	// With the condition that would do not in the plan, it is named.
	picked := strings.ReplaceAll(ask("wet", "dry", "water"), combined, `[[condition]]
name = "dry"
levels = { rope = "marram", water = "dry" }
baseline = true
specimens = 2
[[condition]]
name = "wet"
levels = { rope = "samphire", water = "soaked", soak = "2 h" }
specimens = 2`)
	const want = `missing is a condition with water: dry, and else as "wet": rope = "samphire"`
	if got := faults(nested(picked)); len(got) != 1 || !strings.Contains(got[0], want) {
		t.Errorf("got %q, want %s", got, want)
	}
}
