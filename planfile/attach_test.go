package planfile

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"fallwright.example/campaign"
)

const pickedOnly = `[[condition]]
name = "dry"
levels = { rope = "marram", water = "dry" }
baseline = true
[[condition]]
name = "wet"
levels = { rope = "marram", water = "soaked", soak = "2 h" }`

func listedOnly() string {
	file, _, _ := strings.Cut(nested(pickedOnly), "[cutting]")
	return file
}

func rowsOf(cells ...map[string]string) SpecimenTable {
	t := SpecimenTable{Name: "cut.csv"}
	for i, c := range cells {
		t.Rows = append(t.Rows, SpecimenRow{Row: fmt.Sprintf("line %d", i+2), Cells: c})
	}
	return t
}

// What comes of a file and a table is a study file that gives the same plan, with
// every cell where it belongs, odd characters too.
func TestAttach(t *testing.T) {
	table := rowsOf(
		map[string]string{"label": `M "1" \\ é`, "lot": "Marram 9.6", "condition": "dry", "from": "1 m", "to": "4.4 m", "knots": "eight", "place": "2", "day": "1"},
		map[string]string{"label": "M-02", "lot": "Marram 9.6", "condition": "wet", "place": "1", "from": "", "to": ""},
		map[string]string{"label": "M-03", "lot": "Marram 9.6", "condition": "wet", "spare": "true"},
	)
	plan, whole, err := Attach("soak.toml", []byte(listedOnly()), table)
	if err != nil {
		t.Fatal(err)
	}
	want := []campaign.Specimen{
		{Label: `M "1" \\ é`, Lot: "Marram 9.6", Condition: "dry", From: 1, To: 4.4, Knots: "eight", Place: 2, Day: 1},
		{Label: "M-02", Lot: "Marram 9.6", Condition: "wet", Place: 1},
		{Label: "M-03", Lot: "Marram 9.6", Condition: "wet", Spare: true},
	}
	again, err := Parse("soak.toml", whole)
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range want {
		if plan.Specimens[i] != s || again.Specimens[i] != s {
			t.Errorf("%+v and %+v, want %+v", plan.Specimens[i], again.Specimens[i], s)
		}
	}
	if !bytes.HasPrefix(whole, []byte(listedOnly())) {
		t.Error("the study file was altered")
	}
	if _, twice, _ := Attach("soak.toml", []byte(listedOnly()), table); !bytes.Equal(whole, twice) {
		t.Error("the same table makes other bytes")
	}
}

func TestAttachRefusals(t *testing.T) {
	good := map[string]string{"label": "M-01", "lot": "Marram 9.6", "condition": "dry", "from": "1 m", "to": "4.4 m"}
	with := func(key, value string) map[string]string {
		out := map[string]string{}
		for k, v := range good {
			out[k] = v
		}
		out["label"] = "M-02"
		out["from"], out["to"] = "4.4 m", "7.8 m"
		out[key] = value
		return out
	}
	looked := 0
	for _, c := range []struct {
		cells map[string]string
		want  string
	}{
		{with("label", ""), "cut.csv, line 3: label is empty"},
		{with("label", "M-01"), `cut.csv, line 3: the label "M-01" is taken by specimen 1`},
		{with("condition", "damp"), `cut.csv, line 3: M-02: there is no condition "damp"`},
		{with("lot", "Tern"), `there is no rope of lot "Tern"`},
		{with("to", ""), "cut.csv, line 3: there is from and no to"},
		{with("from", "4.4"), "cut.csv, line 3: "},
		{with("from", "2 m"), `cut.csv, line 3: M-02: it begins at 2 m of rope "Marram 9.6", inside specimen M-01`},
		{with("spare", "perhaps"), `cut.csv, line 3: "perhaps" is text, and spare is true or false`},
		{with("place", "2.5"), `cut.csv, line 3: "2.5" is text, and place is a whole number`},
		{with("place", "1"), "cut.csv, line 2: M-01: others have a place in the order of drops, and it has none"},
	} {
		_, _, err := Attach("soak.toml", []byte(listedOnly()), rowsOf(good, c.cells))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v\nwant %s", err, c.want)
		}
		looked++
	}
	if looked < 10 {
		t.Errorf("%d looked at", looked)
	}
	for want, f := range map[string]func() error{
		"cut.csv: the table has no specimen": func() error {
			_, _, err := Attach("soak.toml", []byte(listedOnly()), SpecimenTable{Name: "cut.csv"})
			return err
		},
		"soak.toml:10: ": func() error { // a fault of the file keeps its line
			_, _, err := Attach("soak.toml", []byte(strings.Replace(listedOnly(), "[[factor]]\nname = \"water\"", "[[factor]]\nnime = \"water\"", 1)), rowsOf(good))
			return err
		},
		"cut.csv, line 2: specimens are listed here, and conditions have specimens to be drawn": func() error {
			_, _, err := Attach("soak.toml", []byte(nested(combined)), rowsOf(good))
			return err
		},
	} {
		if err := f(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
}

// An order of drops is an order: each place once, of every specimen but spares.
func TestPlaces(t *testing.T) {
	row := func(label, place, spare string) map[string]string {
		return map[string]string{"label": label, "lot": "Marram 9.6", "condition": "dry", "place": place, "spare": spare}
	}
	for want, table := range map[string]SpecimenTable{
		"place 1 in the order of drops is that of A":           rowsOf(row("A", "1", ""), row("B", "1", "")),
		"it is a spare, and has place 2 in the order of drops": rowsOf(row("A", "1", ""), row("B", "2", "true")),
		"its place in the order is -1":                         rowsOf(row("A", "-1", "")),
		"it is dropped on day -2, and there are 0":             rowsOf(map[string]string{"label": "A", "lot": "Marram 9.6", "condition": "dry", "day": "-2"}),
		"it is dropped on day 3, and there are 2":              rowsOf(map[string]string{"label": "A", "lot": "Marram 9.6", "condition": "dry", "day": "3"}),
	} {
		file := listedOnly()
		if strings.Contains(want, "are 2") {
			file += "[days]\ndates = [\"2026-12-05\", \"2026-12-06\"]\nhours = \"09:00 to 16:00\"\n"
		}
		if _, _, err := Attach("soak.toml", []byte(file), table); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
}
