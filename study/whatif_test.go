package study_test

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// dropped is a study with all its falls: two conditions of two specimens, two
// falls each, wet 20 % above dry in each pair.
func dropped(t *testing.T) *study.Desk {
	t.Helper()
	d := begun(t)
	at := 0.0
	for _, fall := range []int{1, 2} {
		for i, label := range []string{"A", "B", "C", "D"} {
			peak := []float64{3, 3.03, 3.6, 3.636}[i] * (1 + 0.05*float64(fall-1) + 0.001*float64(i*fall))
			add(t, d, release(label, fall, at, halfSine(peak)))
			at += 4
		}
	}
	return d
}

// Another margin gives another verdict, is marked, and leaves the plan's answer as
// it was.
func TestWhatIf(t *testing.T) {
	d := dropped(t)
	own, err := d.Findings(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	if own.Answers[0].Verdict != compare.Higher {
		t.Fatalf("by the plan %q", own.Answers[0].Verdict)
	}
	other, err := d.WhatIf(t.Context(), "wet", study.Alternative{Margin: "40 %"})
	if err != nil {
		t.Fatal(err)
	}
	a := other.Answers[0]
	if a.Verdict != compare.NoDifference || a.Question.Share != 0.4 || other.Exploratory == "" {
		t.Errorf("with a margin of 40 %%: %q, margin %g, %q", a.Verdict, a.Question.Share, other.Exploratory)
	}
	amount, err := d.WhatIf(t.Context(), "wet", study.Alternative{Margin: "0.1 kN", Rule: campaign.AnalysisRule{DF: campaign.Satterthwaite}})
	if err != nil {
		t.Fatal(err)
	}
	if m := amount.Measures[0].Models[0]; m.Scale != compare.Linear || amount.Answers[0].Question.Amount != 100 || math.Abs(amount.Answers[0].Difference.Amount-600) > 30 {
		t.Errorf("with an amount: %s, %+v", m.Scale, amount.Answers[0].Difference)
	}
	again, err := d.Findings(t.Context(), "wet")
	if err != nil || again.Answers[0].Sentence != own.Answers[0].Sentence || again.Exploratory != "" {
		t.Errorf("the plan's own answer is now %q, %v", again.Answers[0].Sentence, err)
	}
	for _, c := range []struct {
		a    study.Alternative
		want string
	}{
		{study.Alternative{Margin: "5"}, "no unit"},
		{study.Alternative{Margin: "5 m/s"}, "no question is about"},
		{study.Alternative{Margin: "120 %"}, "whole of the baseline"},
		{study.Alternative{Margin: "0.1 kN", Scale: compare.Log}, "on logarithms differences are shares"},
		{study.Alternative{Rule: campaign.AnalysisRule{FallsAs: campaign.FallTrendPerSpecimen}}, "needs series of 3 falls"},
		{study.Alternative{Rule: campaign.AnalysisRule{Blocks: []campaign.Block{"moon"}}}, "is no block"},
	} {
		_, err := d.WhatIf(t.Context(), "wet", c.a)
		if problem.KindOf(err) != problem.Invalid || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v: %v, want %q", c.a, err, c.want)
		}
	}
}

// Checks are there when they are asked for, and only then; findings follow what
// is recorded, though they are kept.
func TestFindingsAreKept(t *testing.T) {
	d := dropped(t)
	first, err := d.Checked(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	m := first.Measures[0].Models[0] // on logarithms, as the margin is a share
	if m.Checks == nil || len(m.Checks.Residuals) != 8 || m.Analysis.N != 8 || m.Scale != compare.Log {
		t.Fatalf("checks %+v", m.Checks)
	}
	plain, err := d.Findings(t.Context(), "wet")
	if err != nil || plain.Measures[0].Models[0].Checks != nil || plain.Measures[0].Models[0].Analysis != m.Analysis {
		t.Errorf("not the kept model, or with checks: %v", err)
	}
	s, err := d.Store.Study(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	last := s.Drops[len(s.Drops)-1]
	if err := d.VoidDrop(t.Context(), "wet", last.ID, "logger off", true, "tester"); err != nil {
		t.Fatal(err)
	}
	after, err := d.Findings(t.Context(), "wet")
	if err != nil || after.Measures[0].Models[0].Analysis.N != 7 {
		t.Errorf("after a void %d values, %v", after.Measures[0].Models[0].Analysis.N, err)
	}
}

// Before the baseline has a fall there is no model: every question is left without
// a claim, and the reason is there.
func TestFindingsWithoutAModel(t *testing.T) {
	d := begun(t)
	add(t, d, release("C", 1, 0, halfSine(3.6)))
	f, err := d.Checked(t.Context(), "wet")
	if err != nil {
		t.Fatal(err)
	}
	a, m := f.Answers[0], f.Measures[0].Models[0]
	if a.Verdict != compare.NoClaim || len(a.Notes) == 0 || m.Analysis != nil || len(m.Why()) == 0 || !strings.Contains(a.Sentence, "no claim") {
		t.Errorf("%+v, %v", a, m.Refused)
	}
}
