package compare

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/internal/near"
)

// truth is an invented world from which balanced studies are drawn, in logarithms.
type truth struct {
	conditions, n, falls    int
	step                    float64   // of the second condition; the others are like the first
	level, trend, rope, fit float64   // standard deviations of specimens, their trends, ropes, residuals
	factor                  []float64 // of fit by condition; nil: 1
}

// draw is one study; specimen i of each condition is from rope i mod 3.
func (w truth) draw(r *rand.Rand) Data {
	var d Data
	rope := [3]float64{}
	for k := range rope {
		rope[k] = w.rope * r.NormFloat64()
	}
	for c := range w.conditions {
		fit := w.fit
		if w.factor != nil {
			fit *= w.factor[c]
		}
		for i := range w.n {
			level, trend := w.level*r.NormFloat64()+rope[i%3], w.trend*r.NormFloat64()
			values := make([]float64, w.falls)
			for f := range values {
				values[f] = math.Exp(8 + level + trend*float64(f+1) + fit*r.NormFloat64())
				if c == 1 {
					values[f] *= math.Exp(w.step)
				}
			}
			d.add(fmt.Sprintf("c%d", c), fmt.Sprintf("%d-%d", c, i), values...)
		}
	}
	d.columnOf("rope", func(specimen string) string { return fmt.Sprint("r", int(specimen[2]-'0')%3) })
	return d
}

func (w truth) question(falls ...Fall) Question {
	return Question{Name: "second", Measure: "peak force", Unit: "N", Condition: "c1", Baseline: "c0", Falls: falls, Share: 0.05}
}

