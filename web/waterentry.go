package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/water"
)

func bathPath(name string) string { return studyPath(name) + "/water/entry" }

// bathSide is where weighings, gaugings and pulls are written down. It fits nothing,
// so that the page after a weighing is there at once.
func (s *server) bathSide(r *http.Request) (answer, error) {
	e, err := s.bath(r)
	if err != nil {
		return answer{}, err
	}
	q := r.URL.Query()
	e.By = q.Get("by")
	e.Open = q.Get("form")
	e.Weighing = study.WeighingTyped{Specimen: q.Get("specimen"), Of: q.Get("of"), Soak: q.Get("soak")}
	e.Gauging.Specimen, e.Gauging.Load, e.Gauging.Contact = q.Get("specimen"), q.Get("load"), q.Get("contact")
	e.Pull.Specimen, e.Pull.Device, e.Pull.Speed, e.Pull.Held = q.Get("specimen"), q.Get("device"), q.Get("speed"), q.Get("held")
	e.Gauging.Wet, e.Pull.Wet = q.Has("wet"), q.Has("wet")
	return page(r.Context(), water.EntryPage(*e))
}

// bath is the bath side of a study, with nothing typed yet.
func (s *server) bath(r *http.Request) (*water.Entry, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "At the bath side", "water")
	if err != nil {
		return nil, err
	}
	st := open.overview.Study
	e := &water.Entry{Frame: open.frame, Path: studyPath(name), Times: tapTimes(st), Stored: lastStored(st, r.URL.Query().Get("stored"))}
	if all := st.Standing(); len(all) > 0 {
		w := all[len(all)-1]
		e.Last = fmt.Sprintf("The last one was %s: %s, %s, by %s.", w.Specimen, campaign.Grams(w.Mass), w.Said(), w.By)
	}
	for _, c := range st.Plan.Conditions {
		g := water.Group{Condition: mark.Of(&st.Plan, c.Name)}
		for _, sp := range st.Plan.Specimens {
			if sp.Condition == c.Name {
				g.Choices = append(g.Choices, choiceOf(st, sp))
				rope, _ := st.Plan.RopeOf(sp)
				if dry := rope.MassPerLength * (sp.To - sp.From); dry > 0 {
					g.Limit = "dry some " + figure.Fixed(1000*dry, 0) + " g, by length and mass per metre"
				}
			}
		}
		if len(g.Choices) > 0 {
			e.Groups = append(e.Groups, g)
		}
	}
	for _, p := range st.Pulls {
		if !slices.Contains(e.Devices, p.Device) {
			e.Devices = append(e.Devices, p.Device)
		}
	}
	return e, nil
}

// tapTimes are soak times in minutes: the plan's, those weighed before, or common
// ones.
func tapTimes(st *campaign.Study) (out []string) {
	var times []float64
	add := func(s float64) {
		if s > 0 && !slices.Contains(times, s) && len(times) < 12 {
			times = append(times, s)
		}
	}
	for _, t := range st.Plan.Water.At {
		add(t.Seconds())
	}
	for _, w := range st.Weighings {
		if w.Of == campaign.Soaked {
			add(w.Soak)
		}
	}
	if len(times) == 0 {
		times = []float64{60, 120, 300, 600, 900}
	}
	slices.Sort(times)
	for _, t := range times {
		out = append(out, minutesTyped(t))
	}
	return out
}

// minutesTyped is a time in s as the field for minutes takes it.
func minutesTyped(s float64) string {
	if s < 60 {
		return strconv.FormatFloat(s, 'g', 4, 64) + " s"
	}
	return strconv.FormatFloat(s/60, 'g', 5, 64)
}

func choiceOf(st *campaign.Study, sp campaign.Specimen) water.Choice {
	c := water.Choice{Label: sp.Label, Last: "not weighed yet"}
	for _, w := range st.Standing() { // in time order: the newest stays
		if w.Specimen == sp.Label {
			c.Last = campaign.Grams(w.Mass) + ", " + w.Said()
		}
	}
	return c
}

