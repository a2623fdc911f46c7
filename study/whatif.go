package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// Alternative is another analysis than the plan's, to look at.
type Alternative struct {
	// Margin is in the place of every question's own, written as in a study file:
	// "3 %" for all, "0.2 kN" for those about a force. Empty keeps them.
	Margin string
	Scale  compare.Scale // empty: as each margin calls for
	Rule   campaign.AnalysisRule
}

// WhatIf answers the questions of a study by another analysis than its plan
// says. It is exploratory, and nothing of it is stored. What the rules of a plan
// refuse is refused as problem.Invalid.
func (d *Desk) WhatIf(ctx context.Context, name string, a Alternative) (*Findings, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	other := *s
	other.Plan.Questions = slices.Clone(s.Plan.Questions)
	other.Plan.Analysis = a.Rule
	if err := setMargins(other.Plan.Questions, a.Margin); err != nil {
		return nil, err
	}
	if err := other.Plan.Validate(); err != nil {
		return nil, err
	}
	if i := slices.IndexFunc(other.Plan.Questions, func(q campaign.Question) bool { return a.Scale == compare.Log && q.Margin.Amount > 0 }); i >= 0 {
		q := other.Plan.Questions[i]
		return nil, problem.New(problem.Invalid, "question "+q.Name, "its margin is an amount, %g %s, and on logarithms differences are shares", q.Margin.Amount, q.Value.Unit()).
			Hint(`give a margin in per cent, such as "5 %%"`)
	}
	key := keptKey{sha256: stateOf(s, readings) + fmt.Sprintf(" what if %+v", a)}
	made, err := d.kept.get(ctx, d.mostKept(), key, func(context.Context) (any, int64, error) {
		f, err := found(&other, readings, a.Rule, a.Scale)
		return f, keptFindings, err
	})
	if err != nil {
		return nil, err
	}
	f := *made.(*Findings)
	f.Exploratory = "another analysis than the plan says, made to see how much the answers hang on it; it is not stored"
	return &f, nil
}

// setMargins gives the questions another margin, those of its dimension where it
// is an amount.
func setMargins(questions []campaign.Question, text string) error {
	if text == "" {
		return nil
	}
	v, d, err := quantity.ParseOneOf(text, quantity.Share, quantity.Force, quantity.Speed, quantity.Length, quantity.Energy)
	if err != nil {
		return problem.New(problem.Invalid, "margin", "%v", err)
	}
	set := 0
	for i := range questions {
		q := &questions[i]
		switch {
		case d == quantity.Share:
			q.Margin = campaign.Margin{Share: v}
		case d == dimensionOf[q.Value]:
			q.Margin = campaign.Margin{Amount: v}
		default:
			continue
		}
		set++
	}
	if set == 0 {
		return problem.New(problem.Invalid, "margin", "no question is about a value that %q is an amount of", text).
			Hint(`give a share, such as "5 %%"`)
	}
	return nil
}

var dimensionOf = map[campaign.Measure]quantity.Dimension{
	campaign.PeakForce: quantity.Force, campaign.ReboundSpeed: quantity.Speed,
	campaign.MaxStretch: quantity.Length, campaign.EnergyAbsorbed: quantity.Energy,
}
