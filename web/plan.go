package web

import (
	"bytes"
	"net/http"
	"net/url"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/timetable"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/plan"
)

// plan is the page of the plan.
func (s *server) plan(r *http.Request) (answer, error) { return s.planWith(r, nil, nil) }

// planWith is the page with a form that was not taken, and why.
func (s *server) planWith(r *http.Request, typed url.Values, failed error) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Plan", "plan")
	if err != nil {
		return answer{}, err
	}
	v := plan.View{
		Frame: open.frame, Path: studyPath(name), Counting: countingWay(name, "plan"),
		Freeze: freezeForm(typed, failed), Deviate: deviationForm(typed, failed),
	}
	if v.Planned, v.Refused, err = s.planned(r); err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	for _, h := range v.Planned.HowMany {
		v.Curves = append(v.Curves, curvePicture(h, v.Planned.Plan.Invented))
	}
	v.Days = daysOf(v.Planned.Shown(), v.Planned.Ask, &v.Planned.Plan)
	if s.options.Calendar != nil && v.Planned.Timetable != nil {
		v.Calendar = v.Path + "/timetable.ics"
	}
	if v.Left, err = s.left(r, open.overview.Study); err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	return page(r.Context(), plan.Page(v))
}

func curvePicture(h study.HowMany, invented bool) frame.Picture {
	if h.Curve == nil {
		return frame.Picture{}
	}
	return drawn(wideFigure, 360, invented, func(c figure.Canvas) *figure.Scene { return figure.Power(h.Curve, "", h.Wanted, c) })
}

// daysOf are the days of a timetable, those without a step too.
func daysOf(t *timetable.Table, ask *timetable.Ask, p *campaign.Plan) []plan.Day {
	if t == nil {
		return nil
	}
	names := conditionNames(p)
	if p.Order.Blind {
		names = nil
	}
	var out []plan.Day
	for i, use := range t.Days {
		d := plan.Day{Use: use}
		if !use.First.IsZero() {
			d.Picture = drawn(wideFigure, 0, p.Invented, func(c figure.Canvas) *figure.Scene { return figure.Gantt(t, ask, i+1, names, c) })
		}
		for _, o := range t.Ops {
			if !o.Start.Before(use.Open) && !o.Start.After(use.Close) {
				d.Ops = append(d.Ops, o)
			}
		}
		out = append(out, d)
	}
	return out
}

// left is the rest of the plan from the time that the address has, else from now or,
// outside the plan's days, from the last drop. Nil while nothing was dropped, or
// where the plan has no days.
func (s *server) left(r *http.Request, st *campaign.Study) (*plan.Left, error) {
	if len(st.Counting()) == 0 || !st.Plan.Days.Asked() {
		return nil, nil
	}
	from, here := s.desk.Clock(), st.Created.At.Location()
	last := st.Drops[len(st.Drops)-1].At
	if from.Before(last) || from.Sub(last) > 24*time.Hour {
		from = last
	}
	if text := r.URL.Query().Get("from"); text != "" {
		var err error
		if from, err = readTime(text, here); err != nil {
			return &plan.Left{From: text, Refused: problem.New(problem.Invalid, "from", "%q is no date with a time", text).Hint("write it as 2026-05-04T11:20")}, nil
		}
	}
	out := &plan.Left{From: from.In(here).Format("2006-01-02T15:04")}
	again, err := s.desk.Replan(r.Context(), st.Plan.Name, from)
	if _, said := statuses[problem.KindOf(err)]; said {
		out.Refused = err
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	out.Replan = again
	if again.Table != nil {
		for _, d := range daysOf(again.Shown(), again.Ask, &again.Plan) {
			if d.Use.Close.After(again.From) {
				out.Days = append(out.Days, d)
			}
		}
	}
	return out, nil
}

// calendar is the timetable as a file for calendars.
func (s *server) calendar(r *http.Request) (answer, error) {
	p, err := s.desk.Plan(r.Context(), r.PathValue("name"), nil)
	if err != nil {
		return answer{}, err
	}
	if p.Timetable == nil {
		return answer{}, p.NoTimetable
	}
	var b bytes.Buffer
	if err := s.options.Calendar(&b, p); err != nil {
		return answer{}, err
	}
	return answer{kind: "text/calendar; charset=utf-8", body: b.Bytes()}, nil
}

// The parts of the two forms as refusals and the page name them.
const (
	byPart   = "by"
	donePart = "done"
	whyPart  = "why"
)

func formField(name, label, hint string, typed url.Values) *entry.Field {
	return &entry.Field{Name: name, ID: name + "-field", Label: label, Hint: hint, Value: typed.Get(name), About: name}
}

func freezeForm(typed url.Values, failed error) plan.Form {
	f := plan.Form{Fields: []*entry.Field{formField(byPart, "your name", "who freezes it; it is kept with the time", typed)}}
	if !typed.Has(donePart) {
		f.Failed = failed
	}
	return f
}

func deviationForm(typed url.Values, failed error) plan.Form {
	f := plan.Form{Fields: []*entry.Field{
		formField(donePart, "what was done instead", "bath 2 stood at 14 °C instead of 12 °C", typed),
		formField(whyPart, "why", "its cooler had stopped", typed),
		formField(byPart, "your name", "", typed),
	}}
	f.Fields[0].Long, f.Fields[1].Long = true, true
	if typed.Has(donePart) {
		f.Failed = failed
	}
	return f
}

// freezePlan freezes the plan that the page showed.
func (s *server) freezePlan(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	name, by := r.PathValue("name"), strings.TrimSpace(r.PostForm.Get(byPart))
	o, err := s.desk.Overview(r.Context(), name)
	switch {
	case err != nil:
		return answer{}, err
	case by == "":
		err = problem.New(problem.Invalid, byPart, "nobody is named who freezes it").Hint("write a name")
	case o.Study.Frozen == nil && r.PostForm.Get("plan") != o.Study.File.SHA256:
		err = problem.New(problem.Conflict, "plan", "it is another by now than the page showed").Hint("look at it again, and freeze it then")
	default:
		_, err = s.desk.Freeze(r.Context(), name, by)
	}
	return s.taken(r, err, "#frozen")
}

// deviate notes a deviation with its reason.
func (s *server) deviate(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	get := func(name string) string { return strings.TrimSpace(r.PostForm.Get(name)) }
	var missing problem.List
	for _, part := range []struct{ name, what, hint string }{
		{donePart, "it does not say what was done instead", "say it in a sentence"},
		{whyPart, "no reason is given", "say why; that nobody knows is a reason too"},
		{byPart, "nobody is named who notes it", "write a name"},
	} {
		if get(part.name) == "" {
			missing = append(missing, problem.New(problem.Invalid, part.name, "%s", part.what).Hint("%s", part.hint))
		}
	}
	err := missing.Err()
	if err == nil {
		err = s.desk.Deviate(r.Context(), r.PathValue("name"), strings.TrimRight(get(donePart), ".")+"; reason: "+get(whyPart), get(byPart))
	}
	if !r.PostForm.Has(donePart) {
		r.PostForm.Set(donePart, "")
	}
	return s.taken(r, err, "#frozen")
}

// taken leads back to the plan, or shows it with what was refused beside the form.
func (s *server) taken(r *http.Request, err error, at string) (answer, error) {
	if err == nil {
		return answer{to: studyPath(r.PathValue("name")) + "/plan" + at}, nil
	}
	if status, said := statuses[problem.KindOf(err)]; said {
		a, failed := s.planWith(r, r.PostForm, err)
		a.status = status
		return a, failed
	}
	return answer{}, err
}
