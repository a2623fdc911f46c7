package compare

import (
	"flag"
	"fmt"
	"math"
	"slices"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/num/lmm"
	"fallwright.example/refdata"
)

// everyJoint takes the joint p of 25 differences, of 5 at each fall and over
// falls too, which is some ten seconds.
var everyJoint = flag.Bool("joint", false, "check the joint p of large families")

// tableOf reads a case's columns.
func tableOf(c refdata.ComparedCase) (Data, Ask) {
	var d Data
	for name, column := range c.Data {
		names, numbers := make([]string, len(column)), make([]float64, len(column))
		for i, v := range column {
			names[i] = fmt.Sprint(v)
			numbers[i], _ = v.(float64)
		}
		switch name {
		case "value":
			d.Value = numbers
		case "condition":
			d.Condition = names
		case "specimen":
			d.Specimen = names
		case "fall":
			for _, n := range names {
				d.Fall = append(d.Fall, Fall(n))
			}
		case "uptake":
			d.Measured = append(d.Measured, Measured{name, numbers})
		default:
			d.Columns = append(d.Columns, Column{name, names})
		}
	}
	return d, Ask{
		Scale: Scale(c.Scale), FallsAs: FallsAs(c.Ask.FallsAs), Blocks: c.Ask.Blocks, Covariates: c.Ask.Covariates,
	}
}

// agreed says what does not agree, and counts what was looked at.
type agreed struct {
	*testing.T
	name string
	n    int
}

func (h *agreed) rel(what string, got, want, tol float64) {
	h.Helper()
	h.n++
	if !near.Rel(got, want, tol) {
		h.Errorf("%s: %s = %.12g, want %.12g within a share of %g", h.name, what, got, want, tol)
	}
}

func (h *agreed) abs(what string, got, want, tol float64) {
	h.Helper()
	h.n++
	if !near.Abs(got, want, tol) {
		h.Errorf("%s: %s = %.12g, want %.12g within %g", h.name, what, got, want, tol)
	}
}

func (h *agreed) row(what string, got, want refdata.ComparedRow) {
	h.Helper()
	h.n++
	if want.SE == nil {
		if got.SE != nil && !math.IsNaN(*got.SE) {
			h.Errorf("%s: %s has a standard error, where there is none", h.name, what)
		}
		return
	}
	size := *want.SE // an estimate near zero is held to its standard error
	h.abs(what+" estimate", *got.Estimate, *want.Estimate, 1e-6*max(size, math.Abs(*want.Estimate)))
	h.rel(what+" SE", *got.SE, *want.SE, 1e-6)
	h.abs(what+" df", *got.DF, *want.DF, 1e-4)
	h.abs(what+" lower", *got.Lower, *want.Lower, 1e-5*max(size, math.Abs(*want.Lower)))
	h.abs(what+" upper", *got.Upper, *want.Upper, 1e-5*max(size, math.Abs(*want.Upper)))
	if got.P != nil {
		h.abs(what+" p", *got.P, *want.P, 1e-6)
	}
	if want.Holm != nil {
		h.abs(what+" holm", *got.Holm, *want.Holm, 1e-5)
	}
	if want.Joint != nil && (want.EachFall == nil && what[:7] == "against" || *everyJoint) {
		h.abs(what+" joint", *got.Joint, *want.Joint, 2e-4)
	}
	if want.EachFall != nil && *everyJoint {
		h.abs(what+" joint at its fall", *got.EachFall, *want.EachFall, 1e-4)
	}
}

func ofDifference(d Difference) refdata.ComparedRow {
	return refdata.ComparedRow{Estimate: &d.Amount, SE: &d.SE, DF: &d.DF, Lower: &d.Lower, Upper: &d.Upper, P: &d.P}
}

func ofMean(m Mean) refdata.ComparedRow {
	return refdata.ComparedRow{Estimate: &m.Mean, SE: &m.SE, DF: &m.DF, Lower: &m.Lower, Upper: &m.Upper}
}

func ofSlope(s Slope) refdata.ComparedRow {
	return refdata.ComparedRow{Estimate: &s.Slope, SE: &s.SE, DF: &s.DF, Lower: &s.Lower, Upper: &s.Upper}
}

