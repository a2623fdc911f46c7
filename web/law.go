package web

import (
	"context"
	"maps"
	"net/http"
	"net/url"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/counting"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/series"
)

// lawsWait is the word of an address that waits for the laws of a study.
const lawsWait = "laws"

func lawsWay(name string, q url.Values) counting.Way {
	with := maps.Clone(q)
	if with == nil {
		with = url.Values{}
	}
	with.Set(lawsWait, "wait")
	return counting.Way{Progress: studyPath(name) + "/laws", Whole: studyPath(name) + "/wall?" + with.Encode()}
}

// wallRopes are the states of the rope by the study's own falls; an address that
// waits has them worked out.
func (s *server) wallRopes(r *http.Request) ([]study.WallRope, bool, error) {
	if r.URL.Query().Has(lawsWait) {
		if _, err := s.desk.Laws(r.Context(), r.PathValue("name"), study.UsualLaw, nil); err != nil {
			return nil, false, err
		}
	}
	return s.desk.WallRopes(r.Context(), r.PathValue("name"))
}

// laws works the laws of a study out, and tells how far it is.
func (s *server) laws(w http.ResponseWriter, r *http.Request) {
	s.progress(w, r, func(ctx context.Context, told study.Progress) error {
		_, err := s.desk.Laws(ctx, r.PathValue("name"), study.UsualLaw, told)
		return err
	})
}

// lawOf is the section of a series that the address asks a law for.
func (s *server) lawOf(r *http.Request, condition int, invented bool) (series.Law, error) {
	asked := r.URL.Query().Get("law")
	v := series.Law{Choice: entry.Field{Name: "law", Label: "law of rope", Value: asked}}
	if asked == "" {
		v.Choice.Value = study.UsualLaw
	}
	for _, name := range study.LawNames() {
		v.Choice.Options = append(v.Choice.Options, entry.Option{Value: name, Label: name})
	}
	if asked == "" {
		return v, nil
	}
	one, err := s.desk.SpecimenLaw(r.Context(), r.PathValue("name"), r.PathValue("specimen"), asked)
	if err != nil {
		if _, said := statuses[problem.KindOf(err)]; said {
			v.Refused = problem.All(err)
			return v, nil
		}
		return v, err
	}
	v.Fitted = one.Law
	for _, f := range one.Law.Pictures(condition) {
		v.Pictures = append(v.Pictures, lawPicture(f, invented))
	}
	return v, nil
}

func lawPicture(f figure.FittedFall, invented bool) frame.Picture {
	return drawn(lawFigure, lawFigureHeight, invented, func(c figure.Canvas) *figure.Scene {
		c.Height = lawFigureHeight
		return figure.ByLaw(f, c)
	})
}

// Size of the picture of a fitted fall, px.
const lawFigure, lawFigureHeight = 400, 300
