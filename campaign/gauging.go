package campaign

import (
	"slices"
	"strings"

	"fallwright.example/problem"
)

// Gauging is a specimen measured under load: its diameter in two directions at
// right angles at each of some levels, and what else a tape shows. The method of
// EN 892, 5.3, is 10 kg on a single rope, three levels some 100 mm apart and a gauge
// of 50 mm contact length (an excerpt of BS EN 892:2012).
type Gauging struct {
	ID string
	Stamp
	Specimen string
	Wet      bool
	State    string      // in words, such as "soaked 15 min"
	Load     float64     // kg hung on; 0 when not stated
	Contact  float64     // m, length of the gauge's jaws; 0 when not stated
	Levels   [][]float64 // m; of each level its directions; none where only a length was taken
	Length   float64     // m between the marks under that load; 0 when not measured
	Sheath   *float64    // m that the sheath came past the core at an end; nil when not looked at
	Note     string
	Replaces string // ID of the gauging that this one corrects
}

// Limits of what a gauge can show of a rope or cord, m; our own.
const thinnest, thickest = 0.001, 0.060

// CheckGauging refuses a gauging: NotFound when the plan lacks its specimen,
// Conflict when it replaces what it cannot, Invalid when a value is no value of a
// rope.
func (s *Study) CheckGauging(g Gauging) error {
	r := s.recording("gauging", g.Specimen, g.Stamp)
	r.replaces(g.Replaces, g.Specimen, gaugingLinks(s.Gaugings))
	if len(g.Levels) == 0 && g.Length == 0 && g.Sheath == nil {
		r.refuse("nothing was measured").Hint("give diameters, a length or the shift of the sheath")
	}
	for i, level := range g.Levels {
		if len(level) == 0 || len(level) > 8 {
			r.refuse("level %d has %d readings", i+1, len(level)).Hint("give the diameter in two directions at right angles")
		}
		for _, d := range level {
			if !(d >= thinnest && d <= thickest) {
				r.refuse("a diameter of %s at level %d", mm(d), i+1).Hint("a rope has %s to %s; write millimetres with their unit: 9.8 mm", mm(thinnest), mm(thickest))
			}
		}
	}
	if nominal := s.nominal(g.Specimen); nominal > 0 {
		for _, d := range slices.Concat(g.Levels...) {
			if d >= thinnest && d <= thickest && (d < 0.6*nominal || d > 1.8*nominal) {
				r.refuse("a diameter of %s, and the rope is sold as %s", mm(d), mm(nominal)).Hint("gauge it again; mend the rope's diameter in the study file if that is wrong")
				break
			}
		}
	}
	r.between("load", g.Load, 0, 200, "kg")
	r.between("contact length of the gauge", g.Contact, 0, 0.3, "m")
	r.between("length", g.Length, 0, 1000, "m")
	if g.Sheath != nil {
		r.between("shift of the sheath", *g.Sheath, -0.5, 0.5, "m")
	}
	return r.err()
}

// nominal is the diameter that a specimen's rope is sold as; 0 when not known.
func (s *Study) nominal(specimen string) float64 {
	sp, _ := s.Plan.Specimen(specimen)
	rope, _ := s.Plan.RopeOf(sp)
	return rope.Diameter
}

func mm(m float64) string { return figures(1000*m) + " mm" }

// link is how one record of a specimen corrects another.
type link struct{ id, specimen, replaces string }

func gaugingLinks(all []Gauging) []link {
	out := make([]link, len(all))
	for i, g := range all {
		out[i] = link{g.ID, g.Specimen, g.Replaces}
	}
	return out
}

// recording is a gauging or pull being looked at before it is stored.
type recording struct {
	what, where string
	list        problem.List
}

func (s *Study) recording(what, specimen string, at Stamp) *recording {
	r := &recording{what: what, where: what + " of " + specimen}
	if _, known := s.Plan.Specimen(specimen); !known {
		r.where = what
		r.list = append(r.list, problem.New(problem.NotFound, what, "the plan has no specimen %q", specimen).
			Hint("%s", s.nearestLabels(specimen)).In("the "+what+" was not stored"))
	}
	if at.At.IsZero() {
		r.refuse("it has no time").Hint("say when it was done")
	}
	return r
}

func (r *recording) refuse(format string, args ...any) *problem.Problem {
	p := problem.New(problem.Invalid, r.where, format, args...).In("the " + r.what + " was not stored")
	r.list = append(r.list, p)
	return p
}

func (r *recording) between(name string, v, low, high float64, unit string) {
	if !(v >= low && v <= high) {
		r.refuse("the %s is %g %s", name, v, unit).Hint("give %g to %g %s, or leave it out", low, high, unit)
	}
}

// replaces refuses what corrects a record that it cannot correct.
func (r *recording) replaces(id, specimen string, all []link) {
	if id == "" {
		return
	}
	state := "the " + r.what + " was not stored"
	i := slices.IndexFunc(all, func(o link) bool { return o.id == id })
	if i < 0 {
		r.list = append(r.list, problem.New(problem.NotFound, r.where, "there is no %s %s that it could replace", r.what, id).
			Hint("leave that out for a new %s", r.what).In(state))
		return
	}
	if all[i].specimen != specimen {
		r.list = append(r.list, problem.New(problem.Conflict, r.where, "%s %s, which it would replace, is of %s", r.what, id, all[i].specimen).
			Hint("replace a %s of the same specimen", r.what).In(state))
		return
	}
	for _, o := range all {
		if o.replaces == id {
			r.list = append(r.list, problem.New(problem.Conflict, r.where, "%s %s was replaced by %s already", r.what, id, o.id).
				Hint("replace %s", o.id).In(state))
			return
		}
	}
}

func (r *recording) err() error { return r.list.Err() }

// StandingGaugings returns the gaugings that none replaced.
func (s *Study) StandingGaugings() []Gauging {
	gone := map[string]bool{}
	for _, g := range s.Gaugings {
		gone[g.Replaces] = true
	}
	return slices.DeleteFunc(slices.Clone(s.Gaugings), func(g Gauging) bool { return gone[g.ID] })
}

// blank reports whether a text says nothing.
func blank(s string) bool { return strings.TrimSpace(s) == "" }
