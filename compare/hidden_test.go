package compare

import (
	"math"
	"testing"
)

// Every kind of column that a model may not hold, with its sentence.
func TestHidden(t *testing.T) {
	// Rows: dry and salt, two specimens each, two falls each.
	base := Data{
		Value:     []float64{1, 2, 3, 5, 8, 13, 21, 35},
		Condition: []string{"dry", "dry", "dry", "dry", "salt", "salt", "salt", "salt"},
		Specimen:  []string{"1", "1", "2", "2", "3", "3", "4", "4"},
		Fall:      []Fall{"1", "2", "1", "2", "1", "2", "1", "2"},
	}
	nan := math.NaN()
	for _, c := range []struct {
		column Column
		values []float64
		where  Where
		said   string
	}{
		{
			Column{"rope", []string{"A", "A", "B", "B", "A", "A", "B", "B"}},
			nil, WithinCell,
			"rope: A and B inside every condition, not in the model; as a block its differences would be taken out of the residual",
		},
		{
			Column{"rope", []string{"A", "A", "A", "A", "A", "A", "B", "B"}},
			nil, WithinCell,
			"rope: A and B inside 1 of 2 conditions (salt), not in the model; as a block its differences would be taken out of the residual",
		},
		{
			Column{"tin", []string{"1", "2", "3", "4", "5", "6", "7", "8"}},
			nil, WithinCell,
			"tin: 8 different inside every condition, not in the model; as a block its differences would be taken out of the residual",
		},
		{
			Column{"day", []string{"1", "1", "1", "1", "2", "2", "2", "2"}},
			nil, WithCondition,
			"day: 1 for dry, 2 for salt: nothing here can tell day from the condition; findings are of the two together",
		},
		{
			Column{"hour", []string{"9", "10", "9", "10", "9", "10", "9", "10"}},
			nil, WithFall,
			"hour: 9 for 1, 10 for 2: nothing here can tell hour from the fall; findings are of the two together",
		},
		{
			Column{"run", []string{"a", "b", "a", "b", "b", "c", "b", "c"}},
			nil, WithBoth,
			"run: a, b and c, the same inside each condition at each fall: nothing here can tell run from the condition and its falls; findings are of the two together",
		},
		{
			Column{"rig", []string{"A", "A", "A", "A", "A", "", "A", "A"}},
			nil, Constant,
			"rig: A throughout, so the findings hold for that; not recorded for 1 of 8 values",
		},
		{
			Column{Name: "drop height"},
			[]float64{4.60, 4.61, 4.60, 4.63, 4.60, 4.60, 4.58, 4.60},
			WithinCell,
			"drop height: 4.58 to 4.63, up to 0.02 apart among values of one condition at one fall, not in the model; as a covariate its effect would be taken out",
		},
		{
			Column{Name: "uptake"},
			[]float64{0, 0, 0, 0, 0.4, 0.4, nan, 0.4},
			WithCondition,
			"uptake: 0 for dry, 0.4 for salt: nothing here can tell uptake from the condition; findings are of the two together; not recorded for 1 of 8 values",
		},
		{Column{Name: "mass"}, []float64{80, 80, 80, 80, 80, 80, 80, 80}, Constant, "mass: 80 throughout, so the findings hold for that"},
	} {
		d := base
		if c.values == nil {
			d.Columns = []Column{c.column}
		} else {
			d.Measured = []Measured{{c.column.Name, c.values}}
		}
		a, err := Analyse(d, Ask{})
		if err != nil {
			t.Fatal(err)
		}
		got := hidden(a.data, a.Ask, a.table)
		if len(got) != 1 || got[0].Where != c.where || got[0].Said != c.said || got[0].Name != c.column.Name {
			t.Errorf("%+v\nwant %q: %s", got, c.where, c.said)
		}
	}
}

// What the model holds is not hidden; an empty column is not there; those that
// vary inside cells come first; and a table without conditions has one cell.
func TestHiddenOrder(t *testing.T) {
	d := Data{Value: []float64{1, 2, 4, 3}, Columns: []Column{
		{"rig", []string{"A", "A", "A", "A"}}, {"note", []string{"", "", "", ""}}, {"rope", []string{"A", "B", "A", "B"}}, {"lot", []string{"1", "1", "2", "2"}},
	}}
	a, err := Analyse(d, Ask{Blocks: []string{"lot"}})
	if err != nil {
		t.Fatal(err)
	}
	got := hidden(a.data, a.Ask, a.table)
	if len(got) != 2 || got[0].Name != "rope" || got[1].Name != "rig" ||
		got[0].Said != "rope: A and B inside the table, not in the model; as a block its differences would be taken out of the residual" {
		t.Errorf("%+v", got)
	}
}
