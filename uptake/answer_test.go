package uptake

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

// soak draws an invented soak of four specimens.
func soak(condition string, law Law, p []float64, minutes []float64, seed uint64) []Point {
	s := simulated{law: law, p: p, kind: Repeated, specimens: 4, minutes: minutes, lnW: 0.03, lnT: 0.1, sigma: 0.003}
	points := s.draw(rand.New(rand.NewPCG(seed, 1)))
	for i := range points {
		points[i].Condition, points[i].Specimen = condition, condition+points[i].Specimen
	}
	return points
}

var quarter = []float64{0.5, 1, 2, 4, 8, 15}

// The shapes of the trade (common practice, no source): an untreated rope is nearly
// saturated after one minute; a treated one still rises after fifteen.
func TestStates(t *testing.T) {
	points := append(soak("untreated", FirstOrder(), []float64{0.4, 0.35}, quarter, 1), soak("treated", FirstOrder(), []float64{0.4, 25}, quarter, 2)...)
	all, err := Answers(points, "", false)
	if err != nil || len(all) != 2 {
		t.Fatal(err)
	}
	u, tr := all[0], all[1]
	if u.State != Saturated || !(u.Times[2].Upper < 120) || !near.Abs(u.Saturation.Value, 0.4, 0.03) {
		t.Errorf("untreated: %s", u.Sentence())
	}
	if tr.State != StillRising || !(tr.Longer > 15*60) {
		t.Errorf("treated: %s", tr.Sentence())
	}
	if !strings.Contains(tr.Sentence(), "was still rising at the last weighing") || !strings.Contains(tr.Sentence(), "a soak of some") {
		t.Errorf("%s", tr.Sentence())
	}
	// What is suggested is what it takes: soaked so long, the end is seen.
	long, err := Answers(soak("treated", FirstOrder(), []float64{0.4, 25}, append(quarter, 30, 60, tr.Longer/60, 1.5*tr.Longer/60), 2), "", false)
	if err != nil {
		t.Fatal(err)
	}
	if long[0].State == StillRising {
		t.Errorf("soaked for %s: %s", Minutes(1.5*tr.Longer), long[0].Sentence())
	}
	for _, c := range Differences(all, 0, []float64{60, 900}) {
		if c.Quantity == AtTime {
			if !(c.Estimate < 0) || !(c.P < 0.001) || !(c.PHolm >= c.P) || !strings.Contains(c.How, "4 and 4 specimens weighed") {
				t.Errorf("%+v", c)
			}
		} else if !math.IsNaN(c.Estimate) || !strings.Contains(c.Said, "treated") {
			t.Errorf("a %s of what is not known: %+v", c.Quantity, c)
		}
	}
}

// A straight rise has no end in any law with one: open, whatever the law.
func TestOpen(t *testing.T) {
	var points []Point
	for i, m := range []float64{1, 2, 4, 6, 8, 10, 12} {
		points = append(points, Point{Time: 60 * m, Uptake: 0.01*m + 0.0004*math.Cos(3*float64(i))})
	}
	for _, l := range []Law{FirstOrder(), Peleg(), Weibull()} {
		f, err := FitLaw(l, points, false)
		if err != nil {
			t.Fatal(err)
		}
		if !f.Saturation.Open() || f.Saturation.Lower < 0.12 {
			t.Errorf("%s: %+v", l.Name, f.Saturation)
		}
	}
	a, err := Answers(points, "", false)
	if err != nil || a[0].State != StillRising {
		t.Errorf("%v %s", err, a[0].Sentence())
	}
	// √t has no end by its own form.
	for i := range points {
		points[i].Uptake = 0.02 + 0.03*math.Sqrt(points[i].Time/60) + 0.0001*math.Cos(3*float64(i))
	}
	if a, err = Answers(points, "square-root", false); err != nil || a[0].State != StillRising || !strings.Contains(a[0].Sentence(), "soak several times as long") {
		t.Errorf("%v %s", err, a[0].Sentence())
	}
}

