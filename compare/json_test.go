package compare

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"
)

// An answer without an interval goes out as null and comes back as NaN: a
// number that is not there never becomes 0.
func TestJSONKeepsWhatIsMissing(t *testing.T) {
	obs := join(series("soaked", "S", 5, 3800), series("dry", "D", 5, 3400, 3500))
	a, err := Put(Question{Name: "salt", Measure: "peak force", Unit: "N", Condition: "soaked", Baseline: "dry", Falls: []int{5}, Share: 0.05}, obs)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"question":{"name":"salt","asks":"","measure":"peak force","unit":"N","condition":"soaked","baseline":"dry","falls":[5],"margin_share":0.05,"margin_amount":0}`,
		`"verdict":"no claim"`, `"difference":{"condition":"soaked","baseline":"dry","fall":5,"n":1,"n_baseline":2,"difference":350,"se":null,"df":null,"lower":null`,
		`"percent_upper_90":null}`, `"notes":["`, `"needed":null`,
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s\nlacks %s", text, want)
		}
	}
	var back Answer
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	same(t, a.Difference, back.Difference)
	if back.Needed != Unknown || back.Verdict != NoClaim || back.Sentence != a.Sentence {
		t.Errorf("%+v comes back as %+v", a, back)
	}

	// A number that is 0 stays 0: these are settled.
	a, err = Put(a.Question, join(series("soaked", "S", 5, 3800, 3810, 3820), series("dry", "D", 5, 3400, 3410, 3420)))
	if err != nil {
		t.Fatal(err)
	}
	if text, err = json.Marshal(a); err != nil || !strings.HasSuffix(string(text), `,"needed":0}`) {
		t.Errorf("%s (%v)\nwants to end in needed 0", text, err)
	}
	if err := json.Unmarshal(text, &back); err != nil || back.Needed != 0 {
		t.Errorf("needed 0 comes back as %d, %v", back.Needed, err)
	}

	cells, err := Table(obs, []string{"dry", "soaked"})
	if err != nil {
		t.Fatal(err)
	}
	text, err = json.Marshal(cells)
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"condition":"soaked","fall":5,"n":1,"specimens":["S-1"],"values":[3800],"mean":3800,"sd":null,"se":null,"df":0,"lower":null,"upper":null}]`; !strings.HasSuffix(string(text), want) {
		t.Errorf("%s\nwants to end in %s", text, want)
	}
	var again []Cell
	if err := json.Unmarshal(text, &again); err != nil || len(again) != 2 {
		t.Fatal(again, err)
	}
	for i := range cells {
		same(t, cells[i], again[i])
	}
	var empty Difference
	if err := json.Unmarshal([]byte(`{"n":3}`), &empty); err != nil || empty.N != 3 || known(empty.P) {
		t.Errorf("%+v, %v: an entry that is not there should be NaN", empty, err)
	}
}

// Every number survives the round trip under the key that its tag promises.
func TestJSONKeepsWhatIsThere(t *testing.T) {
	d := Difference{"soaked", "dry", 5, 3, 4, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 1e-300}
	c := Cell{"dry", 2, 2, 1, 2, 3, 4, 5, 6, []string{"D-1", "D-2"}, []float64{0.1, 1e300}}
	for _, pair := range []struct{ out, back any }{{d, &Difference{}}, {c, &Cell{}}} {
		text, err := json.Marshal(pair.out)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, pair.back); err != nil {
			t.Fatal(err)
		}
		same(t, pair.out, reflect.ValueOf(pair.back).Elem().Interface())
		var keys map[string]any
		if err := json.Unmarshal(text, &keys); err != nil || len(keys) != reflect.TypeOf(pair.out).NumField() {
			t.Errorf("%s: %v, want one key a field", text, err)
		}
	}
}

// same compares two structs field by field, NaN being the same as NaN.
func same(t *testing.T, a, b any) {
	t.Helper()
	va, vb := reflect.ValueOf(a), reflect.ValueOf(b)
	missing := 0
	for i := range va.NumField() {
		x, y := va.Field(i), vb.Field(i)
		if x.Kind() == reflect.Float64 && math.IsNaN(x.Float()) && math.IsNaN(y.Float()) {
			missing++
			continue
		}
		if !reflect.DeepEqual(x.Interface(), y.Interface()) {
			t.Errorf("%s went out as %v and came back as %v", va.Type().Field(i).Name, x, y)
		}
	}
	if d, ok := a.(Difference); ok && d.N == 1 && missing != 14 {
		t.Errorf("%d numbers missing, want all but the two differences, 14", missing)
	}
}
