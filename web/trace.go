package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	pagetrace "fallwright.example/web/page/trace"
	"fallwright.example/web/say"
)

// trace is the page of one trace, drawn in the window that the address asks,
// with a second reading beside the stored one when it asks for that.
func (s *server) trace(r *http.Request) (answer, error) {
	name, drop := r.PathValue("name"), r.PathValue("drop")
	t, err := s.desk.Trace(r.Context(), name, drop)
	if err != nil {
		return answer{}, err
	}
	title := dropTitle(t.Row.Drop)
	o, err := s.open(r.Context(), name, title, "traces")
	if err != nil {
		return answer{}, err
	}
	o.frame.Plot = true
	p := &o.overview.Study.Plan
	v := pagetrace.View{Frame: o.frame, Title: title, Trace: t, Condition: mark.Of(p, t.Row.Condition), Path: tracePath(name, drop), By: p.By}
	if t.Before != "" {
		v.Before = tracePath(name, t.Before)
	}
	if t.After != "" {
		v.After = tracePath(name, t.After)
	}
	if _, known := p.Specimen(t.Row.Drop.Specimen); known {
		v.Series = seriesPath(name, t.Row.Drop.Specimen)
	}
	if err := s.second(r, &v); err != nil {
		return answer{}, inFrame{err, o.frame}
	}
	if v.Plot, err = drawPlot(r, &v, p.Invented); err != nil {
		return answer{}, inFrame{err, o.frame}
	}
	v.Loop = loopPicture(&v, p.Invented)
	v.Spectrum, v.NoSpectrum = spectrumPicture(&v, p.Invented)
	return page(r.Context(), pagetrace.Page(v))
}

// second takes the reading that the address asks for beside the stored one. A
// filter that cannot be had is said on the page, and the stored reading stays.
func (s *server) second(r *http.Request, v *pagetrace.View) error {
	class, asked, err := readClass(r.URL.Query())
	if err != nil || !asked || class == v.Trace.Settings.Class {
		return err
	}
	v.Second, err = s.desk.Reread(r.Context(), r.PathValue("name"), r.PathValue("drop"), class)
	if found := problem.All(err); len(found) > 0 {
		v.SecondWhy, err = found[0].What, nil
	}
	return err
}

// readClass takes cfc= of an address: one of the classes, or none.
func readClass(q url.Values) (class int, asked bool, err error) {
	text := q.Get("cfc")
	if text == "" {
		return 0, false, nil
	}
	var known []string
	for _, c := range pagetrace.Classes {
		if pagetrace.ClassKey(c) == text {
			return c, true, nil
		}
		known = append(known, pagetrace.ClassKey(c))
	}
	return 0, false, problem.New(problem.Invalid, "cfc", "%q is no filter class", text).Hint("one of %s", strings.Join(known, ", "))
}

// storeReading stores a reading with another filter as the newest.
func (s *server) storeReading(r *http.Request) (answer, error) {
	if err := readForm(r); err != nil {
		return answer{}, err
	}
	class, asked, err := readClass(r.PostForm)
	if err != nil {
		return answer{}, err
	}
	by := strings.TrimSpace(r.PostForm.Get("by"))
	if !asked || by == "" {
		return answer{}, problem.New(problem.Invalid, "reading", "the filter or the name of who stores it is missing").Hint("go back and give both").In("nothing was stored")
	}
	name, drop := r.PathValue("name"), r.PathValue("drop")
	if _, err := s.desk.StoreReading(r.Context(), name, drop, class, by); err != nil {
		return answer{}, err
	}
	return answer{to: tracePath(name, drop)}, nil
}

func dropTitle(d campaign.Drop) string {
	switch {
	case d.Kind == campaign.Fall:
		return fmt.Sprintf("%s, fall %d", d.Specimen, d.Fall)
	case d.Specimen != "":
		return fmt.Sprintf("%s, %s", d.Specimen, d.Kind)
	case d.Kind == campaign.Trial:
		return "Trial drop"
	}
	return "Check drop"
}

