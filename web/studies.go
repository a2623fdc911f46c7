package web

import (
	"net/http"

	"fallwright.example/study"
	"fallwright.example/web/page/studies"
	"fallwright.example/web/say"
)

// studies is the list of studies.
func (s *server) studies(r *http.Request) (answer, error) {
	all, err := s.desk.Studies(r.Context())
	if err != nil {
		return answer{}, err
	}
	v := studies.View{Frame: s.frame("Studies")}
	for _, one := range all {
		v.Rows = append(v.Rows, studyRow(one))
	}
	return page(r.Context(), studies.Page(v))
}

func studyRow(one study.Summary) studies.Row {
	row := studies.Row{
		Title: one.Title, Name: one.Name, Href: studyPath(one.Name),
		Invented: one.Invented, Frozen: one.Frozen,
		Begun:    say.Day(one.Created.At),
		Counting: one.Counting, Planned: one.Planned,
	}
	if one.Created.By != "" {
		row.Begun += ", " + one.Created.By
	}
	if one.Planned > 0 {
		row.Share = min(100, 100*one.Counting/one.Planned)
	}
	return row
}