// place finds R's row of a condition and a fall.
func place(rows []refdata.ComparedRow, condition string, fall Fall) *refdata.ComparedRow {
	k := slices.IndexFunc(rows, func(r refdata.ComparedRow) bool {
		at := Fall("")
		if r.Fall != nil {
			at = Fall(fmt.Sprint(r.Fall))
		}
		return r.Condition == condition && at == fall
	})
	if k < 0 {
		return nil
	}
	return &rows[k]
}

func (h *agreed) tables(a, holm, joint, each *Analysis, want refdata.ComparedTables) {
	h.Helper()
	for _, m := range a.Means {
		w := place(want.Means, m.Condition, m.Fall)
		if w == nil {
			h.Errorf("%s: no mean of %s at %s in R", h.name, m.Condition, m.Fall)
			continue
		}
		h.row("mean "+m.Condition+" "+string(m.Fall), ofMean(m), *w)
	}
	for _, list := range []struct {
		what string
		got  func(*Analysis) []Difference
		want []refdata.ComparedRow
	}{
		{"against", func(a *Analysis) []Difference { return a.Against }, want.Against},
		{"overall", func(a *Analysis) []Difference { return a.Overall }, want.Overall},
		{"trend against", func(a *Analysis) []Difference { return a.TrendsAgainst }, want.TrendsAgainst},
	} {
		if len(list.got(a)) != len(list.want) {
			h.Errorf("%s: %d %s, want %d", h.name, len(list.got(a)), list.what, len(list.want))
		}
		for i, d := range list.got(a) {
			w := place(list.want, d.Condition, d.Fall)
			if w == nil {
				h.Errorf("%s: no %s %s at %s in R", h.name, list.what, d.Condition, d.Fall)
				continue
			}
			got := ofDifference(d)
			got.Holm, got.Joint, got.EachFall = &list.got(holm)[i].PAdjusted, &list.got(joint)[i].PAdjusted, &list.got(each)[i].PAdjusted
			h.row(list.what+" "+d.Condition+" "+string(d.Fall), got, *w)
		}
	}
	for _, s := range a.Trends {
		w := place(want.Trends, s.Condition, "")
		h.row("trend "+s.Condition, ofSlope(s), *w)
	}
	for _, w := range want.Terms {
		k := slices.IndexFunc(a.Terms, func(t TermTest) bool { return t.Term == w.Term })
		if k < 0 {
			h.Errorf("%s: no term %s", h.name, w.Term)
			continue
		}
		h.rel("F of "+w.Term, a.Terms[k].F, w.F, 2e-6)
		h.abs("df1 of "+w.Term, a.Terms[k].DF1, w.DF1, 1e-9)
		h.abs("df2 of "+w.Term, a.Terms[k].DF2, w.DF2, 1e-4)
		h.abs("p of "+w.Term, a.Terms[k].P, w.P, 1e-6)
	}
}

// Source: R with lme4, pbkrtest, lmerTest, emmeans and mvtnorm,
// refdata/compare/core.R: sleepstudy, Dyestuff, Pastes, Penicillin whole and
// without every seventh row, an invented drop test in many models, and
// [Dunnett1955]. Tolerance: 1e-6 for deviances, a share of 1e-6 for estimates
// and standard errors, 1e-4 for degrees of freedom and joint p; 2e-4 for the
// joint p of 25 differences, where R's own lattice was let off at 1e-4.
func TestAgainstR(t *testing.T) {
	ref, err := refdata.CompareCore()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range ref.Cases {
		h := &agreed{T: t, name: c.Name}
		d, ask := tableOf(c)
		asked := func(by lmm.DF, way Adjust, each bool) *Analysis {
			ask.DF, ask.Adjust, ask.EachFall = by, way, each
			a, err := Analyse(d, ask)
			if err != nil {
				t.Fatal(c.Name, err)
			}
			return a
		}
		a := asked(lmm.KenwardRoger, None, false)
		holm, joint, each := asked(lmm.KenwardRoger, Holm, false), a, a
		if len(c.KenwardRoger.Overall) > 0 && c.KenwardRoger.Overall[0].Joint != nil {
			if small := len(a.Against) < 10; small || *everyJoint {
				each = asked(lmm.KenwardRoger, Joint, true)
				joint = asked(lmm.KenwardRoger, Joint, false)
			}
		}
		h.abs("deviance", a.Deviance, c.Deviance, 1e-6)
		h.rel("residual SD", a.ResidualSD, c.ResidualSD, 1e-6)
		h.spreads(a, c)
		h.tables(a, holm, joint, each, c.KenwardRoger)
		for _, list := range [][]refdata.ComparedRow{c.Satterthwaite.Against, c.Satterthwaite.Overall} {
			for i := range list {
				list[i].Joint = nil // made with Kenward-Roger alone
			}
		}
		s := asked(lmm.Satterthwaite, None, false)
		h.tables(s, asked(lmm.Satterthwaite, Holm, false), s, s, c.Satterthwaite)
		if h.n < 6 {
			t.Errorf("%s: %d numbers looked at", c.Name, h.n)
		}
	}
	if len(ref.Cases) < 24 {
		t.Fatalf("%d cases", len(ref.Cases))
	}
}

