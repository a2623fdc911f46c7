package planfile

import (
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// What WriteRecipe writes, ParseRecipe reads back to the last bit, whatever the
// names hold.
func TestRecipeAndBack(t *testing.T) {
	checked := 0
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.String().Filter(func(s string) bool { return strings.TrimSpace(s) != "" && !strings.ContainsRune(s, 0) })
		maybe := rapid.OneOf(rapid.Just(""), name)
		word := func(of []string) *rapid.Generator[string] { return rapid.SampledFrom(append([]string{""}, of...)) }
		above := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-3, fastest))
		want := campaign.Recipe{Name: name.Draw(t, "name"), Rig: maybe.Draw(t, "rig"), Ask: trace.Ask{
			Rate: above.Draw(t, "rate"), Force: maybe.Draw(t, "force"), Time: maybe.Draw(t, "time"), Stretch: maybe.Draw(t, "stretch"), Gate: maybe.Draw(t, "gate"),
			Unit: word(unitWords).Draw(t, "unit"), Delimiter: word(delimiterWords).Draw(t, "delimiter"), Decimal: word(decimalWords).Draw(t, "decimal"),
			Sheet: maybe.Draw(t, "sheet"), Part: maybe.Draw(t, "part"), FullScale: above.Draw(t, "full scale"),
			Pull: rapid.SampledFrom([]trace.Pull{trace.PullFound, trace.PullPositive, trace.PullNegative}).Draw(t, "pull"),
		}}
		data := WriteRecipe(want)
		got, err := ParseRecipe("r.toml", data)
		if err != nil {
			t.Fatalf("%v\n%s", err, data)
		}
		if got != want {
			t.Fatalf("got  %+v\nwant %+v\nfrom\n%s", got, want, data)
		}
		checked++
	})
	if checked == 0 {
		t.Error("nothing was checked")
	}
}

// Every field of an Ask has its key, so that a field that is added later is not
// forgotten; but a side-car, which belongs to one file.
func TestRecipeHoldsAWholeAsk(t *testing.T) {
	full := trace.Ask{
		Rate: 2000, Force: "f", Time: "t", Stretch: "s", Gate: "g", Unit: "kN", Delimiter: "tab", Decimal: "point",
		Sheet: "sh", Part: "p", FullScale: 20, Pull: trace.PullPositive,
	}
	v := reflect.ValueOf(full)
	fields := 0
	for i := range v.NumField() {
		if name := v.Type().Field(i).Name; !strings.HasPrefix(name, "SideCar") {
			fields++
			if v.Field(i).IsZero() {
				t.Errorf("the test leaves Ask.%s out", name)
			}
		}
	}
	if len(askKeys) != fields {
		t.Errorf("%d keys for %d fields of an Ask", len(askKeys), fields)
	}
	if got, err := ParseRecipe("r.toml", WriteRecipe(campaign.Recipe{Name: "n", Ask: full})); err != nil || got.Ask != full {
		t.Errorf("got %+v, %v", got.Ask, err)
	}
}

// The words are those that readers of files take.
func TestRecipeWords(t *testing.T) {
	looked := 0
	for _, of := range []struct {
		words []string
		set   func(*trace.Ask, string)
	}{
		{unitWords, func(a *trace.Ask, w string) { a.Unit = w }},
		{delimiterWords, func(a *trace.Ask, w string) { a.Delimiter = w }},
		{decimalWords, func(a *trace.Ask, w string) { a.Decimal = w }},
	} {
		for _, w := range of.words {
			looked++
			var a trace.Ask
			of.set(&a, w)
			if err := traceio.Check("f.csv", a); err != nil {
				t.Error(err)
			}
		}
	}
	if listed := strings.Join(unitWords, ", "); listed != traceio.ForceUnits+", "+traceio.AccelUnits {
		t.Errorf("units %s, and readers list %s, %s", listed, traceio.ForceUnits, traceio.AccelUnits)
	}
	if looked < 15 {
		t.Errorf("looked at %d words", looked)
	}
}

