package main

import (
	"encoding/json"

	compare "fallwright.example/compare"
)

// MarshalJSON is the analysis with what was asked for beside it.
func (r *compared) MarshalJSON() ([]byte, error) {
	a := *r.analysis
	a.Notes = append([]string{}, r.notes...)
	own, err := json.Marshal(a)
	if err != nil {
		return nil, err
	}
	beside := struct {
		Table     string             `json:"table"`
		Rows      int                `json:"rows"`
		Answers   []compare.Answer   `json:"answers,omitempty"`
		Bootstrap *compare.Bootstrap `json:"bootstrap,omitempty"`
		Dealt     []dealt            `json:"randomisation,omitempty"`
		Checks    *compare.Checks    `json:"checks,omitempty"`
	}{Table: r.table.Name, Rows: r.table.Rows, Answers: r.answers, Bootstrap: r.bootstrap, Dealt: r.dealt}
	if r.ask.checks {
		beside.Checks = r.checks
	}
	more, err := json.Marshal(beside)
	if err != nil {
		return nil, err
	}
	return append(append(own[:len(own)-1], ','), more[1:]...), nil
}
