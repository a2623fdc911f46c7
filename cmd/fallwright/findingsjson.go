package main

import (
	"encoding/json"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/study"
)

// findingsOut is the JSON of a study's compare.
type findingsOut struct {
	Study       string           `json:"study"`
	Invented    bool             `json:"invented"`
	Analysis    ruleOut          `json:"analysis"`
	Method      string           `json:"method"`
	Exploratory *string          `json:"exploratory"` // why, or null
	Answers     []compare.Answer `json:"answers"`
	Measures    []modelOut       `json:"measures"`
	LeftOut     []leftOut        `json:"left_out"`
}

// ruleOut is the plan's analysis in the words of a study file.
type ruleOut struct {
	Falls  string           `json:"falls"`
	Blocks []campaign.Block `json:"blocks"`
	Spread string           `json:"spread"`
	DF     string           `json:"df"`
	Adjust string           `json:"adjust"`
}

type leftOut struct {
	Specimen string `json:"specimen"`
	Fall     int    `json:"fall"`
	Measure  string `json:"measure"`
	Why      string `json:"why"`
}

// modelOut is one model of a measure: the analysis as compare writes it, with
// what it is of in front and what its checks say behind.
type modelOut struct{ study.Model }

// MarshalJSON writes one object.
func (m modelOut) MarshalJSON() ([]byte, error) {
	head := struct {
		Measure string           `json:"measure"`
		Unit    string           `json:"unit"`
		Scale   compare.Scale    `json:"scale"`
		Refused *string          `json:"refused"` // why there is no model, or null
		Checks  []string         `json:"checks"`
		Hidden  []compare.Hidden `json:"hidden"`
	}{Measure: string(m.Measure), Unit: m.Measure.Unit(), Scale: m.Scale, Checks: []string{}, Hidden: []compare.Hidden{}}
	if m.Checks != nil {
		head.Checks, head.Hidden = append(head.Checks, m.Checks.Notes...), append(head.Hidden, m.Checks.Hidden...)
	}
	if m.Analysis == nil {
		why := m.Refused.Error()
		head.Refused = &why
		return json.Marshal(head)
	}
	front, err := json.Marshal(head)
	if err != nil {
		return nil, err
	}
	rest, err := json.Marshal(m.Analysis)
	if err != nil {
		return nil, err
	}
	front[len(front)-1] = ','
	return append(front, rest[1:]...), nil
}

func findingsJSON(f *study.Findings) findingsOut {
	r := f.Rule
	out := findingsOut{
		Study: f.Study.Plan.Name, Invented: f.Study.Plan.Invented, Method: f.Method,
		Analysis: ruleOut{r.FallsAs.Word(), append([]campaign.Block{}, r.Blocks...), "equal", r.DF.Word(), r.Adjust.Word()},
		Answers:  append([]compare.Answer{}, f.Answers...), Measures: []modelOut{}, LeftOut: []leftOut{},
	}
	if r.SpreadByCondition {
		out.Analysis.Spread = "by condition"
	}
	if f.Exploratory != "" {
		out.Exploratory = &f.Exploratory
	}
	for _, m := range f.Measures {
		for _, model := range m.Models {
			out.Measures = append(out.Measures, modelOut{model})
		}
	}
	for _, l := range f.Left {
		out.LeftOut = append(out.LeftOut, leftOut{l.Drop.Specimen, l.Drop.Fall, string(l.Measure), l.Why})
	}
	return out
}