// Every refusal of a recipe, whole.
func TestRecipeRefusals(t *testing.T) {
	cases := []struct{ data, want string }{
		{"", "r.toml:1: the recipe has no name\n1 | \n  | ^\n-> add: name = \"tower logger\""},
		{"name = \"a\"\nrat = \"2000 Hz\"", `
r.toml:2: the recipe has no key "rat"
2 | rat = "2000 Hz"
  | ^^^
-> write rate, such as: rate = "2000 Hz"`},
		{"name = \"a\"\n[reading]\nrate = \"2000 Hz\"", `
r.toml:2: the recipe has no key "reading"
2 | [reading]
  |  ^^^^^^^
-> its keys are: name, rig, rate, force, time, stretch, gate, unit, delimiter, decimal, sheet, part, full_scale, pull`},
		{"name = \"a\"\nrate = 2000", `
r.toml:2: "2000" has no unit
2 | rate = 2000
  |        ^^^^
-> a frequency is given in Hz or kHz: write "2000 Hz"`},
		{"name = \"a\"\nrate = \"-5 Hz\"", `
r.toml:2: a rate of "-5 Hz" is no sample rate: it lies above 0 Hz, up to 1 GHz
2 | rate = "-5 Hz"
  |        ^^^^^^^
-> give the samples a second, such as "2000 Hz", or leave rate out when the file has times`},
		{"name = \"a\"\nunit = \"kn\"", `
r.toml:2: "kn" is no unit known here
2 | unit = "kn"
  |        ^^^^
-> write: unit = "kN"`},
		{"name = \"a\"\ndelimiter = \";\"", `
r.toml:2: ";" is no delimiter known here
2 | delimiter = ";"
  |             ^^^
-> write one of: comma, semicolon, tab, space, bar`},
		{"name = \"a\"\ndecimal = 1", `
r.toml:2: 1 is a whole number, and decimal is one of the words point, comma, in quotes
2 | decimal = 1
  |           ^
-> write, such as: decimal = "comma"`},
		{"name = \"a\"\nforce = 0", `
r.toml:2: 0 is a whole number, and force is a name in quotes, or a whole number from 1
2 | force = 0
  |         ^
-> write, such as: force = "Load"`},
		{"name = \"a\"\nsheet = \" \"", `
r.toml:2: sheet is empty
2 | sheet = " "
  |         ^^^
-> write, such as: sheet = "falls", or leave it out`},
		{"name = \"a\"\nfull_scale = \"20 kN\"", `
r.toml:2: "20 kN" is text, and full_scale is a number without a unit, without quotes
2 | full_scale = "20 kN"
  |              ^^^^^^^
-> write, such as: full_scale = 20`},
		{"name = \"a\"\nfull_scale = -1.5", `
r.toml:2: a full scale of -1.5 is not above zero
2 | full_scale = -1.5
  |              ^^^^
-> give the force at a sample of 1, in the unit that the key unit names: full_scale = 20`},
		{"name = \"a\"\npull = \"down\"", `
r.toml:2: "down" is no pull known here
2 | pull = "down"
  |        ^^^^^^
-> write one of: positive, negative`},
		{"name = \"\"\nsign = \"negative\"", `
r.toml:1: name is empty
1 | name = ""
  |        ^^
-> write, such as: name = "tower logger"

r.toml:2: the recipe has no key "sign"
2 | sign = "negative"
  | ^^^^
-> write pull, such as: pull = "negative"`},
		{"name = \"a\"\nrate = 2000 Hz", `
r.toml:2: 2000 Hz is not in quotes
2 | rate = 2000 Hz
  |        ^^^^^^^
-> write: rate = "2000 Hz"`},
	}
	for _, c := range cases {
		_, err := ParseRecipe("r.toml", []byte(c.data))
		var got []string
		for _, p := range problem.All(err) {
			got = append(got, rendered(p))
		}
		if text := strings.Join(got, "\n\n"); text != strings.TrimSpace(c.want) {
			t.Errorf("%q\n got:\n%s\nwant:\n%s", c.data, text, strings.TrimSpace(c.want))
		}
	}
	if len(cases) < 15 {
		t.Errorf("looked at %d refusals", len(cases))
	}
}

// docs/FORMATS.md knows the recipe's own keys and which are needed, and its
// example is a recipe.
func TestRecipeReference(t *testing.T) {
	data, err := os.ReadFile("../docs/FORMATS.md")
	if err != nil {
		t.Fatal(err)
	}
	text := section(t, string(data), "Recipe")
	rows := rowsBelow(t, text, "")
	checked := 0
	for _, k := range recipePart.keys[:len(recipePart.keys)-len(askKeys)] {
		checked++
		if row, there := rows[k.name]; !there || strings.Contains(row, "needed") != k.need {
			t.Errorf("key %s is needed: %v; the reference says: %q", k.name, k.need, row)
		}
		delete(rows, k.name)
	}
	if len(rows) > 0 || checked != 2 {
		t.Errorf("checked %d keys; the reference has besides: %v", checked, rows)
	}
	r, err := ParseRecipe("example.toml", []byte(fenced(t, text, "toml")))
	if err != nil || r.Ask.Rate != 2000 || r.Ask.Pull != trace.PullNegative || r.Rig == "" {
		t.Errorf("the example in the reference is %+v, %v", r, err)
	}
}

func FuzzRecipe(f *testing.F) {
	f.Add([]byte("name = \"a\"\nrate = \"2000 Hz\"\nfull_scale = 1e300"))
	f.Add([]byte("name.a = 1\n[force]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := ParseRecipe("r.toml", data)
		if err == nil {
			if again, err := ParseRecipe("r.toml", WriteRecipe(r)); err != nil || again != r {
				t.Errorf("%+v is written and read as %+v, %v", r, again, err)
			}
			if math.IsInf(r.Ask.FullScale, 0) || r.Name == "" {
				t.Errorf("%+v", r)
			}
		}
		for _, p := range problem.All(err) {
			if p.What == "" || len(p.Hints) == 0 || !strings.HasPrefix(p.Where, "r.toml") {
				t.Errorf("%v says not what to do", p)
			}
		}
	})
}
