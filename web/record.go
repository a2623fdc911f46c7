package web

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// keepRecipe keeps the corrections of a preview under a name.
func (s *server) keepRecipe(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	name, by := strings.TrimSpace(r.PostForm.Get("recipe-name")), strings.TrimSpace(r.PostForm.Get("by"))
	open, err := s.open(r.Context(), r.PathValue("name"), "Keep a recipe", "traces")
	if err != nil {
		return answer{}, err
	}
	if by == "" {
		return answer{}, inFrame{noName("recipe").In("the recipe was not kept"), open.frame}
	}
	ask, err := s.askedOf(r, open, r.PostForm)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	if _, err := s.desk.KeepRecipe(r.Context(), open.overview.Study.Plan.Rig.Name, name, ask, by); err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	query := url.Values{"recipe": {name}}
	if set := r.PostForm.Get("setting"); set != "" {
		query.Set("setting", set)
	}
	return answer{to: importPath(r.PathValue("name")) + "/" + url.PathEscape(r.PathValue("sha")) + "?" + query.Encode()}, nil
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
	ask, err := s.askedOf(r, open, form)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	drop, err := readDrop(form, open.overview.Study)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	drop, _, err = s.desk.AddDrop(r.Context(), name, study.Release{Drop: drop, Trace: file.data, Name: file.name, Ask: &ask})
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	if ask.Part == "" { // another drop of the same file may be wanted next
		s.pending.forget(file.sha256)
	}
	return answer{to: tracePath(name, drop.ID)}, nil
}

// readDrop reads the form of a drop. What the study forbids is refused by the
// study; here only what is no number or no time.
func readDrop(form url.Values, st *campaign.Study) (campaign.Drop, error) {
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