// A rise that bends a little: the law has an end, and the weighings leave it open.
func TestOpenBeyondTheEstimate(t *testing.T) {
	var points []Point
	for i, m := range []float64{1, 2, 3, 4, 5, 6} {
		points = append(points, Point{Time: 60 * m, Uptake: 0.4*(1-math.Exp(-m/8)) + 0.015*math.Cos(2.5*float64(i))})
	}
	f, err := FitLaw(FirstOrder(), points, false)
	if err != nil {
		t.Fatal(err)
	}
	if e := f.Saturation; !(e.Value < 10*0.21) || !math.IsInf(e.Upper, 1) || !(e.Lower > 0.15 && e.Lower < 0.35) || !e.Open() {
		t.Errorf("%+v", e)
	}
	if r := f.Times[2]; !math.IsInf(r.Upper, 1) || !strings.HasSuffix(r.Span(), " or more") {
		t.Errorf("%+v", r)
	}
}

// A soak whose first weighing came when all was over: how fast is not known.
func TestOverAtOnce(t *testing.T) {
	var points []Point
	for i, m := range []float64{5, 10, 15, 30, 60} {
		points = append(points, Point{Time: 60 * m, Uptake: 0.4 + 0.002*math.Cos(5*float64(i))})
	}
	a, err := Answers(points, "first-order", false)
	if err != nil {
		t.Fatal(err)
	}
	if r := a[0].Times[0]; a[0].State != Saturated || r.Lower != 0 || !(r.Upper < 300) {
		t.Errorf("%s %+v", a[0].State, r)
	}
	if !strings.Contains(a[0].Sentence(), "at the latest") || !strings.Contains(strings.Join(a[0].Notes, " "), "weigh earlier") {
		t.Errorf("%s %q", a[0].Sentence(), a[0].Notes)
	}
}

// The same of specimens weighed again and again.
func TestOverAtOnceRepeated(t *testing.T) {
	a, err := Answers(soak("", FirstOrder(), []float64{0.4, 0.35}, []float64{5, 10, 15, 30}, 8), "", false)
	if err != nil {
		t.Fatal(err)
	}
	if a[0].State != Saturated || !(a[0].Saturation.Lower < 0.41 && a[0].Saturation.Upper > 0.38) || a[0].Times[0].Lower != 0 {
		t.Errorf("%s\n%q\n%+v", a[0].Sentence(), a[0].Notes, a[0].Times)
	}
}

// One specimen stands for nothing but itself.
func TestNoClaim(t *testing.T) {
	points := append(soak("a", FirstOrder(), []float64{0.4, 2}, quarter, 5), soak("b", FirstOrder(), []float64{0.3, 2}, quarter, 6)[:6]...)
	all, err := Answers(points, "first-order", false)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range Differences(all, 0, []float64{900}) {
		if math.IsNaN(c.Estimate) || !math.IsNaN(c.P) || !math.IsNaN(c.Lower) || c.Said != "no claim: there is one specimen of b" {
			t.Errorf("%+v", c)
		}
	}
}

// The law that made the data is chosen where the data can tell, and kinds are told
// apart.
func TestChoice(t *testing.T) {
	long := []float64{0.5, 1, 2, 4, 8, 15, 30, 60, 120}
	for i, c := range []struct {
		law Law
		p   []float64
	}{{FirstOrder(), []float64{0.4, 6}}, {Peleg(), []float64{0.42, 4}}, {Cylinder(), []float64{0.4, 60}}, {Weibull(), []float64{0.4, 6, 0.55}}} {
		a, err := Answers(soak("", c.law, c.p, long, uint64(10+i)), "", false)
		if err != nil {
			t.Fatal(err)
		}
		if a[0].Law.Name != c.law.Name && a[0].Tried[1].Law.Name != c.law.Name {
			t.Errorf("%s: %s was chosen, then %s", c.law.Name, a[0].Law.Name, a[0].Tried[1].Law.Name)
		}
		if a[0].Kind != Repeated || a[0].Specimens != 4 {
			t.Errorf("%s, %d", a[0].Kind, a[0].Specimens)
		}
	}
	one := soak("", FirstOrder(), []float64{0.4, 6}, long, 3)[:9]
	if a, err := Answers(one, "first-order", false); err != nil || a[0].Kind != Alone || !strings.Contains(strings.Join(a[0].Notes, " "), "one specimen") {
		t.Errorf("%v", err)
	}
}

