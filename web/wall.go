package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/web/page/entry"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/wall"
)

// wall is the page of a climber's fall.
func (s *server) wall(r *http.Request) (answer, error) {
	name, q := r.PathValue("name"), r.URL.Query()
	open, err := s.open(r.Context(), name, "On the wall", "wall")
	if err != nil {
		return answer{}, err
	}
	fitted, pending, err := s.wallRopes(r)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	v := wall.View{Frame: open.frame, Path: studyPath(name), Asked: len(q) > 0, Fitted: len(fitted) > 0}
	if pending {
		v.Pending = lawsWay(name, q)
	}
	w, err := s.walled(q, fitted)
	v.Form = w.form(q)
	switch {
	case err == nil:
		v.Answer, err = study.Wall(w.fall, w.chosen)
	case problem.KindOf(err) != 0: // what is wrong with the fall is said at once with it
		_, more := w.fall.Catch()
		err = problem.List(append(problem.All(err), problem.All(more)...))
	}
	switch {
	case err != nil && problem.KindOf(err) == 0:
		return answer{}, err
	case err != nil:
		v.Rest = entry.Blame(err, v.Form.All()...)
		return page(r.Context(), wall.Page(v))
	}
	drawWall(&v, open.overview.Study.Plan.Invented || invented(w.chosen))
	return page(r.Context(), wall.Page(v))
}

// walled is what the address asks of the page.
type walled struct {
	fall   study.WallFall
	ropes  []study.WallRope // to choose from
	chosen []study.WallRope // one, or two beside each other
	state  string           // names chosen
	beside string
}

// Words of the address that stand for no rope.
const (
	typedState = "typed"
	noState    = "none"
)

// The names under which refusals go to fields of their own.
const (
	aboutFile   = "pasted text"
	aboutState  = "state of the rope"
	aboutBeside = "state beside it"
)

// walled reads the address: a fall, pasted text over the fall to begin from, and
// what its own fields say over both.
func (s *server) walled(q url.Values, fitted []study.WallRope) (walled, error) {
	w := walled{fall: study.UsualFall(), ropes: slices.Clone(fitted)}
	var faults problem.List
	var pasted []study.WallRope
	if text := strings.TrimSpace(q.Get("file")); text != "" {
		fall, ropes, err := s.pasted(text)
		if err != nil && problem.KindOf(err) == 0 {
			return w, err
		}
		faults = append(faults, problem.All(err)...)
		pasted = ropes
		if err == nil && fall != nil {
			w.fall = *fall
		}
	}
	w.ropes = append(append(pasted, w.ropes...), study.InventedRopes()...)
	w.over(q)
	if err := w.choose(q); err != nil {
		faults = append(faults, problem.All(err)...)
	}
	return w, faults.Err()
}

// mostPasted is how much text a fall may be, in bytes.
const mostPasted = 16 << 10

// pasted reads a fall as the command takes it from a file.
func (s *server) pasted(text string) (*study.WallFall, []study.WallRope, error) {
	switch {
	case s.options.Fall == nil:
		return nil, nil, problem.New(problem.Invalid, aboutFile, "this program reads no falls from text")
	case len(text) > mostPasted:
		return nil, nil, problem.New(problem.Invalid, aboutFile, "it is %d bytes long, at most %d are taken", len(text), mostPasted)
	}
	fall, ropes, err := s.options.Fall([]byte(text))
	if err != nil {
		all := problem.All(err)
		for _, p := range all {
			p.What, p.Where = p.Error(), aboutFile
		}
		if len(all) == 0 {
			return nil, nil, err
		}
		return nil, nil, problem.List(all)
	}
	return fall, ropes, nil
}

// choose finds the states of the rope that the address names, or else the first
// two that there are of the best kind: pasted, fitted, invented.
func (w *walled) choose(q url.Values) error {
	w.state, w.beside = q.Get("state"), q.Get("beside")
	if w.state == "" {
		w.state = w.ropes[0].Name
		if w.beside == "" && len(w.ropes) > 1 && likeEachOther(w.ropes[0], w.ropes[1]) {
			w.beside = w.ropes[1].Name
		}
	}
	if w.beside == "" {
		w.beside = noState
	}
	var faults problem.List
	for i, name := range []string{w.state, w.beside} {
		if i == 1 && name == noState {
			continue
		}
		rope, err := w.rope(name, []string{aboutState, aboutBeside}[i], q)
		faults = append(faults, problem.All(err)...)
		w.chosen = append(w.chosen, rope)
	}
	if len(faults) == 0 && len(w.chosen) == 2 && w.state == w.beside {
		w.chosen = w.chosen[:1]
	}
	return faults.Err()
}

// likeEachOther reports whether two states come from the same place, or both from
// the study's own falls.
func likeEachOther(a, b study.WallRope) bool {
	return a.From == b.From || a.Condition >= 0 && b.Condition >= 0
}

func (w *walled) rope(name, about string, q url.Values) (study.WallRope, error) {
	if name == typedState {
		law := q.Get("law")
		if law == "" {
			law = usualLaw
		}
		return study.TypedRope(law, q.Get("parameters"))
	}
	i := slices.IndexFunc(w.ropes, func(r study.WallRope) bool { return r.Name == name })
	if i < 0 {
		var names []string
		for _, r := range w.ropes {
			names = append(names, r.Name)
		}
		return study.WallRope{}, problem.New(problem.NotFound, about, "there is no state %q", name).Hint("there are: %s", strings.Join(names, "; "))
	}
	return w.ropes[i], nil
}

func invented(ropes []study.WallRope) bool {
	return slices.ContainsFunc(ropes, func(r study.WallRope) bool { return r.Invented })
}

// Sizes of the two forms of the fall from the side, in px.
const (
	sideWidth, sideHeight     = 560, 560
	sideNarrow, sideNarrowTop = 350, 460
)

// drawWall adds marks and pictures. A state of a condition has the condition's
// colour; others take those that are left, in order.
func drawWall(v *wall.View, invented bool) {
	var caught []figure.CaughtFall
	var swept []figure.SweptFall
	taken := map[int]bool{}
	for _, c := range v.Answer.Cases {
		taken[c.Rope.Condition] = true
	}
	for i, c := range v.Answer.Cases {
		place := c.Rope.Condition
		if place < 0 || i > 0 && place == v.Marks[0].Place {
			for place = 0; taken[place]; place++ {
			}
			taken[place] = true
		}
		v.Marks = append(v.Marks, mark.Condition{Place: place, Name: c.Rope.Name})
		caught = append(caught, figure.CaughtFall{Name: c.Rope.Name, Condition: place, Catch: c.Catch, Outcome: c.Bands.Outcome})
		if len(c.Sweep) > 0 {
			swept = append(swept, figure.SweptFall{Name: c.Rope.Name, Condition: place, Points: c.Sweep})
		}
	}
	c := figure.Canvas{Width: sideWidth, Height: sideHeight}
	if invented {
		c.Remark = "invented"
	}
	v.Picture.Wide = figure.Caught(caught, c).SVG()
	c.Width, c.Height = sideNarrow, sideNarrowTop
	v.Picture.Narrow = figure.Caught(caught, c).SVG()
	if len(swept) > 0 {
		v.Sweep = drawn(halfFigure, 340, invented, func(c figure.Canvas) *figure.Scene {
			return figure.WallByRope(swept, v.Answer.Cases[0].Catch.RopeOut, c)
		})
	}
}
