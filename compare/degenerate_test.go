package compare

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// drop of the rows for which gone reports true.
func without(d Data, gone func(i int) bool) Data {
	out := Data{}
	for i, v := range d.Value {
		if gone(i) {
			continue
		}
		out.Value = append(out.Value, v)
		out.Specimen = append(out.Specimen, d.Specimen[i])
		out.Condition = append(out.Condition, d.Condition[i])
		out.Fall = append(out.Fall, d.Fall[i])
	}
	return out
}

// Refusals name the row, the column or the level, and say what to do.
func TestRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Data, *Ask)
		where  string
		what   string
	}{
		"infinite":             {func(d *Data, _ *Ask) { d.Value[4] = math.Inf(1) }, "row 5", "+Inf"},
		"not positive":         {func(d *Data, a *Ask) { d.Value[2], a.Scale = 0, Log }, "row 3", "log scale"},
		"fall no number":       {func(d *Data, a *Ask) { d.Fall[7], a.FallsAs = "second", Trend }, "row 8", "second"},
		"one fall as a trend":  {func(d *Data, a *Ask) { a.FallsAs = Trend; fillFalls(d) }, "fall", "trend needs two"},
		"empty specimen":       {func(d *Data, _ *Ask) { d.Specimen[0] = "" }, "row 1", "specimen is empty"},
		"empty condition":      {func(d *Data, _ *Ask) { d.Condition[1] = "" }, "row 2", "condition is empty"},
		"baseline unknown":     {func(_ *Data, a *Ask) { a.Baseline = "wet" }, "baseline wet", "no value of it"},
		"block unknown":        {func(_ *Data, a *Ask) { a.Blocks = []string{"rope"} }, "block rope", "no column"},
		"block one level":      {func(d *Data, a *Ask) { block(d, a, func(int) string { return "A" }) }, "block rope", "one level"},
		"block is condition":   {func(d *Data, a *Ask) { block(d, a, func(i int) string { return d.Condition[i] }) }, "block rope", "condition"},
		"block is specimen":    {func(d *Data, a *Ask) { block(d, a, func(i int) string { return "r" + d.Specimen[i] }) }, "block rope", "as specimens do"},
		"block is a row":       {func(d *Data, a *Ask) { block(d, a, func(i int) string { return string(rune('A' + i)) }) }, "block rope", "level a row"},
		"covariate unknown":    {func(_ *Data, a *Ask) { a.Covariates = []string{"uptake"} }, "covariate uptake", "no column"},
		"two margins":          {func(_ *Data, a *Ask) { a.Margin = Margin{0.05, 1} }, "margin", "one of the two"},
		"amount on logs":       {func(_ *Data, a *Ask) { a.Scale, a.Margin = Log, Margin{Amount: 1} }, "margin", "log scale"},
		"margin of everything": {func(_ *Data, a *Ask) { a.Margin = Margin{Share: 1} }, "margin", "below 100 %"},
		"scale unknown":        {func(_ *Data, a *Ask) { a.Scale = "square" }, "scale", "none of"},
		"trend without falls":  {func(d *Data, a *Ask) { d.Fall, a.FallsAs = nil, Trend }, "trend", "no falls"},
		"trend of each, too few": {func(d *Data, a *Ask) {
			*d = without(*d, func(i int) bool { return d.Fall[i] > "2" })
			a.FallsAs = TrendPerSpecimen
		}, "trend-per-specimen", "more than two"},
		"columns uneven": {func(d *Data, _ *Ask) { d.Fall = d.Fall[1:] }, "fall", "one a row"},
		"nothing":        {func(d *Data, _ *Ask) { *d = Data{} }, "", "no row"},
	} {
		d, ask := invented(3, 3, 3, 5), Ask{}
		c.change(&d, &ask)
		_, err := Analyse(d, ask)
		all := problem.All(err)
		if len(all) == 0 {
			t.Errorf("%s: %v is no problem", name, err)
			continue
		}
		if all[0].Where != c.where || !strings.Contains(all[0].What, c.what) {
			t.Errorf("%s: %q, want %q at %q", name, all[0].Error(), c.what, c.where)
		}
	}
}

func fillFalls(d *Data) {
	for i := range d.Fall {
		d.Fall[i] = "1"
	}
}