// In a balanced study the variances taken to the number of specimens seen are
// the squared standard error of the fit, and so are the degrees of freedom:
// generalised and ordinary least squares agree there. Tolerance 1e-5: where the
// search for the variances ends.
func TestProspectIsTheFit(t *testing.T) {
	checked := 0
	for name, c := range map[string]struct {
		w     truth
		ask   Ask
		falls []Fall
	}{
		"one fall":              {truth{3, 4, 3, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{}, []Fall{"2"}},
		"over falls":            {truth{3, 4, 3, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{}, []Fall{"1", "2", "3"}},
		"two of the falls":      {truth{2, 5, 4, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{}, []Fall{"1", "4"}},
		"one value a specimen":  {truth{4, 3, 1, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{}, []Fall{"1"}},
		"spread by condition":   {truth{2, 5, 3, 0.03, 0.03, 0, 0, 0.02, []float64{1, 3}}, Ask{SpreadByCondition: true}, []Fall{"1", "2", "3"}},
		"trend at its middle":   {truth{3, 4, 5, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{FallsAs: Trend}, nil},
		"trend at its end":      {truth{3, 4, 5, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{FallsAs: Trend}, []Fall{"5"}},
		"a trend each, at end":  {truth{3, 6, 5, 0.03, 0.03, 0.02, 0, 0.02, nil}, Ask{FallsAs: TrendPerSpecimen}, []Fall{"5"}},
		"a trend each, average": {truth{3, 6, 5, 0.03, 0.03, 0.02, 0, 0.02, nil}, Ask{FallsAs: TrendPerSpecimen}, []Fall{"1", "2"}},
		"rope that cancels":     {truth{2, 6, 3, 0.03, 0.03, 0, 0.05, 0.02, nil}, Ask{Blocks: []string{"rope"}}, []Fall{"1", "2"}},
		"linear":                {truth{3, 4, 3, 0.03, 0.03, 0, 0, 0.02, nil}, Ask{Scale: Linear}, []Fall{"1", "2", "3"}},
	} {
		if c.ask.Scale == "" {
			c.ask.Scale = Log
		}
		a := analysed(t, c.w.draw(rand.New(rand.NewPCG(4, 4))), c.ask)
		x := answers(t, a, c.w.question(c.falls...))[0]
		p, ok := a.prospect(x.Question, x.Difference)
		if !ok {
			t.Errorf("%s: nothing can be said", name)
			continue
		}
		n := float64(c.w.n)
		if got, want := p.variance/n, x.Difference.SE*x.Difference.SE; !near.Rel(got, want, 1e-5) {
			t.Errorf("%s: variance %.9g, the fit has %.9g", name, got, want)
		}
		if got := p.perDF * (n - 1); !near.Rel(got, x.Difference.DF, 1e-9) {
			t.Errorf("%s: %.9g degrees of freedom, the fit has %.9g", name, got, x.Difference.DF)
		}
		if c.ask.Scale == Log && (!near.Rel(p.lower, math.Log(0.95), 1e-12) || !near.Rel(p.upper, math.Log(1.05), 1e-12)) {
			t.Errorf("%s: a margin of 5 %% is %g and %g", name, p.lower, p.upper)
		}
		checked++
	}
	if checked != 11 {
		t.Fatalf("%d checked", checked)
	}
}

// The same where a fall was read twice, and where each specimen was in both
// conditions, which then differ by less than specimens do.
func TestProspectOfRepeatsAndPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	w := truth{3, 4, 2, 0.03, 0.03, 0, 0, 0.02, nil}
	repeated := w.draw(r)
	for i, v := range repeated.Value[:len(repeated.Value):len(repeated.Value)] {
		repeated.Value = append(repeated.Value, v*math.Exp(0.02*r.NormFloat64()))
		repeated.Condition = append(repeated.Condition, repeated.Condition[i])
		repeated.Specimen = append(repeated.Specimen, repeated.Specimen[i])
		repeated.Fall = append(repeated.Fall, repeated.Fall[i])
	}
	repeated.Columns = nil
	var both Data
	for i := range 5 {
		level := 8 + 0.1*r.NormFloat64()
		for c := range 2 {
			both.add(fmt.Sprint("c", c), fmt.Sprint("S", i), math.Exp(level+0.02*r.NormFloat64()), math.Exp(level+0.02*r.NormFloat64()))
		}
	}
	for name, c := range map[string]struct {
		d Data
		n float64
	}{"repeats": {repeated, 4}, "pairs": {both, 5}} {
		a := analysed(t, c.d, Ask{Scale: Log})
		x := answers(t, a, w.question("1", "2"))[0]
		p, ok := a.prospect(x.Question, x.Difference)
		if !ok || !near.Rel(p.variance/c.n, x.Difference.SE*x.Difference.SE, 1e-5) || !near.Rel(p.perDF*(c.n-1), x.Difference.DF, 1e-9) {
			t.Errorf("%s: %v, %+v, the fit has %g and %g", name, ok, p, x.Difference.SE*x.Difference.SE, x.Difference.DF)
		}
		if (name == "pairs") != (x.Randomisation == nil) {
			t.Errorf("%s: %+v", name, x.Randomisation)
		}
	}
}

// A rope that holds one side only does not cancel: two ropes a condition add
// half the variance of ropes on each side, for one specimen four times that.
func TestProspectWithRopesApart(t *testing.T) {
	d := truth{2, 4, 3, 0.03, 0.02, 0, 0, 0.02, nil}.draw(rand.New(rand.NewPCG(2, 7)))
	for i := range d.Value {
		rope := d.Specimen[i][:1] + string('0'+d.Specimen[i][2]%2)
		d.Columns[0].Value[i] = rope
		d.Value[i] *= map[string]float64{"00": 1, "01": 1.1, "10": 0.95, "11": 1.2}[rope]
	}
	a := analysed(t, d, Ask{Scale: Log, Blocks: []string{"rope"}})
	x := answers(t, a, truth{}.question("1", "2", "3"))[0]
	p, ok := a.prospect(x.Question, x.Difference)
	specimen, rope := 0.0, 0.0
	for _, r := range a.Random {
		if r.Group == "rope" {
			rope = r.SD * r.SD
		} else {
			specimen = r.SD * r.SD
		}
	}
	want := 2*(specimen+a.ResidualSD*a.ResidualSD/3) + 4*(rope/2+rope/2)
	if !ok || rope == 0 || !near.Rel(p.variance, want, 1e-9) || !near.Rel(p.variance/4, x.Difference.SE*x.Difference.SE, 1e-5) {
		t.Errorf("%v, %.9g, want %.9g, the fit has %.9g", ok, p.variance, want, 4*x.Difference.SE*x.Difference.SE)
	}
}

// The promised power, held against studies drawn, fitted and judged whole. The
// promise is computed from the true variances. Tolerance: four standard errors of
// the share and two points for what is approximate: Kenward-Roger's t, and the
// variance of specimens ending at zero now and then.
func TestSettleAgainstStudies(t *testing.T) {
	trials := max(300, *rates)
	checked := 0
	for _, c := range []struct {
		name  string
		w     truth
		ask   Ask
		falls []Fall
		df    float64 // of the contrast with n specimens
		want  Verdict
	}{
		{"higher over falls", truth{2, 4, 3, 0.07, 0.02, 0, 0, 0.02, nil}, Ask{}, []Fall{"1", "2", "3"}, 6, Higher},
		{"none over falls", truth{2, 5, 3, 0, 0.02, 0, 0, 0.02, nil}, Ask{}, []Fall{"1", "2", "3"}, 8, NoDifference},
		{"none, three conditions", truth{3, 4, 3, 0, 0.02, 0, 0, 0.03, nil}, Ask{}, []Fall{"1", "2", "3"}, 9, NoDifference},
		{"higher at the end of a trend", truth{2, 5, 4, 0.09, 0.02, 0.01, 0, 0.01, nil}, Ask{FallsAs: TrendPerSpecimen}, []Fall{"4"}, 8, Higher},
		{"softer", truth{2, 4, 1, -0.09, 0.02, 0, 0, 0.02, nil}, Ask{}, []Fall{"1"}, 6, Lower},
	} {
		c.ask.Scale = Log
		r := rand.New(rand.NewPCG(17, 3))
		q := c.w.question(c.falls...)
		count := 0
		for range trials {
			a := analysed(t, c.w.draw(r), c.ask)
			if d, err := a.contrast(q.Condition, q.Baseline, q.Falls); err == nil {
				d.margin = q.margin()
				if out, err := a.differences([]contrast{d}, None); err == nil && out[0].Verdict == c.want {
					count++
				}
			}
		}
		x := meanNumber(c.falls)
		one := c.w.level*c.w.level + c.w.trend*c.w.trend*x*x + c.w.fit*c.w.fit/float64(len(c.falls))
		if c.ask.FallsAs == TrendPerSpecimen {
			one += c.w.fit * c.w.fit * (leverage([]Fall{"1", "2", "3", "4"}, x) - 1)
		}
		p := prospect{math.Log(0.95), math.Log(1.05), 2 * one, c.df / float64(c.w.n-1), alpha, alpha}
		want, got := p.power(c.w.step, c.w.n), float64(count)/float64(trials)
		t.Logf("%s: in %.3f of the studies, promised %.3f", c.name, got, want)
		if !near.Abs(got, want, 4*math.Sqrt(want*(1-want)/float64(trials))+0.02) || want < 0.2 || want > 0.97 {
			t.Errorf("%s: in %.3f of the studies, promised %.3f", c.name, got, want)
		}
		checked++
	}
	if checked != 5 {
		t.Fatalf("%d checked", checked)
	}
}

// Adjusted questions need more; an estimate at the margin is settled by no
// number, and an answer that is settled has none.
func TestSettleFollowsTheQuestion(t *testing.T) {
	d := truth{3, 3, 3, 0.03, 0.04, 0, 0, 0.02, nil}.draw(rand.New(rand.NewPCG(8, 8)))
	q := truth{}.question("1", "2", "3")
	other := q
	other.Condition = "c2"
	plain := answers(t, analysed(t, d, Ask{Scale: Log}), q, other)[0]
	for _, adjust := range []Adjust{Holm, Joint} {
		x := answers(t, analysed(t, d, Ask{Scale: Log, Adjust: adjust, EachFall: true}), q, other)[0]
		if plain.Verdict != NotSettled || !(plain.Settle.None80 > 3) || !(x.Settle.None80 > plain.Settle.None80) || !(x.Settle.None90 > x.Settle.None80) {
			t.Errorf("%s: %+v, alone %+v", adjust, x.Settle, plain.Settle)
		}
	}
	x := answers(t, analysed(t, d, Ask{Scale: Log, Adjust: Holm}), q, other)[0].Difference
	if different, equivalent := x.allowed(); !near.Rel(different, 0.025, 1e-9) || !near.Rel(equivalent, 0.025, 1e-9) {
		t.Errorf("shared by two: %g and %g", different, equivalent)
	}
	at := q
	at.Share = math.Abs(plain.Difference.Percent) / 100
	if x := answers(t, analysed(t, d, Ask{Scale: Log}), at)[0]; x.Verdict != NotSettled || x.Settle.Seen80 != Unknown {
		t.Errorf("at the margin itself: %s, %+v", x.Verdict, x.Settle)
	}
	// On the linear scale a share is that of the baseline's mean, so that the
	// amount asks for the same numbers.
	linear := analysed(t, d, Ask{})
	amount := q
	amount.Share, amount.Amount = 0, 0.05*linear.Means[0].Mean
	one, falls := q, []Fall{"1"}
	one.Falls, amount.Falls = falls, falls
	if x := answers(t, linear, one, amount); x[0].Settle != x[1].Settle || x[0].Verdict != NotSettled || !(x[0].Settle.None80 > 3) {
		t.Errorf("%+v, as an amount %+v", x[0].Settle, x[1].Settle)
	}
	wide := q
	wide.Share = 0.9
	if x := answers(t, analysed(t, d, Ask{Scale: Log}), wide)[0]; x.Verdict != NoDifference || x.Settle != (Settle{}) {
		t.Errorf("%s, %+v", x.Verdict, x.Settle)
	}
}

// Rows at several falls without specimens have no number of specimens.
func TestSettleCannotSay(t *testing.T) {
	d := truth{2, 3, 3, 0.03, 0.04, 0, 0, 0.02, nil}.draw(rand.New(rand.NewPCG(8, 8)))
	d.Specimen = nil
	x := answers(t, analysed(t, d, Ask{Scale: Log}), truth{}.question("1", "2"))[0]
	if x.Verdict != NotSettled || x.Settle != (Settle{}) || x.Randomisation != nil {
		t.Errorf("%s, %+v, %+v", x.Verdict, x.Settle, x.Randomisation)
	}
	a := analysed(t, d, Ask{Scale: Log})
	x = answers(t, a, truth{}.question("1"))[0]
	if x.Verdict != NotSettled || !(x.Settle.None80 > 3) || x.Randomisation == nil {
		t.Errorf("%s, %+v, %+v", x.Verdict, x.Settle, x.Randomisation)
	}
	// Three rows in each of six cells: 12 degrees of freedom, 6 more with each row.
	if p, ok := a.prospect(x.Question, x.Difference); !ok || !near.Rel(p.perDF, 6, 1e-9) || !near.Rel(p.variance/3, x.Difference.SE*x.Difference.SE, 1e-9) {
		t.Errorf("%v, %+v, the fit has %+v", ok, p, x.Difference)
	}
}
