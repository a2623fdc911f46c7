package study

import (
	"reflect"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// What two models share is said once, what one has alone is marked, and no item
// repeats what its group says.
func TestUnmodelled(t *testing.T) {
	day := compare.Hidden{Name: "day", Where: compare.WithinCell, Said: "day: Monday and Tuesday inside every condition, not in the model; as a block its differences would be taken out of the residual"}
	mass := compare.Hidden{Name: "dry mass (g)", Where: compare.WithinCell, Said: "dry mass (g): 211 to 215.5, up to 2.7 apart among values of one condition at one fall, not in the model; as a covariate its effect would be taken out; not recorded for 2 of 89 values"}
	rope := compare.Hidden{Name: "rope", Where: compare.WithCondition, Said: "rope: A for dry, B for wet: nothing here can tell rope from the condition; findings are of the two together"}
	knots := compare.Hidden{Name: "knots", Where: compare.Constant, Said: "knots: figure of eight throughout, so the findings hold for that"}
	model := func(m campaign.Measure, hidden ...compare.Hidden) MeasureTable {
		return MeasureTable{Measure: m, Models: []Model{{Measure: m, Checks: &compare.Checks{Hidden: hidden}}}}
	}
	f := Findings{Measures: []MeasureTable{
		model(campaign.PeakForce, day, mass, rope, knots),
		model(campaign.ReboundSpeed, day, rope, knots),
		{Measure: campaign.MaxStretch, Models: []Model{{Measure: campaign.MaxStretch}}},
	}}
	want := [][]string{
		{"rope: A for dry, B for wet"},
		{"day: Monday and Tuesday inside every condition", "dry mass (g): 211 to 215.5, up to 2.7 apart; not recorded for 2 of 89 values (peak force)"},
		{"knots"},
	}
	var got [][]string
	for _, u := range f.Unmodelled() {
		got = append(got, u.Items)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%q\nwant\n%q", got, want)
	}
	if len((&Findings{}).Unmodelled()) != 0 {
		t.Error("findings without checks have something beside their models")
	}
}

// The words that items go without are those that compare says: of real findings
// none is left.
func TestUnmodelledOfAStudy(t *testing.T) {
	a, err := compare.Analyse(compare.Data{
		Value: []float64{3.1, 3.2, 3.3, 3.4, 4.1, 4.3, 4.2, 4.6}, Condition: strings.Fields("dry dry dry dry wet wet wet wet"),
		Columns:  []compare.Column{{Name: "rope", Value: strings.Fields("A A A A B B B B")}, {Name: "day", Value: strings.Fields("1 2 1 2 1 2 1 2")}},
		Measured: []compare.Measured{{Name: "mass", Value: []float64{1, 2, 3, 4, 5, 6, 7, 8}}},
	}, compare.Ask{Measure: "peak force", Baseline: "dry", Conditions: []string{"dry", "wet"}, Scale: compare.Log})
	if err != nil {
		t.Fatal(err)
	}
	checks, err := a.Check()
	if err != nil {
		t.Fatal(err)
	}
	f := Findings{Measures: []MeasureTable{{Models: []Model{{Checks: checks}}}}}
	items := 0
	for _, u := range f.Unmodelled() {
		for _, text := range u.Items {
			items++
			for _, said := range []string{"not in the model", "nothing here can tell", "of the two together"} {
				if strings.Contains(text, said) {
					t.Errorf("%q says what its group has said", text)
				}
			}
		}
	}
	if items != 3 {
		t.Errorf("%d items, want 3", items)
	}
}