func block(d *Data, a *Ask, name func(i int) string) {
	c := Column{Name: "rope"}
	for i := range d.Value {
		c.Value = append(c.Value, name(i))
	}
	d.Columns, a.Blocks = []Column{c}, []string{"rope"}
}

// Where no spread can be had the numbers remain, without intervals, with a note
// that says why, and no claim is made.
func TestNumbersWithoutIntervals(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Data)
		note   string
	}{
		"one specimen a condition": {func(d *Data) { *d = without(*d, func(i int) bool { return !strings.HasSuffix(d.Specimen[i], "-1") }) }, "one specimen a condition"},
		"values all the same":      {func(d *Data) { fillValues(d, func(int) float64 { return 7 }) }, "all values are the same"},
		"specimens that repeat": {func(d *Data) {
			fillValues(d, func(i int) float64 { return float64(len(d.Specimen[i])) + float64(d.Specimen[i][2]) })
		}, "without any residual spread"},
		"fits exactly": {func(d *Data) { fillValues(d, func(i int) float64 { return float64(d.Condition[i][1]) }) }, "without any residual spread"},
		"as many as means": {func(d *Data) {
			*d = without(*d, func(i int) bool { return !strings.HasSuffix(d.Specimen[i], "-1") })
			d.Specimen = nil
		}, "leave nothing"},
	} {
		d := invented(3, 3, 3, 5)
		c.change(&d)
		a, err := Analyse(d, Ask{Margin: Margin{Share: 0.05}, Adjust: Holm})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.Contains(strings.Join(a.Notes, "; "), c.note) {
			t.Errorf("%s: notes %q, want %q", name, a.Notes, c.note)
		}
		for i, m := range a.Means {
			if got := meanOf(m.Values); !near.Rel(m.Mean, got, 1e-12) || !math.IsNaN(m.SE) || !math.IsNaN(m.Upper) {
				t.Errorf("%s: mean %d is %+v, its values' %g", name, i, m, got)
			}
		}
		for _, x := range append(slices.Clone(a.Against), a.Overall...) {
			if math.IsNaN(x.Amount) || !math.IsNaN(x.P) || !math.IsNaN(x.Lower) || x.Verdict != NoClaim {
				t.Errorf("%s: %+v", name, x)
			}
		}
		if len(a.Against) != 6 || len(a.Means) != 9 {
			t.Errorf("%s: %d differences, %d means", name, len(a.Against), len(a.Means))
		}
		if _, err := json.Marshal(a); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func fillValues(d *Data, value func(i int) float64) {
	for i := range d.Value {
		d.Value[i] = value(i)
	}
}

// One specimen in all: numbers, no claim.
func TestOneSpecimen(t *testing.T) {
	d := without(invented(1, 2, 5, 1), func(i int) bool { return i >= 5 })
	for _, as := range []FallsAs{Levels, Trend} {
		a, err := Analyse(d, Ask{FallsAs: as})
		if err != nil || len(a.Means) != 5 || !math.IsNaN(a.Means[0].SE) || !strings.Contains(a.Notes[0], "one specimen only") {
			t.Errorf("%s: %v, %+v", as, err, a)
		}
	}
}

// A shift of all values by 1e6 shifts means by it and leaves differences,
// spreads, degrees of freedom and tests as they were: the definition. Tolerance:
// what a float64 at 1e6 leaves of differences of 0.1.
func TestOffset(t *testing.T) {
	d := invented(4, 3, 4, 3)
	a, err := Analyse(d, Ask{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range d.Value {
		d.Value[i] += 1e6
	}
	b, err := Analyse(d, Ask{})
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for i, x := range a.Against {
		y := b.Against[i]
		if !near.Abs(y.Amount, x.Amount, 1e-8) || !near.Rel(y.SE, x.SE, 1e-7) || !near.Abs(y.DF, x.DF, 1e-5) || !near.Abs(y.P, x.P, 1e-7) {
			t.Errorf("%+v, want %+v", y, x)
		}
		n++
	}
	if n != 12 {
		t.Fatalf("%d looked at", n)
	}
}

// What is left out or odd is said, and names its rows.
func TestRemarks(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Data, *Ask)
		note   string
	}{
		"value missing":      {func(d *Data, _ *Ask) { d.Value[3] = math.NaN() }, "left out, without a value: row 4"},
		"repeats":            {func(d *Data, _ *Ask) { d.Fall[1] = "1" }, "repeats: 1-1 fall 1"},
		"copies":             {func(d *Data, _ *Ask) { d.Fall[1], d.Value[1] = "1", d.Value[0] }, "alike in every column: row 1 and row 2"},
		"several conditions": {func(d *Data, _ *Ask) { d.Specimen[30] = "1-1" }, "specimen 1-1 stands in several conditions"},
		"a cell empty": {func(d *Data, _ *Ask) {
			*d = without(*d, func(i int) bool { return d.Condition[i] == "c2" && d.Fall[i] == "3" })
		}, "no value of c2 at fall 3"},
		"one condition":  {func(d *Data, _ *Ask) { *d = without(*d, func(i int) bool { return d.Condition[i] != "c1" }) }, "one condition only, c1"},
		"one value each": {func(d *Data, _ *Ask) { *d = without(*d, func(i int) bool { return d.Fall[i] != "1" }) }, "one value a specimen"},
		"trend":          {func(_ *Data, a *Ask) { a.FallsAs = Trend }, "over falls: at fall 3"},
		"holm":           {func(_ *Data, a *Ask) { a.Adjust = Holm }, "Bonferroni's"},
		"variance zero": {func(d *Data, _ *Ask) {
			fillValues(d, func(i int) float64 { return float64(7*i%11) + float64(13*i%17) })
		}, "variance of the intercept is zero"},
	} {
		d, ask := invented(3, 3, 5, 5), Ask{}
		c.change(&d, &ask)
		a, err := Analyse(d, ask)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.Contains(strings.Join(a.Notes, "; "), c.note) {
			t.Errorf("%s: notes %q, want %q", name, a.Notes, c.note)
		}
	}
}

// expect is how many specimens of a condition have the fall.
func expect(x Difference) int {
	if x.Condition == "c2" && x.Fall == "3" {
		return 0
	}
	return 3
}

// What a cell without values takes with it is missing, and nothing else.
func TestEmptyCell(t *testing.T) {
	d := invented(3, 3, 3, 5)
	a, err := Analyse(without(d, func(i int) bool { return d.Condition[i] == "c2" && d.Fall[i] == "3" }), Ask{Margin: Margin{Share: 0.05}, Adjust: Holm})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range a.Against {
		if gone := x.Condition == "c2" && x.Fall == "3"; gone != math.IsNaN(x.P) || gone != (x.Verdict == NoClaim) {
			t.Errorf("%+v", x)
		}
	}
	for _, x := range a.Against {
		if want := expect(x); x.N != want || x.NBaseline != 3 {
			t.Errorf("%s at %s: %d and %d specimens, want %d and 3", x.Condition, x.Fall, x.N, x.NBaseline, want)
		}
	}
	for _, x := range a.Overall {
		if gone := x.Condition == "c2"; gone != math.IsNaN(x.P) {
			t.Errorf("%+v", x)
		}
	}
	for _, x := range a.Terms {
		if !(x.P > 0 && x.P <= 1) { // its figures: TestTermsBesideAnEmptyCell
			t.Errorf("%+v has no test", x)
		}
	}
	if got, err := a.Contrast("c2", "c1", []Fall{"1", "2"}); err != nil || math.IsNaN(got.P) || got.N != 3 {
		t.Errorf("over the falls that are there: %+v, %v", got, err)
	}
	if _, err := a.Contrast("c2", "c1", []Fall{"9"}); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a fall that is not there: %v", err)
	}
	if _, err := a.Contrast("c7", "c1", nil); problem.KindOf(err) != problem.NotFound {
		t.Errorf("a condition that is not there: %v", err)
	}
}

// Two repeats that happen to agree are no copy where no column tells repeats apart.
func TestRepeatsAreNoCopies(t *testing.T) {
	d := Data{Value: []float64{1, 1, 2, 3, 4, 6}, Specimen: []string{"a", "a", "a", "b", "b", "b"}}
	if notes := strings.Join(analysed(t, d, Ask{}).Notes, "; "); strings.Contains(notes, "alike in every column") {
		t.Error(notes)
	}
}
