package precision

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
	"fallwright.example/refdata"
)

func nested(t *testing.T, name string, levels ...string) *Hierarchy {
	t.Helper()
	c, v := published(t, name)
	samples := make([]Sample, len(v))
	for i := range v {
		samples[i].Value = v[i]
		for _, l := range levels {
			samples[i].Path = append(samples[i].Path, c.Text(l)[i])
		}
	}
	h, err := Nested(levels, samples)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func digits(t *testing.T, what string, got, want, least float64) {
	t.Helper()
	if d := near.Digits(got, want); d < least {
		t.Errorf("%s = %.12g, want %.10g: %.1f digits", what, got, want, d)
	}
}

// Dyestuff [Davies1972]: mean and its standard error on 5 degrees of freedom,
// components by both routes; Pastes by lme4 1.1-31, as far as its optimiser went.
func TestDyestuffAndPastes(t *testing.T) {
	d := nested(t, "dyestuff", "batch")
	digits(t, "mean", d.Mean.Mean, 1527.5, 12)
	digits(t, "SE", *d.Mean.SE, 19.38341, 6)
	digits(t, "df", *d.Mean.DF, 5, 8)
	digits(t, "batch", d.Components[0].Variance, 1764.05, 12)
	digits(t, "batch, REML", square(*d.Components[0].REML), 1764.05, 8)
	digits(t, "repeat", d.Components[1].Variance, 2451.25, 12)
	digits(t, "F", *d.Lines[0].F, 4.59827, 6)
	digits(t, "deviance", *d.REMLDeviance, 2*159.827138, 8)
	digits(t, "share", d.Components[0].Percent+d.Components[1].Percent, 100, 12)
	p := nested(t, "pastes", "batch", "cask")
	for i, want := range []float64{1.65731091, 8.43366593, 0.67799995} {
		digits(t, p.Components[i].Name, p.Components[i].Variance, want, 5.5)
		digits(t, p.Components[i].Name+", REML", square(*p.Components[i].REML), want, 5.5)
	}
	if c := p.Counts; len(c) != 2 || c[0] != 10 || c[1] != 30 || len(p.Notes) != 0 {
		t.Errorf("groups %v, notes %q", c, p.Notes)
	}
}

// spreadOut makes n values of a mean and standard deviation, exactly but for
// rounding: the sums of squares of a published table of means and deviations.
func spreadOut(n int, mean, sd float64) []float64 {
	out := make([]float64, n)
	squares := 0.0
	for i := range out {
		out[i] = float64(i) - float64(n-1)/2
		squares += out[i] * out[i]
	}
	for i := range out {
		out[i] = mean + out[i]*sd/math.Sqrt(squares/float64(n-1))
	}
	return out
}

// [JCGM100] H.5, ten days of five readings: s_a and s_b in µV, F, the component
// of days and the uncertainty of the mean.
func TestDays(t *testing.T) {
	c, err := refdata.Precision("days")
	if err != nil {
		t.Fatal(err)
	}
	means, err := c.Numbers("mean [V]")
	if err != nil {
		t.Fatal(err)
	}
	sds, err := c.Numbers("sd [uV]")
	if err != nil || len(sds) != 10 {
		t.Fatalf("%d days, %v", len(sds), err)
	}
	var samples []Sample
	for i := range means {
		for _, v := range spreadOut(5, 1e6*(means[i]-10), sds[i]) {
			samples = append(samples, Sample{[]string{label(float64(i))}, v})
		}
	}
	h, err := Nested([]string{"day"}, samples)
	if err != nil {
		t.Fatal(err)
	}
	digits(t, "s_a", math.Sqrt(h.Lines[0].MS), 127.656, 5.5)
	digits(t, "s_b", math.Sqrt(h.Lines[1].MS), 84.887, 5)
	digits(t, "F", *h.Lines[0].F, 2.2615, 4.5)
	digits(t, "s_B", h.Components[0].SD, 42.64, 4)
	digits(t, "u", *h.Mean.SE, 18.05, 3.5)
	digits(t, "mean", h.Mean.Mean, 97.1, 8)
	if h.Lines[0].DF != 9 || h.Lines[1].DF != 40 {
		t.Errorf("on %g and %g", h.Lines[0].DF, h.Lines[1].DF)
	}
}

// Resistivity of five wafers [NISTHB151] 2.4.4: sums of squares on 60 degrees of
// freedom each, as printed, pool to the printed repeatability.
func TestResistivityPooled(t *testing.T) {
	var all []Reading
	for i, ss := range []float64{0.48115, 0.69209, 0.48483, 1.21752, 0.30076} {
		for _, v := range spreadOut(61, 95+float64(i), math.Sqrt(ss/60)) {
			all = append(all, Reading{label(float64(i)), "", v})
		}
	}
	s, err := Study(all)
	if err != nil {
		t.Fatal(err)
	}
	r := s.Materials[0].Repeatability
	digits(t, "s_1", r.SD, 0.1028972, 6.5)
	digits(t, "sum", r.SD*r.SD*r.DF, 3.17635, 8)
	if r.DF != 300 {
		t.Errorf("on %g", r.DF)
	}
}

// The recorded study of [NISTHB151] 2.6.1, one probe: wafers, runs, days and the
// standard deviation of six readings. The components are those of the formulas
// for a study in three stages, with s_2 of the daily averages and s_3 of the run
// averages: s_days² = s_2² − s_1²/6, s_runs² = s_3² − s_2²/6.
func TestResistivityStages(t *testing.T) {
	var samples []Sample
	sum, day, run := 0.0, map[string][]float64{}, map[string][]float64{}
	for i, r := range recorded(t, "resistivity of wafers", 50, 9, "nist-interlab", "MPC61.DAT") {
		if r[2] != 2362 {
			continue
		}
		sum += 5 * r[8] * r[8]
		wafer, of := label(r[1]), label(r[1])+"/"+label(r[0])
		day[of] = append(day[of], r[7])
		if len(day[of]) == 6 {
			run[wafer] = append(run[wafer], momentsOf(day[of]).mean)
		}
		for _, v := range spreadOut(6, r[7], r[8]) {
			samples = append(samples, Sample{[]string{wafer, label(r[0]), label(float64(i))}, v})
		}
	}
	pooled := func(groups map[string][]float64) float64 {
		v := 0.0
		for _, g := range groups {
			v += square(momentsOf(g).sd) / float64(len(groups))
		}
		return v
	}
	if len(day) != 10 || len(run) != 5 {
		t.Fatalf("%d runs of days, %d wafers", len(day), len(run))
	}
	h, err := Nested([]string{"wafer", "run", "day"}, samples)
	if err != nil {
		t.Fatal(err)
	}
	s1, s2, s3 := sum/300, pooled(day), pooled(run)
	digits(t, "repeats", h.Components[3].Estimate, s1, 9)
	digits(t, "days", h.Components[2].Estimate, s2-s1/6, 7)
	digits(t, "runs", h.Components[1].Estimate, s3-s2/6, 7)
	digits(t, "one reading", h.Components[1].Estimate+h.Components[2].Estimate+h.Components[3].Estimate, s3+5./6*s2+5./6*s1, 7)
}

// Paper thickness, 24 measurers of four readings each, by R 4.2.2; its REML
// stopped within 4e-6, and the exact answer is the analysis of variance.
func TestPaperThickness(t *testing.T) {
	var samples []Sample
	for _, r := range recorded(t, "paper thickness", 25, 3, "nist-interlab", "YOUDEN31.DAT") {
		samples = append(samples, Sample{[]string{label(r[1])}, r[0]})
	}
	h, err := Nested([]string{"measurer"}, samples)
	if err != nil || h.N != 96 {
		t.Fatalf("%d readings, %v", h.N, err)
	}
	digits(t, "F", *h.Lines[0].F, 3.36724, 5.5)
	digits(t, "between", *h.Components[0].REML, 0.00298968, 5.4)
	digits(t, "between, exact", *h.Components[0].REML, h.Components[0].SD, 8)
	digits(t, "within", *h.Components[1].REML, 0.00388626, 5.5)
	if h.Lines[0].DF != 23 || h.Lines[1].DF != 72 {
		t.Errorf("on %g and %g", h.Lines[0].DF, h.Lines[1].DF)
	}
}

// Dyestuff as a public repository has it is the table of refdata, batch by batch.
func TestDyestuffAsFiled(t *testing.T) {
	data, err := os.ReadFile(sharedFile(t, "dyestuff as filed", "dyestuff", "dyes.data.json"))
	if err != nil {
		t.Fatal(err)
	}
	var filed struct{ Y [][]float64 }
	if err := json.Unmarshal(data, &filed); err != nil {
		t.Fatal(err)
	}
	_, v := published(t, "dyestuff")
	var flat []float64
	for _, batch := range filed.Y {
		flat = append(flat, batch...)
	}
	if len(v) != 30 || !slices.Equal(v, flat) {
		t.Errorf("filed %v, here %v", flat, v)
	}
}

// Unequal numbers: the component by expected mean squares worked by hand. Ropes
// of 2, 3 and 1 readings, values 1 3 | 2 4 6 | 9: SS between 34.8333… on 2, within
// 10 on 3, n₀ = (6 − 14/6)/2 = 11/6.
func TestNestedByHand(t *testing.T) {
	h, err := Nested([]string{"rope"}, []Sample{{[]string{"a"}, 1}, {[]string{"a"}, 3}, {[]string{"b"}, 2}, {[]string{"b"}, 4}, {[]string{"b"}, 6}, {[]string{"c"}, 9}})
	if err != nil {
		t.Fatal(err)
	}
	between, inside := 8.+48+81-625./6, 2.+8
	digits(t, "SS", h.Lines[0].SS, between, 12)
	digits(t, "n₀", h.Lines[0].Expected[0], 11./6, 12)
	digits(t, "rope", h.Components[0].Variance, (between/2-inside/3)/(11./6), 12)
	if h.Balanced || !strings.Contains(strings.Join(h.Notes, " "), "numbers are unequal") {
		t.Errorf("notes %q", h.Notes)
	}
}

func TestNestedRefusals(t *testing.T) {
	for name, c := range map[string]struct {
		levels  []string
		samples []Sample
		kind    problem.Kind
		text    string
	}{
		"no level":  {nil, []Sample{{nil, 1}}, problem.Invalid, "no level is named"},
		"no name":   {[]string{"lot"}, []Sample{{[]string{""}, 1}}, problem.Invalid, "reading 1: it has no lot"},
		"too short": {[]string{"lot", "rope"}, []Sample{{[]string{"a"}, 1}}, problem.Invalid, "reading 1: it has 1 names for 2 levels"},
		"no repeat": {[]string{"lot"}, []Sample{{[]string{"a"}, 1}, {[]string{"b"}, 1}}, problem.TooFew, "too few: repeat has 0 degrees of freedom"},
		"one lot":   {[]string{"lot"}, []Sample{{[]string{"a"}, 1}, {[]string{"a"}, 1}}, problem.TooFew, "too few: lot has 0 degrees of freedom"},
		"infinite":  {[]string{"lot"}, []Sample{{[]string{"a"}, math.Inf(1)}}, problem.Invalid, "reading 1: the value is +Inf, which is no reading"},
	} {
		_, err := Nested(c.levels, c.samples)
		if err == nil || problem.KindOf(err) != c.kind || err.Error() != c.text {
			t.Errorf("%s: %v", name, err)
		}
	}
	h, err := Nested([]string{"lot"}, []Sample{{[]string{"a"}, 2}, {[]string{"a"}, 2}, {[]string{"b"}, 2}, {[]string{"b"}, 2}})
	if err != nil || h.Total.SD != 0 || h.Total.Interval != nil || h.Mean.Mean != 2 {
		t.Errorf("all alike: %+v, %v", h, err)
	}
}

func BenchmarkNested(b *testing.B) {
	c, err := refdata.Precision("pastes")
	if err != nil {
		b.Fatal(err)
	}
	v, _ := c.Numbers("value")
	samples := make([]Sample, len(v))
	for i := range v {
		samples[i] = Sample{[]string{c.Text("batch")[i], c.Text("cask")[i]}, v[i]}
	}
	for b.Loop() {
		if _, err := Nested([]string{"batch", "cask"}, samples); err != nil {
			b.Fatal(err)
		}
	}
}
