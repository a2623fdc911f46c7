package compare

import (
	"encoding/json"
	"math"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
)

// Without specimens and with one fall the ratio of two means has the interval
// of [Fieller1954] in closed form: with t on n − k degrees of freedom and the
// common variance s², the roots in r of
//
//	(x̄c − r·x̄b)² = t²·s²·(1/nc + r²/nb)
//
// Here for P1 against the standard of [Dunnett1955], s² = 19 on 8 degrees of
// freedom, means 61 and 50, t(0.975, 8) = 2.306004135 [Student1908].
// Tolerance: rounding, and nine digits of t.
func TestFieller(t *testing.T) {
	d := Data{Value: []float64{55, 47, 48, 55, 64, 64, 55, 49, 52, 50, 44, 41}}
	for _, c := range []string{"standard", "p1", "p2", "p3"} {
		d.Condition = append(d.Condition, c, c, c)
	}
	a, err := Analyse(d, Ask{Margin: Margin{Share: 0.3}})
	if err != nil {
		t.Fatal(err)
	}
	const q = 2.306004135 * 2.306004135 * 19 / 3
	root := func(sign float64) float64 {
		qa, qb, qc := 50.*50-q, -2*61*50., 61.*61-q
		return 100 * ((-qb+sign*math.Sqrt(qb*qb-4*qa*qc))/(2*qa) - 1)
	}
	got := a.Overall[0]
	if !near.Rel(got.Percent, 22, 1e-10) || !near.Abs(got.PercentLower, root(-1), 1e-7) || !near.Abs(got.PercentUpper, root(1), 1e-7) {
		t.Errorf("%g, %g to %g, want 22, %g to %g", got.Percent, got.PercentLower, got.PercentUpper, root(-1), root(1))
	}
	// Two one-sided tests: (61 − 0.7·50)/√(19/3·(1 + 0.49)) and (1.3·50 − 61)/√(19/3·(1 + 1.69)).
	want := lmm.Contrast{T: 4 / math.Sqrt(19./3*2.69), DF: 8}.Greater()
	if !near.Rel(got.EquivalenceP, want, 1e-9) {
		t.Errorf("equivalence p %g, want %g", got.EquivalenceP, want)
	}
}

// The limits of a ratio are where its contrast is just rejected, with the
// degrees of freedom there: the definition, by each method and adjustment. And
// the p of the test against a margin is 0.05 when the margin is the farther of
// the 90 % limits.
func TestPercentLimitsAreTheTest(t *testing.T) {
	full := invented(3, 3, 4, 9)
	d := without(full, func(i int) bool { return i%7 == 3 })
	checked := 0
	for _, ask := range []Ask{{}, {DF: lmm.Satterthwaite}, {Adjust: Holm}, {Adjust: Joint}, {Scale: Log}, {Scale: Log, Adjust: Joint}} {
		d := d
		if ask.Adjust == Joint { // of two differences alone, for which the integral is quick
			d = without(d, func(i int) bool { return d.Fall[i] != "2" })
		}
		first, err := Analyse(d, ask)
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range first.Against {
			if ask.Scale != Log {
				c, _ := first.contrast(x.Condition, x.Baseline, []Fall{x.Fall})
				r, err := first.model.fit.Ratio(c.seen, c.other, ask.DF)
				if err != nil {
					t.Fatal(err)
				}
				for _, limit := range []float64{x.PercentLower, x.PercentUpper} {
					at := r.At(1 + limit/100)
					wide := x.SE // how many standard errors the plain limits take
					if critical := (x.Upper - x.Amount) / wide; !near.Rel(math.Abs(at.T), critical, 2e-2) {
						t.Errorf("%+v: t %g at the limit %g, the difference has %g", ask, at.T, limit, critical)
					}
				}
			}
			ask := ask
			ask.Margin.Share = max(math.Abs(x.PercentLower90), math.Abs(x.PercentUpper90)) / 100
			second, err := Analyse(d, ask)
			if err != nil {
				t.Fatal(err)
			}
			want := 0.05
			if ask.Adjust == Holm { // Bonferroni's limits: 0.05 shared, before the steps
				if p := second.Against[i].EquivalenceP; !near.Rel(p, 0.05/8, 1e-4) {
					t.Errorf("%+v: equivalence p %g at the limit", ask, p)
				}
				checked++
				continue
			}
			if p := second.Against[i].EquivalencePAdjusted; !near.Abs(p, want, 2e-5) {
				t.Errorf("%+v: equivalence p %g at the limit, want %g", ask, p, want)
			}
			checked++
		}
	}
	if checked != 36 {
		t.Fatalf("%d looked at", checked)
	}
}

