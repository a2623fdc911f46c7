package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/findings"
)

// The names of what the form for another analysis sends.
var whatIfNames = []string{"margin", "scale", "falls", "spread", "df", "adjust", "block"}

// whatIf is the form for another analysis, filled with the plan's own or with
// what the address asks for, and then with what that gives.
func (s *server) whatIf(r *http.Request, o *study.Overview) (findings.WhatIf, error) {
	q, p := r.URL.Query(), &o.Study.Plan
	v := findings.WhatIf{Frozen: o.Study.Frozen != nil}
	v.Asked = slices.ContainsFunc(whatIfNames, q.Has)
	a := study.Alternative{Rule: p.Analysis}
	if v.Asked {
		a = alternative(q)
	}
	v.Fields, v.Ticks = whatIfFields(a), whatIfTicks(a, o.Study)
	markPlan(v.Fields, whatIfFields(study.Alternative{Rule: p.Analysis}))
	if !v.Asked {
		return v, nil
	}
	f, err := s.desk.WhatIf(r.Context(), p.Name, a)
	switch problem.KindOf(err) {
	case problem.Invalid, problem.TooFew:
		v.Refused = err
		return v, nil
	}
	v.Found = f
	return v, err
}

// alternative reads an address. A word that no plan could have is left as it is,
// and refused where plans are.
func alternative(q url.Values) study.Alternative {
	a := study.Alternative{Margin: strings.TrimSpace(q.Get("margin")), Scale: compare.Scale(q.Get("scale"))}
	a.Rule = campaign.AnalysisRule{
		FallsAs:           worded(q.Get("falls"), campaign.FallLevels),
		SpreadByCondition: q.Get("spread") == spreadByCondition,
		DF:                worded(q.Get("df"), campaign.KenwardRoger),
		Adjust:            worded(q.Get("adjust"), campaign.NoAdjustment),
	}
	for _, b := range q["block"] {
		a.Rule.Blocks = append(a.Rule.Blocks, campaign.Block(b))
	}
	return a
}

// worded reads a word of a study file, in which the default has one too.
func worded[S interface {
	~string
	Word() string
}](word string, normal S) S {
	if word == normal.Word() {
		return normal
	}
	return S(word)
}

const spreadByCondition = "by condition"

func whatIfFields(a study.Alternative) []findings.Field {
	spread := "equal"
	if a.Rule.SpreadByCondition {
		spread = spreadByCondition
	}
	return []findings.Field{
		{Name: "margin", Label: "margin of every question", Value: a.Margin, Hint: "as asked, or 3 %"},
		{Name: "adjust", Label: "adjusted for several", Value: a.Rule.Adjust.Word(), Options: []findings.Option{
			{Value: "none", Label: "not"}, {Value: "holm", Label: "by Holm’s steps"}, {Value: "joint", Label: "jointly, multivariate t"},
		}},
		{Name: "scale", Label: "scale", Value: string(a.Scale), Options: []findings.Option{
			{Value: "", Label: "as each margin calls for"}, {Value: string(compare.Log), Label: "logarithms"}, {Value: string(compare.Linear), Label: "values as they are"},
		}},
		{Name: "falls", Label: "falls", Value: a.Rule.FallsAs.Word(), Options: []findings.Option{
			{Value: "levels", Label: "a mean each"}, {Value: "trend", Label: "a straight line"}, {Value: "trend-per-specimen", Label: "a line for each specimen"},
		}},
		{Name: "spread", Label: "spread from fall to fall", Value: spread, Options: []findings.Option{
			{Value: "equal", Label: "one for all"}, {Value: spreadByCondition, Label: "by condition"},
		}},
		{Name: "df", Label: "degrees of freedom", Value: a.Rule.DF.Word(), Options: []findings.Option{
			{Value: "kenward-roger", Label: "Kenward-Roger"}, {Value: "satterthwaite", Label: "Satterthwaite"},
		}},
	}
}

// markPlan says which of the choices is the plan's own.
func markPlan(fields, own []findings.Field) {
	for i, f := range fields {
		for k := range f.Options {
			if f.Options[k].Value == own[i].Value {
				f.Options[k].Label += " (plan)"
			}
		}
	}
}

// whatIfTicks are the blocks that the study could have.
func whatIfTicks(a study.Alternative, st *campaign.Study) []findings.Tick {
	lots, days := map[string]bool{}, map[string]bool{}
	for _, d := range st.Counting() {
		piece, _ := st.Plan.Specimen(d.Specimen)
		lots[piece.Lot], days[d.At.Format("2006-01-02")] = true, true
	}
	var out []findings.Tick
	for _, b := range campaign.Blocks() {
		on := slices.Contains(a.Rule.Blocks, b)
		if on || b == campaign.RopeBlock && len(lots) > 1 || b == campaign.DayBlock && len(days) > 1 {
			out = append(out, findings.Tick{Name: "block", Value: string(b), Label: string(b), On: on})
		}
	}
	return out
}
