package web

import (
	"cmp"
	"maps"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// keepRecipe keeps the corrections of a preview under a name.
func (s *server) keepRecipe(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	form := r.PostForm
	name, by := strings.TrimSpace(form.Get("recipe-name")), strings.TrimSpace(form.Get("recipe-by"))
	open, err := s.open(r.Context(), r.PathValue("name"), "Keep a recipe", "traces")
	if err != nil {
		return answer{}, err
	}
	if by == "" {
		return answer{}, inFrame{noName("recipe").In("the recipe was not kept"), open.frame}
	}
	ask, err := s.askedOf(r, open, form)
	if err == nil {
		err = s.readable(r, open, ask)
	}
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	if _, err := s.desk.KeepRecipe(r.Context(), open.overview.Study.Plan.Rig.Name, name, ask, by); err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	query := dropFields(form)
	query.Del("recipe-name")
	query.Del("recipe-by")
	query.Set("recipe", name)
	if part := form.Get("part"); part != "" {
		query.Set("part", part)
	}
	return answer{to: previewPath(r) + "?" + query.Encode()}, nil
}

// readable refuses a recipe that does not read the file before it, and one that
// is no more than what the plan says.
func (s *server) readable(r *http.Request, open *opened, ask trace.Ask) error {
	rule, without := open.overview.Study.Plan.Reading.Ask, ask
	rule.Part, without.Part = "", ""
	if without == rule {
		return problem.New(problem.Invalid, "recipe", "it corrects nothing: the file is read so without it").
			Hint("correct something first").In("the recipe was not kept")
	}
	file, err := s.pending.get(r.PathValue("sha"))
	if err != nil {
		return err
	}
	p, err := s.desk.Preview(r.Context(), r.PathValue("name"), study.Upload{Name: file.name, Data: file.data, Ask: file.beside(ask), Setting: settingOf(r.PostForm)})
	if err != nil || p.Refused == nil {
		return err
	}
	why := "it cannot be read"
	if found := problem.All(p.Refused); len(found) > 0 {
		why = found[0].What
	}
	return problem.New(problem.Conflict, "recipe", "the file is refused with these corrections: %s", why).
		Hint("go back and correct until the file is read").In("the recipe was not kept")
}

func previewPath(r *http.Request) string {
	return importPath(r.PathValue("name")) + "/" + url.PathEscape(r.PathValue("sha"))
}

func noName(where string) *problem.Problem {
	return problem.New(problem.Invalid, where, "nobody is named who does this").Hint("go back and write a name")
}

// recordDrop records a waiting file as a drop, and lets the file go.
func (s *server) recordDrop(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	name := r.PathValue("name")
	file, err := s.pending.get(r.PathValue("sha"))
	if err != nil {
		return answer{}, err
	}
	open, err := s.open(r.Context(), name, "Record a drop", "traces")
	if err != nil {
		return answer{}, err
	}
	form := r.PostForm
	if seen, asked := form["seen"]; asked && seen[0] != corrected(form) {
		return s.lookAgain(r), nil
	}
	ask, err := s.askedOf(r, open, form)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	drop, err := readDrop(form, open.overview.Study, s.desk.Clock())
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	ask = file.beside(ask)
	drop, _, err = s.desk.AddDrop(r.Context(), name, study.Release{Drop: drop, Trace: file.data, Name: file.name, Ask: &ask})
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	if ask.Part == "" { // another drop of the same file may be wanted next
		s.pending.forget(file.sha256)
	}
	return answer{to: tracePath(name, drop.ID)}, nil
}

// lookAgain leads back to the preview, with the corrections that were typed
// since: nothing is recorded that nobody has seen.
func (s *server) lookAgain(r *http.Request) answer {
	query := dropFields(r.PostForm)
	typed, _ := url.ParseQuery(corrected(r.PostForm))
	maps.Copy(query, typed)
	query.Set("changed", "yes")
	return answer{to: previewPath(r) + "?" + query.Encode()}
}

// dropFields are what was filled in of the drop and the recipe.
func dropFields(form url.Values) url.Values {
	out := url.Values{}
	for _, name := range []string{"kind", "specimen", "fall", "drop-setting", "at", "by", "note", "void", "loaded", "recipe-name", "recipe-by"} {
		if form.Has(name) {
			out[name] = form[name]
		}
	}
	return out
}

// corrected are the corrections of a form or an address, in one text that can
// be compared.
func corrected(q url.Values) string {
	out := url.Values{}
	for _, name := range append([]string{"recipe", "pull"}, correctionNames()...) {
		if text := strings.TrimSpace(q.Get(name)); text != "" {
			out.Set(name, text)
		}
	}
	return out.Encode()
}

// settingOf is the setting that a trace is read with: that of the drop.
func settingOf(q url.Values) string { return cmp.Or(q.Get("drop-setting"), q.Get("setting")) }

// readDrop reads the form of a drop. What the study forbids is refused by the
// study; here only what is no number or no time.
func readDrop(form url.Values, st *campaign.Study, now time.Time) (campaign.Drop, error) {
	get := func(name string) string { return strings.TrimSpace(form.Get(name)) }
	d := campaign.Drop{Kind: campaign.Kind(get("kind")), Specimen: get("specimen"), Setting: get("drop-setting"), Note: get("note")}
	d.By = get("by")
	if d.By == "" {
		return d, noName("drop").In("the drop was not stored")
	}
	at, err := readTime(get("at"), st.Created.At.Location())
	if err != nil {
		return d, err
	}
	if at.After(now.Add(24 * time.Hour)) {
		return d, problem.New(problem.Invalid, "released at", "%s is more than a day after now, %s", at.Format(time.DateTime), now.In(at.Location()).Format(time.DateTime)).
			Hint("look at the date").In("the drop was not stored")
	}
	d.At = at
	if d.Kind == campaign.Fall {
		d.Fall = st.NextFall(d.Specimen)
	}
	if text := get("fall"); text != "" && d.Kind == campaign.Fall {
		if d.Fall, err = strconv.Atoi(text); err != nil {
			return d, problem.New(problem.Invalid, "fall", "%q is no whole number", text).In("the drop was not stored")
		}
	}
	if why := get("void"); why != "" {
		d.Void = &campaign.Void{Reason: why, Loaded: get("loaded") != ""}
	}
	return d, nil
}

// readTime reads a field of date and time, which may lack the seconds.
func readTime(text string, here *time.Location) (time.Time, error) {
	for _, layout := range []string{localTime, "2006-01-02T15:04"} {
		if at, err := time.ParseInLocation(layout, text, here); err == nil {
			return at, nil
		}
	}
	return time.Time{}, problem.New(problem.Invalid, "released at", "%q is no date with a time", text).
		Hint("write it as 2026-05-04T14:26:30").In("the drop was not stored")
}