func TestAnswersRefuse(t *testing.T) {
	if _, err := Answers(nil, "", false); problem.KindOf(err) != problem.TooFew {
		t.Error(err)
	}
	points := append(soak("a", FirstOrder(), []float64{0.4, 6}, quarter, 3), Point{Condition: "b", Time: 60, Uptake: 0.1}, Point{Condition: "b", Time: 120, Uptake: 0.2})
	if _, err := Answers(points, "", false); problem.KindOf(err) != problem.TooFew || !strings.Contains(err.Error(), "b: 2 different times") {
		t.Error(err)
	}
}

// Two conditions drawn alike differ by chance only: by hand, the difference of two
// laws is that of their saturations, with Welch's degrees of freedom.
func TestDifferences(t *testing.T) {
	points := append(soak("dry ends", FirstOrder(), []float64{0.4, 2}, quarter, 5), soak("sealed", FirstOrder(), []float64{0.35, 3}, quarter, 6)...)
	all, err := Answers(points, "first-order", false)
	if err != nil {
		t.Fatal(err)
	}
	d := Differences(all, 0, []float64{180})
	a, b := all[1], all[0]
	if got, want := d[0].Estimate, a.Saturation.Value-b.Saturation.Value; !near.Rel(got, want, 1e-12) {
		t.Errorf("%g, %g", got, want)
	}
	va, vb := a.Saturation.SE*a.Saturation.SE, b.Saturation.SE*b.Saturation.SE
	if !near.Rel(d[0].SE, math.Sqrt(va+vb), 1e-12) || !near.Rel(d[0].DF, (va+vb)*(va+vb)/(va*va/3+vb*vb/3), 1e-12) {
		t.Errorf("%+v", d[0])
	}
	rate := func(x *Answer) float64 { return x.Saturation.Value / 2 / x.Times[0].Value }
	if !near.Rel(d[1].Estimate, rate(a)/rate(b), 1e-9) || !(d[1].Lower < d[1].Estimate && d[1].Estimate < d[1].Upper) {
		t.Errorf("%+v", d[1])
	}
	// ln(W∞/2t₅₀) = ln W∞ − ln T and a number, for the first order law.
	if _, se := a.LogRate(); !near.Rel(se, a.engine.seOf([]float64{1 / a.P[0], -1 / a.P[1]}), 1e-9) {
		t.Errorf("standard error of the logarithm of the rate: %g", se)
	}
	if d[2].How != "by the fitted laws" || !near.Rel(d[2].Estimate, a.At(180).Value-b.At(180).Value, 1e-12) {
		t.Errorf("%+v", d[2])
	}
	if c := AgainstAt(a, b, 3600); !math.IsNaN(c.Estimate) || !strings.Contains(c.Said, "not read beyond that") {
		t.Errorf("%+v", c)
	}
	if !near.Rel(PassLimit, 0.05, 0) || !strings.Contains(PassLimitSaid, "no rating") {
		t.Error(PassLimitSaid)
	}
}

// Four weighings of one specimen that rose by four points between the last two are
// not saturated, whatever the one law says that fits them; with weighings that have
// stopped rising they are.
func TestFewPointsAreNotSaturated(t *testing.T) {
	one := func(uptakes ...float64) []Point {
		var out []Point
		for i, u := range uptakes {
			out = append(out, Point{Row: "row", Specimen: "M-01", Condition: "soaked", Time: 60 * math.Exp2(float64(i)), Uptake: u})
		}
		return out
	}
	for _, c := range []struct {
		points    []Point
		saturated bool
	}{{one(0.20, 0.30, 0.36, 0.40), false}, {one(0.30, 0.395, 0.401, 0.40, 0.399, 0.40), true}} {
		a, err := Answers(c.points, "", false)
		if err != nil {
			t.Fatal(err)
		}
		if got := a[0].State == Saturated; got != c.saturated {
			t.Errorf("%s", a[0].Sentence())
		}
	}
}