// lastStored says what was stored, with the water in it.
func lastStored(st *campaign.Study, what string) string {
	kind, id, _ := strings.Cut(what, " ")
	switch kind {
	case "weigh":
		all := st.Standing()
		for i := len(all) - 1; i >= 0; i-- {
			w := all[i]
			if w.Specimen != id {
				continue
			}
			text := fmt.Sprintf("Stored: %s, %s, %s", w.Specimen, campaign.Grams(w.Mass), w.Said())
			if dry, known := st.DryMass(w.Specimen, w.At); known && !w.IsDry() {
				text += fmt.Sprintf(", water %s\u202f%% of the dry mass", figure.Fixed(100*(w.Mass/dry-1), 1))
			}
			return text + "."
		}
	case "gauge":
		return "Stored: a gauging of " + id + "."
	case "pull":
		return "Stored: a pull of " + id + "."
	}
	return ""
}

// weigh stores what was typed of a weighing, and leads back to the bath side.
func (s *server) weigh(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	soak := f.Get("soak-other")
	if strings.TrimSpace(soak) == "" {
		soak = f.Get("soak")
	}
	t := study.WeighingTyped{Specimen: f.Get("specimen"), Of: f.Get("of"), Soak: soak, Hung: f.Get("hung"), Mass: f.Get("mass"), By: f.Get("by"), Replaces: f.Get("replaces")}
	w, err := t.Weighing(s.desk.Clock())
	if err == nil {
		err = s.desk.Weigh(r.Context(), r.PathValue("name"), w)
	}
	if err != nil {
		return s.notStored(r, "weigh", err, func(e *water.Entry) { e.Weighing, e.By = t, t.By })
	}
	q := url.Values{"by": {t.By}, "of": {t.Of}, "soak": {soak}, "stored": {"weigh " + t.Specimen}}
	return answer{to: bathPath(r.PathValue("name")) + "?" + q.Encode()}, nil
}

// gauge stores what was typed of a gauging.
func (s *server) gauge(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	t := study.GaugingTyped{
		Specimen: f.Get("specimen"), State: f.Get("state"), Wet: f.Has("wet"), Load: f.Get("load"), Contact: f.Get("contact"),
		Length: f.Get("length"), Sheath: f.Get("sheath"), Note: f.Get("note"), By: f.Get("by"),
	}
	for i, text := range f["d"] {
		if i < 6 {
			t.Levels[i/2][i%2] = text
		}
	}
	g, err := t.Gauging(s.desk.Clock())
	if err == nil {
		err = s.desk.Gauge(r.Context(), r.PathValue("name"), g)
	}
	if err != nil {
		return s.notStored(r, "gauge", err, func(e *water.Entry) { e.Gauging, e.By = t, t.By })
	}
	q := url.Values{"form": {"gauge"}, "by": {t.By}, "load": {t.Load}, "contact": {t.Contact}, "stored": {"gauge " + t.Specimen}}
	return answer{to: bathPath(r.PathValue("name")) + "?" + wetly(q, t.Wet).Encode() + "#gauge"}, nil
}

// pull stores what was typed of a pull.
func (s *server) pull(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	f := r.PostForm
	t := study.PullTyped{
		Specimen: f.Get("specimen"), Device: f.Get("device"), State: f.Get("state"), Wet: f.Has("wet"), Force: f.Get("force"),
		StickSlip: f.Get("stick-slip"), Speed: f.Get("speed"), Held: f.Get("held"), Note: f.Get("note"), By: f.Get("by"),
	}
	p, err := t.Pull(s.desk.Clock())
	if err == nil {
		_, _, err = s.desk.Pull(r.Context(), r.PathValue("name"), p, "", nil)
	}
	if err != nil {
		return s.notStored(r, "pull", err, func(e *water.Entry) { e.Pull, e.By = t, t.By })
	}
	q := url.Values{"form": {"pull"}, "by": {t.By}, "device": {t.Device}, "speed": {t.Speed}, "held": {t.Held}, "stored": {"pull " + t.Specimen}}
	return answer{to: bathPath(r.PathValue("name")) + "?" + wetly(q, t.Wet).Encode() + "#pull"}, nil
}

func wetly(q url.Values, wet bool) url.Values {
	if wet {
		q.Set("wet", "yes")
	}
	return q
}

// notStored is the bath side with what was typed and what is wrong with it.
func (s *server) notStored(r *http.Request, form string, why error, typed func(*water.Entry)) (answer, error) {
	status, ours := statuses[problem.KindOf(why)]
	if !ours {
		return answer{}, why
	}
	e, err := s.bath(r)
	if err != nil {
		return answer{}, err
	}
	e.Open, e.Refused = form, problem.All(why)
	typed(e)
	a, err := page(r.Context(), water.EntryPage(*e))
	a.status = status
	return a, err
}
