package web

import (
	"fmt"
	"net/http"
	"net/url"

	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/series"
)

// series is the page of one specimen from fall to fall.
func (s *server) series(r *http.Request) (answer, error) {
	name, specimen := r.PathValue("name"), r.PathValue("specimen")
	open, err := s.open(r.Context(), name, specimen+", fall by fall", "traces")
	if err != nil {
		return answer{}, err
	}
	all, err := s.desk.Series(r.Context(), name, specimen)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	p := &all.Study.Plan
	v := series.View{Frame: open.frame, Series: all, Condition: mark.Of(p, all.Specimen.Condition)}
	chosen := url.Values{}
	for _, f := range all.Falls {
		row := series.Fall{SeriesFall: f}
		if f.Row.Drop.Trace != nil {
			row.Href = tracePath(name, f.Row.Drop.ID)
			chosen.Add("drop", f.Row.Drop.ID)
		}
		v.Falls = append(v.Falls, row)
	}
	if len(chosen["drop"]) > 1 {
		v.Overlay = studyPath(name) + "/overlay?" + chosen.Encode()
	}
	for i, value := range study.SeriesValues() {
		v.Units = append(v.Units, series.UnitOf(value))
		if picture := seriesPicture(all, i, v.Condition.Place, p.Invented); picture.Wide != "" {
			v.Pictures = append(v.Pictures, picture)
		}
	}
	v.Loops = loopsPicture(all, v.Condition.Place, p.Invented)
	if v.Law, err = s.lawOf(r, v.Condition.Place, p.Invented); err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	return page(r.Context(), series.Page(v))
}

// seriesPicture is one value by fall; none when no fall has it.
func seriesPicture(s *study.Series, value, condition int, invented bool) frame.Picture {
	of := study.SeriesValues()[value]
	k := figure.SeriesCurve{Specimen: s.Specimen.Label, Condition: condition, Name: of.Name, Unit: series.UnitOf(of)}
	any := false
	for _, f := range s.Falls {
		k.Falls, k.Values = append(k.Falls, f.Row.Drop.Fall), append(k.Values, float64(f.Values[value]))
		any = any || f.Values[value].Known()
		if f.Long {
			k.Long = append(k.Long, f.Row.Drop.Fall)
		}
	}
	if !any {
		return frame.Picture{}
	}
	for _, t := range s.Trends {
		if t.Value == value {
			k.From, k.To, k.Level, k.Slope = t.From, t.To, t.Level, t.Slope
		}
	}
	return drawn(400, 210, invented, func(c figure.Canvas) *figure.Scene {
		c.Height = 210
		return figure.SeriesByFall(k, c)
	})
}

func loopsPicture(s *study.Series, condition int, invented bool) frame.Picture {
	var loops []figure.LoopCurve
	for i, l := range s.Loops {
		word := fmt.Sprint(l.Fall)
		if i == 0 {
			word = "fall " + word
		}
		loops = append(loops, figure.LoopCurve{Name: word, Condition: condition, Nth: i, Stretch: l.Stretch, Force: l.Force})
	}
	if len(loops) == 0 {
		return frame.Picture{}
	}
	return drawn(wideFigure, 400, invented, func(c figure.Canvas) *figure.Scene { return figure.Loops(s.Specimen.Label, loops, c) })
}
