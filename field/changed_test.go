package field_test

import (
	"strings"
	"testing"

	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/rope"
)

// A change of the rope carries its own doubt: on a spring rope a factor on the
// stiffness of 1 ± u is a modulus of M·(1 ± u), and beside a doubt of the modulus
// the two add in squares.
func TestChangedCarriesTheFactors(t *testing.T) {
	base := field.Doubt{
		Names: []string{"modulus"}, Values: []float64{modulus}, Covariance: [][]float64{{300 * 300}},
		Make: func(v []float64) (field.Catch, error) {
			return straight(80, 5, 10, 3, 0, rope.Linear{Modulus: v[0]}), nil
		},
	}
	o := field.Options{Accuracy: 1e-9}
	changed, err := base.Changed(map[string]float64{"stiffness": 1.2}, map[string]float64{"stiffness": 0.02})
	if err != nil {
		t.Fatal(err)
	}
	got, err := changed.Bands(o)
	if err != nil {
		t.Fatal(err)
	}
	want := field.Doubt{
		Names: base.Names, Values: []float64{1.2 * modulus}, Make: base.Make,
		Covariance: [][]float64{{1.44*300*300 + 0.02*0.02*modulus*modulus}},
	}
	b, err := want.Bands(o)
	if err != nil {
		t.Fatal(err)
	}
	// One step of the sum against two steps whose squares add: the bend between.
	if !near.Rel(got.Climber.Value, b.Climber.Value, 1e-8) || !near.Rel(got.Climber.High-got.Climber.Low, b.Climber.High-b.Climber.Low, 2e-3) || got.Runs != 5 {
		t.Errorf("%+v of %d runs, want %+v", got.Climber, got.Runs, b.Climber)
	}
	for _, c := range []struct {
		factors, uncertainty map[string]float64
		says                 string
	}{
		{map[string]float64{"colour": 2}, nil, `there is no factor "colour"`},
		{map[string]float64{"friction": 2}, nil, "the law of the rope has no friction"},
		{map[string]float64{"stiffness": 0}, nil, "a change needs one above 0"},
		{map[string]float64{"stiffness": 2}, map[string]float64{"growth": 1}, "growth has an uncertainty and no factor"},
		{map[string]float64{"stiffness": 2}, map[string]float64{"stiffness": -1}, "must be 0 or more"},
		{nil, nil, "no factor is given"},
	} {
		if _, err := base.Changed(c.factors, c.uncertainty); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: %v", c.factors, err)
		}
	}
}

// Every law that has a name is made of its parameters and passes its own check.
func TestLawsByName(t *testing.T) {
	for _, name := range field.LawNames() {
		parameters, err := field.LawParameters(name)
		if err != nil {
			t.Fatal(err)
		}
		var values []float64
		for i, p := range parameters {
			values = append(values, map[bool]float64{true: 0.05 + float64(i)/1000, false: 1000 + float64(i)}[p.Unit == "" || p.Unit == "s"])
		}
		law, err := field.NamedLaw(name, values)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		knotted, ok := law.(rope.Knotted)
		if n := len(values) - 4; ok != strings.HasPrefix(name, "knotted ") ||
			ok && (knotted.Slip != values[n] || knotted.Force != values[n+1] || knotted.Delay != values[n+2] || knotted.Tight != values[n+3]) {
			t.Errorf("%s: %+v of %v", name, law, values)
		}
	}
	for name, says := range map[string]string{
		"nylon": `there is no law "nylon"`, "knotted": `there is no law "knotted"`, "knotted kelvin-voigt": `there is no law "knotted kelvin-voigt"`,
		"knotted knotted zener": "there is no law",
	} {
		if _, err := field.NamedLaw(name, nil); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
