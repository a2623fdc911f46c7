package precision

import (
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/refdata"
)

func trials(t *testing.T, name, part, operator string) []Trial {
	t.Helper()
	c, v := published(t, name)
	out := make([]Trial, len(v))
	for i := range v {
		out[i] = Trial{c.Text(part)[i], c.Text(operator)[i], v[i]}
	}
	return out
}

func gauge(t *testing.T, trials []Trial, o GaugeOptions) *Gauge {
	t.Helper()
	g, err := GaugeStudy(trials, o)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// [HoufBerman1988], ten parts by three operators three times each, as a
// statistics vendor's manual prints it: sums of squares to three decimals,
// components to six, shares and ratio to all digits.
func TestHoufBerman(t *testing.T) {
	g := gauge(t, trials(t, "gauge", "part", "operator"), GaugeOptions{Tolerance: 58 - 18})
	for i, w := range []struct{ ss, df, component float64 }{
		{3935.956, 9, 48.292593}, {39.267, 2, 0.564609}, {48.511, 18, 0.727984}, {30.667, 60, 0.511111},
	} {
		within(t, g.Lines[i].Source+" SS", g.Lines[i].SS, w.ss, 3)
		within(t, g.Lines[i].Source, g.Components[i].Variance, w.component, 6)
		digits(t, g.Lines[i].Source+", REML", square(*g.Components[i].REML), g.Components[i].Variance, 6)
		if g.Lines[i].DF != w.df {
			t.Errorf("%s on %g", g.Lines[i].Source, g.Lines[i].DF)
		}
	}
	within(t, "gauge variance", g.RandR.Variance, 1.803704, 6)
	within(t, "share of study", g.RandR.PercentStudy, 18.975, 3)
	within(t, "categories", *g.Distinct, 7.296, 3)
	within(t, "F of operators", *g.Lines[1].F, 7.28493, 5)
	within(t, "to tolerance", g.Tolerance.Ratio, 0.20145, 5)
	if *g.Lines[1].Against != 18 || !g.Balanced || !g.Interaction {
		t.Errorf("operators against %g", *g.Lines[1].Against)
	}
	for what, pair := range map[string][3]float64{
		"share":      {g.RandR.PercentLimits.Lower, g.RandR.PercentStudy, g.RandR.PercentLimits.Upper},
		"categories": {g.DistinctLimits.Lower, *g.Distinct, g.DistinctLimits.Upper},
		"tolerance":  {g.Tolerance.Interval.Lower, g.Tolerance.Ratio, g.Tolerance.Interval.Upper},
	} {
		if !(pair[0] < pair[1] && pair[1] < pair[2]) {
			t.Errorf("%s: %v", what, pair)
		}
	}
}

// Pooled, the interaction's squares go to repeatability, and only when asked.
func TestGaugePooled(t *testing.T) {
	all := trials(t, "gauge", "part", "operator")
	g := gauge(t, all, GaugeOptions{Pool: true})
	digits(t, "repeatability", g.Repeatability.Variance, (48.0+23./45+30.+2./3)/78, 6)
	if g.Interaction || len(g.Lines) != 3 || g.Lines[2].DF != 78 {
		t.Errorf("%+v", g.Lines)
	}
}

// Operators within machines ([NISTHB151] 3.2.3.2): each machine's two operators
// are its own, so operators are the parts and the machines what reproduces.
func TestGaugeNested(t *testing.T) {
	g := gauge(t, trials(t, "machines", "operator", "machine"), GaugeOptions{Nested: true})
	digits(t, "machine SS", g.Lines[0].SS, 0.00030332, 8)
	digits(t, "operator SS", g.Lines[1].SS, 0.0000186, 8)
	digits(t, "residual SS", g.Lines[2].SS, 0.000346, 8)
	if g.Crossed || g.Parts != 10 || g.Operators != 5 || g.PartToPart.Variance != 0 || g.Components[1].Estimate >= 0 {
		t.Errorf("%+v", g.PartToPart)
	}
	if !strings.Contains(strings.Join(g.Notes, "\n"), "part: the estimate of its variance is below zero") {
		t.Errorf("notes %q", g.Notes)
	}
}

// Rubber, seven materials by eleven labs once each, by R 4.2.2: the interaction
// cannot be told from repeats, which is said.
func TestGaugeOnce(t *testing.T) {
	var all []Trial
	for _, r := range recorded(t, "rubber", 25, 3, "nist-interlab", "MANDEL7.DAT") {
		all = append(all, Trial{label(r[2]), label(r[1]), r[0]})
	}
	g := gauge(t, all, GaugeOptions{})
	digits(t, "material F", *g.Lines[0].F, 633.952, 5.5)
	digits(t, "lab F", *g.Lines[1].F, 8.08786, 5.5)
	digits(t, "MSE", g.Lines[2].MS, 0.0549855, 5.5)
	if g.Interaction || g.Parts != 7 || g.Operators != 11 || g.Lines[2].DF != 60 {
		t.Errorf("%+v", g.Lines)
	}
	if !strings.Contains(strings.Join(g.Notes, "\n"), "cannot be told from repeats") {
		t.Errorf("notes %q", g.Notes)
	}
}

func TestGaugeRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		trials []Trial
		o      GaugeOptions
		kind   problem.Kind
	}{
		"one operator": {[]Trial{{"a", "x", 1}, {"a", "x", 2}, {"b", "x", 1}, {"b", "x", 3}}, GaugeOptions{}, problem.TooFew},
		"no part":      {[]Trial{{"", "x", 1}}, GaugeOptions{}, problem.Invalid},
		"width":        {[]Trial{{"a", "x", 1}}, GaugeOptions{Tolerance: -1}, problem.Invalid},
		"pool nested":  {[]Trial{{"a", "x", 1}}, GaugeOptions{Nested: true, Pool: true}, problem.Invalid},
		"none":         {nil, GaugeOptions{}, problem.TooFew},
		"own parts":    {[]Trial{{"a", "x", 1}, {"a", "x", 2}, {"b", "y", 1}, {"b", "y", 3}}, GaugeOptions{}, problem.TooFew},
	} {
		if _, err := GaugeStudy(c.trials, c.o); problem.KindOf(err) != c.kind {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Unequal numbers keep to what REML says within the spread of the two methods.
func TestGaugeUnequal(t *testing.T) {
	all := trials(t, "gauge", "part", "operator")
	var some []Trial
	for i, x := range all {
		if i%7 != 3 {
			some = append(some, x)
		}
	}
	g := gauge(t, some, GaugeOptions{})
	if g.Balanced || g.N != 77 {
		t.Fatalf("%d readings, balanced %v", g.N, g.Balanced)
	}
	for _, c := range g.Components {
		if r := *c.REML / c.SD; r < 0.9 || r > 1.1 {
			t.Errorf("%s: %g, by REML %g", c.Name, c.SD, *c.REML)
		}
	}
}

func BenchmarkGauge(b *testing.B) {
	c, err := refdata.Precision("gauge")
	if err != nil {
		b.Fatal(err)
	}
	v, _ := c.Numbers("value")
	all := make([]Trial, len(v))
	for i := range v {
		all[i] = Trial{c.Text("part")[i], c.Text("operator")[i], v[i]}
	}
	for b.Loop() {
		if _, err := GaugeStudy(all, GaugeOptions{Tolerance: 40}); err != nil {
			b.Fatal(err)
		}
	}
}
