package planfile

import (
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/problem"
)

// The example that each hint gives is itself taken: a file made of nothing but
// examples is a plan. Specimens are listed or drawn, and a piece's length is said
// or follows from its knots, so there are three files; what belongs to nested factors and combinations is tried with
// them.
func TestExamplesAreTaken(t *testing.T) {
	factor := [2]string{`[[factor]]`, "[[factor]]\nname = \"rope\"\nlevels = [\"marram\"]\n[[factor]]"}
	const soaked = "[[condition]]\nname = \"Marram soaked\"\nlevels = { rope = \"marram\", water = \"soaked\" }\n"
	t.Run("listed", func(t *testing.T) {
		examplesAreTaken(t, []string{"[cutting]", "[combinations]"}, []string{"condition.specimens", "numbers.study", "factor.within", "factor.lots", "specimen.place"}, [][2]string{
			factor,
			{`[[rope]]`, soaked + `[[rope]]`},
			{`["Marram dry", "Marram soaked", "Marram dried"]`, `["Marram dry", "Marram soaked", "Marram dry"]`},
			{`labels = ["M-01", "M-02", "M-03"]`, `labels = ["M-02", "M-03", "M-04"]`},
			{"from = \"1 m\"\neach", "from = \"4.40 m\"\neach"},
		})
	})
	for _, without := range []string{"cutting.loss", "cutting.each"} {
		t.Run("drawn without "+without, func(t *testing.T) {
			examplesAreTaken(t, []string{"[[specimen]]", "[[cut]]", "[combinations]"}, []string{without, "numbers.study", "factor.within", "factor.lots", "specimen.place"}, [][2]string{
				factor, {`[[rope]]`, soaked + "specimens = 3\n[[rope]]"},
			})
		})
	}
}

// examplesAreTaken makes a file of the examples but for some parts and keys; the
// swaps are what the examples of single keys cannot know of each other.
func examplesAreTaken(t *testing.T, withoutParts, withoutKeys []string, swaps [][2]string) {
	var b strings.Builder
	b.WriteString("fallwright = 1\n")
	used := 0
	for _, p := range parts {
		if slices.Contains(withoutParts, p.header()) {
			continue
		}
		b.WriteString(p.header() + "\n")
		for _, k := range p.keys {
			if slices.Contains(withoutKeys, p.name+"."+k.name) {
				continue
			}
			b.WriteString(k.line() + "\n")
			used++
		}
	}
	file := b.String()
	for _, c := range swaps {
		file = swap(t, file, c[0], c[1])
	}
	if _, err := Parse("examples.toml", []byte(file)); err != nil {
		for _, p := range problem.All(err) {
			t.Error(rendered(p))
		}
	}
	if used < 50 {
		t.Errorf("%d keys", used)
	}
}

// docs/FORMATS.md knows every part, column and key that the reader knows, and
// says which are needed; and its example is a plan.
func TestReference(t *testing.T) {
	data, err := os.ReadFile("../docs/FORMATS.md")
	if err != nil {
		t.Fatal(err)
	}
	study, drops := section(t, string(data), "Study file"), section(t, string(data), "Table of drops")
	checked := 0
	for _, p := range parts {
		rows := rowsBelow(t, study, "### "+p.header())
		for _, k := range p.keys {
			checked++
			row, there := rows[k.name]
			switch {
			case !there:
				t.Errorf("%s.%s is not in the reference", p.name, k.name)
			case strings.Contains(row, "needed") != k.need:
				t.Errorf("%s.%s is needed: %v; the reference says: %s", p.name, k.name, k.need, row)
			}
			delete(rows, k.name)
		}
		for name := range rows {
			t.Errorf("the reference has %s.%s, which is no key", p.name, name)
		}
	}
	rows := rowsBelow(t, drops, "")
	for _, c := range columns {
		checked++
		if row, there := rows[c.name]; !there || strings.Contains(row, "needed") != c.need {
			t.Errorf("column %s is needed: %v; the reference says: %q", c.name, c.need, row)
		}
		delete(rows, c.name)
	}
	if len(rows) > 0 || checked < 60 {
		t.Errorf("checked %d keys; the reference has besides: %v", checked, rows)
	}

	example := fenced(t, study, "toml")
	if _, err := Parse("example.toml", []byte(example)); err != nil {
		t.Errorf("the example in the reference is refused: %v", err)
	}
	if rows, err := ParseDrops("example.csv", []byte(fenced(t, drops, "csv"))); err != nil || len(rows) < 3 {
		t.Errorf("the table in the reference is refused: %v", err)
	}
	if !strings.Contains(study, "fallwright = "+strconv.Itoa(Format)) {
		t.Errorf("the reference does not name format %d", Format)
	}
}

// section returns the text below a heading of the second order.
func section(t *testing.T, doc, heading string) string {
	t.Helper()
	_, after, found := strings.Cut(doc, "\n## "+heading+"\n")
	if !found {
		t.Fatalf("no section %q", heading)
	}
	text, _, _ := strings.Cut(after, "\n## ")
	return text
}

var tableRow = regexp.MustCompile("(?m)^\\| `([a-z_]+)` \\|(.*)$")

// rowsBelow returns the rows of the first table below a heading, by key.
func rowsBelow(t *testing.T, text, heading string) map[string]string {
	t.Helper()
	_, after, found := strings.Cut(text, heading)
	if !found {
		t.Errorf("no heading %q", heading)
	}
	after, _, _ = strings.Cut(after, "\n### ")
	rows := map[string]string{}
	for _, m := range tableRow.FindAllStringSubmatch(after, -1) {
		rows[m[1]] = m[2]
	}
	return rows
}

func fenced(t *testing.T, text, language string) string {
	t.Helper()
	_, after, found := strings.Cut(text, "```"+language+"\n")
	if !found {
		t.Fatalf("no example of %s", language)
	}
	code, _, _ := strings.Cut(after, "```")
	return code
}

func TestQuote(t *testing.T) {
	long := "x = \"" + strings.Repeat("long ", 60) + "end\""
	for _, c := range []struct {
		data string
		at   span
		want string
	}{
		{"a = 1\n\tb = 22\r\nc", span{11, 13}, "2 |  b = 22\n  |      ^^"},
		{"µ = \"µm\" # é", span{5, 10}, "1 | µ = \"µm\" # é\n  |     ^^^^"},
		{"a = [\n 1\n]", span{4, 10}, "1 | a = [\n  |     ^"},
		{"", span{0, 0}, "1 | \n  | ^"},
		{"a\x1b[31m", span{0, 1}, "1 | a\ufffd[31m\n  | ^"},
		{long, span{4, len(long)}, "1 | x = \"" + strings.Repeat("long ", 11) + "long …\n  |     " + strings.Repeat("^", 62)},
		{long, span{304, 309}, "1 | …  " + strings.Repeat("long ", 8) + "end\"\n  | " + strings.Repeat(" ", 42) + "^^^^^"},
	} {
		if got := (source{"f", []byte(c.data)}).quote(c.at); got != c.want {
			t.Errorf("%q %v\n got\n%s\nwant\n%s", c.data, c.at, got, c.want)
		}
	}
}
