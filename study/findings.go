package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// Findings answers every question of a study from the falls that count, by the
// analysis that its plan says.
func (d *Desk) Findings(ctx context.Context, name string) (*Findings, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	return d.findings(ctx, s, readings, false)
}

// Checked is Findings with the checks of every model.
func (d *Desk) Checked(ctx context.Context, name string) (*Findings, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	return d.findings(ctx, s, readings, true)
}

func (d *Desk) recorded(ctx context.Context, name string) (*campaign.Study, map[string]StoredReading, error) {
	s, err := d.load(ctx, name)
	if err != nil {
		return nil, nil, err
	}
	readings, err := d.Store.Readings(ctx, name)
	return s, readings, err
}

// findings are the kept ones of this state of the study, or made now.
func (d *Desk) findings(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, checked bool) (*Findings, error) {
	state := stateOf(s, readings)
	made, err := d.kept.get(ctx, d.mostKept(), keptKey{sha256: state}, func(context.Context) (any, int64, error) {
		f, err := found(s, readings, s.Plan.Analysis, "")
		return f, keptFindings, err
	})
	if err == nil && checked {
		plain := made.(*Findings)
		made, err = d.kept.get(ctx, d.mostKept(), keptKey{sha256: state, checked: true}, func(context.Context) (any, int64, error) {
			return plain.checked(), keptFindings, nil
		})
	}
	if err != nil {
		return nil, err
	}
	f := *made.(*Findings) // the study itself is of now: deviations and freeze do not alter what was found
	f.Study, f.Exploratory = s, exploratory(s)
	return &f, nil
}

// found makes the findings by a rule, on the scale of each question's margin
// unless another is given.
func found(s *campaign.Study, readings map[string]StoredReading, rule campaign.AnalysisRule, scale compare.Scale) (*Findings, error) {
	f := &Findings{Study: s, Rule: rule, Method: method(rule), Assumptions: assumptions(rule), Answers: make([]compare.Answer, len(s.Plan.Questions))}
	for _, m := range campaign.Measures() {
		asked := slices.ContainsFunc(s.Plan.Questions, func(q campaign.Question) bool { return q.Value == m })
		if len(s.Plan.Questions) > 0 && !asked { // without a question the tables are all there is to look at
			continue
		}
		data, left := dataOf(s, readings, m)
		f.Left = append(f.Left, left...)
		table := MeasureTable{Measure: m}
		for _, on := range scales(s.Plan.Questions, m, data.Value, scale) {
			model, err := f.answer(m, on, scale, data)
			if err != nil {
				return nil, err
			}
			table.Models = append(table.Models, model)
		}
		f.Measures = append(f.Measures, table)
	}
	return f, nil
}

// answer fits the model of a measure on one scale and answers the questions that
// are put on it.
func (f *Findings) answer(m campaign.Measure, on, forced compare.Scale, data compare.Data) (Model, error) {
	model := Model{Measure: m, Scale: on}
	var questions []compare.Question
	var places []int
	for i, q := range f.Study.Plan.Questions {
		if q.Value == m && scaleOf(q, forced) == on {
			questions, places = append(questions, questionOf(&f.Study.Plan, q)), append(places, i)
		}
	}
	var answers []compare.Answer
	model.Analysis, model.Refused = compare.Analyse(data, askOf(&f.Study.Plan, f.Rule, m, on, questions))
	if model.Refused == nil && len(questions) > 0 {
		var err error
		if answers, err = model.Analysis.Put(questions); err != nil {
			return model, err
		}
	}
	for k, i := range places {
		if model.Refused != nil {
			f.Answers[i] = unanswered(questions[k], model.Refused)
			continue
		}
		f.Answers[i] = dealtWithin(answers[k])
	}
	return model, nil
}

// checked is the same with the checks of every model, beside f.
func (f *Findings) checked() *Findings {
	out := *f
	out.Measures = nil
	for _, m := range f.Measures {
		m.Models = slices.Clone(m.Models)
		for i := range m.Models {
			if a := m.Models[i].Analysis; a != nil {
				m.Models[i].Checks, _ = a.Check() // what cannot be checked is not shown
			}
		}
		out.Measures = append(out.Measures, m)
	}
	return &out
}

// moment is a time in a sentence.
const moment = "2 January 2006, 15:04 MST"

// exploratory says why findings are not what a frozen plan promised; empty when
// they are.
func exploratory(s *campaign.Study) string {
	if s.Frozen == nil {
		return "the plan was never frozen, so questions and margins may have been chosen after the drops"
	}
	for _, d := range s.Counting() {
		if d.At.Before(s.Frozen.At) {
			return fmt.Sprintf("the plan was frozen on %s, after the first fall that counts on %s",
				s.Frozen.At.Format(moment), d.At.Format(moment))
		}
	}
	return ""
}
