package compare

import (
	"math"
	"reflect"
	"testing"
)

// Two samples of six: the studentised interval is the t interval but for chance,
// which moves a limit of 4,000 draws by some 3 % of its width (two standard errors
// of a 2.5 % quantile of t on 10 degrees of freedom); the percentile interval is
// narrower, as it takes the spread for known.
func TestBootstrapOfTwoSamples(t *testing.T) {
	d := Data{
		Value:     []float64{3.1, 3.4, 3.2, 3.6, 3.3, 3.2, 3.9, 3.5, 3.8, 3.7, 4.1, 3.6},
		Condition: []string{"a", "a", "a", "a", "a", "a", "b", "b", "b", "b", "b", "b"},
	}
	a, err := Analyse(d, Ask{})
	if err != nil {
		t.Fatal(err)
	}
	one, err := a.Bootstrap(4000, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	two, err := a.Bootstrap(4000, 3, 2)
	if err != nil || !reflect.DeepEqual(one, two) {
		t.Errorf("two workers give other numbers than one (%v)", err)
	}
	if len(one.Overall) != 1 {
		t.Fatalf("%d comparisons", len(one.Overall))
	}
	b, x := one.Overall[0], a.Overall[0]
	room := 0.04 * (x.Upper - x.Lower)
	if math.Abs(b.Studentised[0]-x.Lower) > room || math.Abs(b.Studentised[1]-x.Upper) > room {
		t.Errorf("studentised %v, the t interval is %g to %g", b.Studentised, x.Lower, x.Upper)
	}
	if w := (b.Percentile[1] - b.Percentile[0]) / (x.Upper - x.Lower); math.Abs(w-1.96/2.228) > 0.04 {
		t.Errorf("the percentile interval is %.3f of the t interval, want 1.96/2.228", w)
	}
	if math.Abs(b.Basic[0]+b.Percentile[1]-2*x.Amount) > 1e-12 || b.Difference != x.Amount && math.Abs(b.Difference-x.Amount) > 1e-12 {
		t.Errorf("basic %v does not mirror percentile %v", b.Basic, b.Percentile)
	}
	if _, err := a.Bootstrap(100, 1, 1); err == nil {
		t.Error("100 draws are too few, and were taken")
	}
}