// spreads holds the random effects, named by group as R has them.
func (h *agreed) spreads(a *Analysis, c refdata.ComparedCase) {
	h.Helper()
	if len(a.Random) != len(c.Random) || len(a.Correlations) != len(c.Correlations) {
		h.Errorf("%s: %d random effects and %d correlations, want %d and %d", h.name, len(a.Random), len(a.Correlations), len(c.Random), len(c.Correlations))
		return
	}
	for _, w := range c.Random {
		term := w.Term
		if term == "(Intercept)" {
			term = "intercept"
		}
		k := slices.IndexFunc(a.Random, func(r Random) bool { return r.Group == w.Group && r.Term == term })
		if k < 0 {
			h.Errorf("%s: no random effect %s %s", h.name, w.Group, term)
			continue
		}
		h.abs("SD of "+w.Group+" "+term, a.Random[k].SD, w.SD, 1e-6*max(w.SD, a.ResidualSD))
	}
	for i, w := range c.Correlations {
		h.abs("correlation", a.Correlations[i].Correlation, w.Correlation, 1e-5)
	}
}

// Source: R's nlme (deviance, spreads, standard errors) and t.test (Welch), see
// refdata/compare/core.R. Without specimens every pair is Welch's test; REML
// separates into the conditions, so that this is exact algebra. Tolerance: that
// of nlme's search for the drops.
func TestSpreadByConditionAgainstR(t *testing.T) {
	ref, err := refdata.CompareCore()
	if err != nil {
		t.Fatal(err)
	}
	h := &agreed{T: t, name: "spread by condition"}
	find := func(name string) Data {
		k := slices.IndexFunc(ref.Cases, func(c refdata.ComparedCase) bool { return c.Name == name })
		d, _ := tableOf(ref.Cases[k])
		return d
	}
	a, err := Analyse(find("drops"), Ask{SpreadByCondition: true, DF: lmm.Satterthwaite})
	if err != nil {
		t.Fatal(err)
	}
	h.abs("deviance", a.Deviance, ref.Spread.Drops.Deviance, 1e-6)
	h.rel("specimen SD", a.Random[0].SD, ref.Spread.Drops.Specimen, 1e-5)
	for _, s := range a.Spreads {
		h.rel("SD of "+s.Condition, s.SD, ref.Spread.Drops.SD[s.Condition], 1e-5)
	}
	for _, d := range a.Overall {
		w := place(ref.Spread.Drops.Overall, d.Condition, "")
		h.rel("SE of "+d.Condition, d.SE, *w.SE, 1e-5)
		h.rel("difference of "+d.Condition, d.Amount, *w.Estimate, 1e-6)
	}
	a, err = Analyse(find("cotton"), Ask{SpreadByCondition: true, DF: lmm.Satterthwaite})
	if err != nil {
		t.Fatal(err)
	}
	h.abs("deviance of cotton", a.Deviance, ref.Spread.Cotton.Deviance, 1e-6)
	for i, w := range ref.Spread.Cotton.Welch {
		h.rel("Welch SE", a.Overall[i].SE, w.SE, 1e-6)
		h.rel("Welch df", a.Overall[i].DF, w.DF, 1e-5)
		h.rel("Welch p", a.Overall[i].P, w.P, 1e-5)
	}
	if h.n < 28 {
		t.Fatalf("%d numbers looked at", h.n)
	}
}