func drawPlot(r *http.Request, v *pagetrace.View, invented bool) (pagetrace.Plot, error) {
	t := v.Trace
	if t.Curves == nil {
		return pagetrace.Plot{}, problem.New(problem.NotFound, v.Title, "no trace was recorded")
	}
	w, err := readWindow(r.URL.Query(), t.Signal)
	if err != nil {
		return pagetrace.Plot{}, err
	}
	path, kept := v.Path, ""
	if v.Second != nil {
		kept = "cfc=" + pagetrace.ClassKey(v.Second.Settings.Class)
	}
	p := pagetrace.Plot{
		Points: path + "/points", Path: path, Ink: "--sea",
		Window: fmt.Sprintf("%s to %s of the recorder's clock", say.Number(w.From, 3), say.Seconds(w.To)),
		Links:  zoomLinks(path, kept, t, w),
	}
	if all, _ := whole(t.Signal); w != all {
		p.From, p.To = seconds(w.From), seconds(w.To)
	}
	condition := v.Condition.Place
	if condition >= 0 {
		p.Ink = fmt.Sprintf("--c%d", condition%6)
	}
	m := figure.Moving{
		Name: v.Title, Condition: condition, Force: t.Curves.Force, Speed: t.Curves.Speed, Stretch: t.Curves.Stretch, From: w.From, To: w.To,
	}
	if t.Row.Reading != nil {
		m.Contacts = t.Row.Reading.Contacts
	}
	if v.Second != nil {
		m.Second, m.SecondAs = v.Second.Curves.Force, pagetrace.Class(v.Second.Settings.Class)
		p.Second, p.As = pagetrace.ClassKey(v.Second.Settings.Class), m.SecondAs
	}
	p.Picture = drawn(wideFigure, 300, invented, func(c figure.Canvas) *figure.Scene { return figure.Motion(m, c) })
	return p, nil
}

// loopPicture is the first contact as force against stretch.
func loopPicture(v *pagetrace.View, invented bool) frame.Picture {
	var loops []figure.LoopCurve
	add := func(c *study.Curves, class int, condition int) {
		if x, f := c.Loop(); len(x) > 0 {
			x, f = figure.ThinLoop(x, f, 600)
			loops = append(loops, figure.LoopCurve{Name: pagetrace.Class(class), Condition: condition, Nth: len(loops), Stretch: x, Force: f})
		}
	}
	add(v.Trace.Curves, v.Trace.Settings.Class, v.Condition.Place)
	if v.Second != nil {
		add(v.Second.Curves, v.Second.Settings.Class, v.Condition.Place)
	} else if len(loops) == 1 {
		loops[0].Name = "" // alone it needs no name
	}
	if len(loops) == 0 {
		return frame.Picture{}
	}
	return drawn(halfFigure, 300, invented, func(c figure.Canvas) *figure.Scene { return figure.Loops(v.Title, loops, c) })
}

// spectrumPicture is the spectrum of the force, or why there is none.
func spectrumPicture(v *pagetrace.View, invented bool) (frame.Picture, string) {
	var curves []figure.SpectrumCurve
	why := ""
	add := func(c *study.Curves, class int, ink figure.Ink, dash []float64) {
		sp, err := c.Spectrum()
		if err != nil {
			why = problemWords(err)
			return
		}
		curves = append(curves, figure.SpectrumCurve{Name: pagetrace.Class(class), Ink: ink, Dash: dash, Frequency: sp.Frequency, Density: sp.Density})
	}
	ink := figure.Ink(v.Condition.Place)
	if v.Condition.Place < 0 {
		ink = figure.Sea
	}
	add(v.Trace.Curves, v.Trace.Settings.Class, ink, nil)
	if v.Second != nil {
		add(v.Second.Curves, v.Second.Settings.Class, figure.Plain, []float64{5, 3})
	}
	if len(curves) == 0 {
		return frame.Picture{}, why
	}
	return drawn(halfFigure, 300, invented, func(c figure.Canvas) *figure.Scene { return figure.Spectrum(v.Title, curves, c) }), ""
}

func problemWords(err error) string {
	for _, p := range problem.All(err) {
		return p.What
	}
	return "no spectrum can be had of this trace"
}
