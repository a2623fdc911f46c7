package web

import (
	"net/http"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/water"
)

// water is the page of what the water did.
func (s *server) water(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Water", "water")
	if err != nil {
		return answer{}, err
	}
	w, err := s.desk.Water(r.Context(), name, study.WaterAsk{})
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	v := water.View{Frame: open.frame, Water: w, Path: studyPath(name)}
	p := &w.Study.Plan
	names := conditionNames(p)
	v.Curves = drawn(wideFigure, 420, p.Invented, func(c figure.Canvas) *figure.Scene { return figure.Uptake(w.Soaked, names, true, c) })
	v.Residuals = drawn(wideFigure, 280, p.Invented, func(c figure.Canvas) *figure.Scene { return figure.UptakeResiduals(w.Soaked, names, c) })
	for _, m := range campaign.Measures() {
		if d, any := dosePicture(w, m, p.Invented); any {
			v.Doses = append(v.Doses, d)
		}
	}
	return page(r.Context(), water.Page(v))
}

// dosePicture is one value of the falls against the water, every rope in it.
func dosePicture(w *study.Water, m campaign.Measure, invented bool) (d water.DosePicture, any bool) {
	d.Measure = m
	var curves []figure.DoseCurve
	of := map[string]string{}
	for _, sp := range w.Study.Plan.Specimens {
		of[sp.Label] = sp.Condition
	}
	for _, row := range w.Doses {
		if row.Measure == m {
			d.Rows = append(d.Rows, row)
			curves = append(curves, figure.DoseCurve{Lot: row.Lot, Points: row.Points, Of: of, Fit: row.Dose})
		}
	}
	d.Picture = drawn(halfFigure, 300, invented, func(c figure.Canvas) *figure.Scene {
		return figure.Doses(string(m), curves, conditionNames(&w.Study.Plan), figure.UnitOf(m), c)
	})
	return d, len(d.Rows) > 0
}