// With a baseline that its own error does not keep from zero a ratio has no
// bounded interval.
func TestUnboundedRatio(t *testing.T) {
	d := Data{Value: []float64{1, -0.5, 0.2, 3, 4, 5}, Condition: []string{"a", "a", "a", "b", "b", "b"}}
	a, err := Analyse(d, Ask{})
	if err != nil {
		t.Fatal(err)
	}
	if x := a.Overall[0]; math.IsNaN(x.Percent) || !math.IsNaN(x.PercentLower) || !math.IsNaN(x.PercentUpper90) {
		t.Errorf("%+v", x)
	}
}

// JSON has the keys of the command and null for what is not there, and comes
// back as it was.
func TestJSON(t *testing.T) {
	a, err := Analyse(without(invented(2, 3, 3, 2), func(i int) bool { return i < 2 }), Ask{FallsAs: Trend, Margin: Margin{Share: 0.1}})
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]any
	if err := json.Unmarshal(b, &all); err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, key := range []string{"reml_deviance", "residual_sd", "random", "correlations", "means", "against_baseline", "overall_against_baseline", "trends", "trends_against_baseline", "terms", "notes"} {
		if _, there := all[key]; !there {
			t.Errorf("no %s", key)
		}
		n++
	}
	row := func(table string) map[string]any { return all[table].([]any)[0].(map[string]any) }
	for _, key := range []string{"condition", "fall", "difference", "se", "df", "lower", "upper", "t", "p", "p_adjusted", "percent", "verdict"} {
		if _, there := row("against_baseline")[key]; !there {
			t.Errorf("no %s in against_baseline", key)
		}
		n++
	}
	if _, there := row("overall_against_baseline")["fall"]; there {
		t.Error("a fall over falls")
	}
	if row("means")["fall"] != 1.0 || row("trends_against_baseline")["percent"] != nil {
		t.Errorf("fall %v, percent of a slope %v", row("means")["fall"], row("trends_against_baseline")["percent"])
	}
	var back Difference
	text, _ := json.Marshal(a.TrendsAgainst[0])
	if err := json.Unmarshal(text, &back); err != nil || back.Amount != a.TrendsAgainst[0].Amount || !math.IsNaN(back.Percent) {
		t.Errorf("%v: %+v", err, back)
	}
	var mean Mean
	text, _ = json.Marshal(a.Means[1])
	if err := json.Unmarshal(text, &mean); err != nil || mean.Fall != a.Means[1].Fall || mean.Upper != a.Means[1].Upper || len(mean.Values) != mean.N {
		t.Errorf("%v: %+v", err, mean)
	}
	if n != 23 {
		t.Fatalf("%d looked at", n)
	}
}

// Names of falls: a number in JSON when it is one.
func TestFallNames(t *testing.T) {
	for name, want := range map[Fall]string{"3": "3", "1.5": "1.5", "second": `"second"`, "": "null", "NaN": `"NaN"`} {
		b, err := json.Marshal(name)
		if err != nil || string(b) != want {
			t.Errorf("%q: %s, %v", name, b, err)
		}
		var back Fall
		if err := json.Unmarshal(b, &back); err != nil || back != name {
			t.Errorf("%q came back as %q, %v", name, back, err)
		}
	}
}
