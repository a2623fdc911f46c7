package compare

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

// sines is the invented drop test of testdata/checks.R: 4 conditions of 4
// specimens with 3 falls, and three columns more.
func sines() Data {
	d := Data{Columns: []Column{{Name: "day"}, {Name: "operator"}}, Measured: []Measured{{Name: "order"}}}
	for i := range 48 {
		c, s, f := i/12, i/3, i%3
		d.Value = append(d.Value, 4000+150*float64(c)+250*float64(f)+120*math.Sin(7*float64(s))+60*math.Sin(13*float64(i)+1))
		d.Condition = append(d.Condition, fmt.Sprint(c))
		d.Specimen = append(d.Specimen, fmt.Sprint(s))
		d.Fall = append(d.Fall, FallNumber(f))
		d.Columns[0].Value = append(d.Columns[0].Value, fmt.Sprint(1+s%2))
		d.Columns[1].Value = append(d.Columns[1].Value, string("ABC"[7*i/5%3]))
		d.Measured[0].Value = append(d.Measured[0].Value, float64(17*i%48))
	}
	return d
}

// Source: R 4.2.2 with lme4 1.1.31 and pbkrtest 0.5.2, KRmodcomp of the model
// with and without the column, testdata/checks.R. Tolerance: lme4's search, and
// 1e-4 for degrees of freedom.
func TestFactorTestsAgainstR(t *testing.T) {
	gaps := sines()
	gaps.Measured[0].Value[3], gaps.Measured[0].Value[19] = math.NaN(), math.NaN()
	n := 0
	look := func(d Data, name string, rows int, f, df1, df2, p float64) {
		t.Helper()
		_, c := checked(t, d, Ask{})
		for _, got := range c.Factors {
			if got.Name != name {
				continue
			}
			n++
			if got.N != rows || !near.Rel(got.F, f, 1e-4) || got.DF1 != df1 || !near.Abs(got.DF2, df2, 1e-4) || !near.Abs(got.P, p, 1e-5) {
				t.Errorf("%+v, want F = %g on %g and %g, p = %g", got, f, df1, df2, p)
			}
		}
	}
	look(sines(), "day", 48, 0.0264115930157, 1, 11, 0.873846164177)
	look(sines(), "operator", 48, 0.0963586765125, 2, 22.3702620594, 0.908513087806)
	look(sines(), "order", 48, 2.09896976816, 1, 23.3353693882, 0.160703924363)
	look(gaps, "order", 46, 2.11614186062, 1, 21.3404889203, 0.160305138713)
	if n != 4 {
		t.Fatalf("%d looked at", n)
	}
}

// A column that goes with the condition is named as such, not tested.
func TestFactorOneWithTheCondition(t *testing.T) {
	d := dropTest(3, 3, 3, 2, 60, 60)
	day, tin := Column{Name: "day"}, Column{Name: "tin"}
	var uptake Measured
	uptake.Name = "uptake"
	for i, c := range d.Condition {
		day.Value = append(day.Value, map[string]string{"c0": "1", "c1": "1", "c2": "2"}[c])
		tin.Value = append(tin.Value, d.Specimen[i])
		uptake.Value = append(uptake.Value, map[string]float64{"c0": 0, "c1": 0.2, "c2": 0.4}[c])
	}
	d.Columns, d.Measured = []Column{day, tin}, []Measured{uptake}
	_, c := checked(t, d, Ask{})
	for i, want := range []string{
		"day: 1 for c0 and c1, 2 for c2: nothing here can tell day from the condition; findings are of the two together",
		"tin has 9 levels for 9 specimens: too many to try",
		"uptake: 0 for c0, 0.2 for c1, 0.4 for c2: nothing here can tell uptake from the condition; findings are of the two together",
	} {
		if got := c.Factors[i]; got.Said != want || !math.IsNaN(got.F) || !math.IsNaN(got.P) {
			t.Errorf("%+v, want %q", got, want)
		}
	}
}

// A drift over the day is found and said, with how many columns were tried.
func TestOrderEffectIsFound(t *testing.T) {
	d := dropTest(8, 3, 4, 4, 60, 40)
	order := Measured{Name: "order"}
	for i := range d.Value {
		at := float64(i * 7 % len(d.Value))
		order.Value = append(order.Value, at)
		d.Value[i] += 5 * at
	}
	d.Measured = []Measured{order}
	_, c := checked(t, d, Ask{})
	if f := c.Factors[0]; !(f.P < 1e-4) || !strings.HasPrefix(f.Said, "order seems to matter beyond what the model holds (p below 0.001)") {
		t.Errorf("%+v", f)
	}
	if all := strings.Join(c.Notes, "\n"); !strings.Contains(all, "order seems to matter") || !strings.Contains(all, "take it into the model if it was planned for") {
		t.Errorf("%s", all)
	}
	_, c = checked(t, d, Ask{Covariates: []string{"order"}})
	if len(c.Factors) != 0 || len(c.Hidden) != 0 {
		t.Errorf("in the model, and still tried: %+v %+v", c.Factors, c.Hidden)
	}
}
