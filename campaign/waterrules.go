package campaign

import (
	"math"
	"slices"
	"strconv"

	"fallwright.example/problem"
)

// water holds that the protocol is one that weighings can be made by.
func (c *checker) water() {
	w := c.plan.Water
	at := func(field string) Place { return Place{Part: WaterPart, Field: field} }
	if w.Definition != "" && w.Definition != UptakeDefinition {
		c.refuse(at("definition"), "%q is no definition of uptake that is computed with", w.Definition).Hint("write %q, or leave it out", UptakeDefinition)
	}
	if w.Ends != "" && w.Ends != "open" && w.Ends != "sealed" {
		c.refuse(at("ends"), "the ends are %q", w.Ends).Hint(`write "open" or "sealed"`)
	}
	for _, v := range []struct {
		field, what string
		value       *float64
		low, high   float64
		unit        string
	}{{"drain", "time to drain", w.Drain, 0, 7 * 24 * 3600, "s"}, {"bath_c", "bath's temperature", w.Celsius, -5, 100, "°C"}, {"depth", "depth", w.Depth, 0, 20, "m"}} {
		if v.value != nil && !(*v.value >= v.low && *v.value <= v.high) {
			c.refuse(at(v.field), "the %s is %g %s", v.what, *v.value, v.unit).Hint("give %g to %g %s, or leave it out", v.low, v.high, v.unit)
		}
	}
	for _, v := range []struct {
		field string
		value float64
	}{{"resolution", w.Resolution}, {"repeatability", w.Repeatability}} {
		if !(v.value >= 0 && v.value <= 1) {
			c.refuse(at(v.field), "the scale's %s is %g kg", v.field, v.value).Hint("give a mass up to 1 kg, such as 0.1 g, or leave it out")
		}
	}
	for i, t := range w.At {
		here := at("at")
		here.Element = itoa(i)
		if t <= 0 || i > 0 && t <= w.At[i-1] {
			c.refuse(here, "a soak of %s", spell(t)).Hint("list the times in their order, each above zero")
		}
	}
}

// What masses can be, our own: of a specimen by its rope's mass per length within a
// factor of offNominal, wet or dry; and wet up to wettest times its dry mass.
const offNominal, wettest = 4.0, 3.0

// times refuses a weighing whose soak does not fit what it is of.
func (w Weighing) times(where string) (list []*problem.Problem) {
	refuse := func(format string, args ...any) *problem.Problem {
		p := problem.New(problem.Invalid, where, format, args...)
		list = append(list, p)
		return p
	}
	if w.Of != AsSaid && !slices.Contains(WeighedAll(), w.Of) {
		refuse("%q is nothing that a weighing is of", w.Of).Hint("write %s", quoteAll(WeighedAll()))
	}
	for _, t := range []struct {
		what string
		s    float64
	}{{"under water", w.Soak}, {"hung up", w.Hung}} {
		if !(t.s >= 0 && t.s <= 366*24*3600) {
			refuse("it was %s for %g s", t.what, t.s).Hint("give a time up to a year, such as 15 min")
		}
	}
	switch {
	case w.IsWet() && w.Soak == 0:
		refuse("it was soaked, and it is not said how long").Hint("say how long the specimen was under water, such as 5 min")
	case w.Of == Drained && w.Hung == 0:
		refuse("it was drained, and it is not said how long").Hint("say how long it hung, or call it soaked if it drained as the protocol says")
	case w.Of == DryMassOf && (w.Soak != 0 || w.Hung != 0):
		refuse("a dry mass after %s under water", Span(w.Soak)).Hint("call it soaked, or dried if it hung to dry")
	}
	return list
}

// mass refuses a mass that the specimen cannot have, with the numbers.
func (s *Study) mass(where string, w Weighing) (list []*problem.Problem) {
	if !positive(w.Mass) {
		return nil
	}
	if p := s.offNominal(where, w); p != nil {
		return append(list, p)
	}
	if !w.IsWet() {
		return nil
	}
	if dry, known := s.DryMass(w.Specimen, w.At); known {
		u := s.Plan.Water.scatter()
		switch {
		case w.Mass < dry-4*math.Sqrt2*u:
			list = append(list, problem.New(problem.Invalid, where, "the wet mass %s is %s below the dry mass %s", Grams(w.Mass), Grams(dry-w.Mass), Grams(dry)).
				Hint("look which specimen is on the scale, and weigh again; mend the dry mass if that is wrong"))
		case w.Mass > wettest*dry:
			list = append(list, problem.New(problem.Invalid, where, "the wet mass %s is %s times the dry mass %s", Grams(w.Mass), figures(w.Mass/dry), Grams(dry)).
				Hint("look whether a hook, a tray or another specimen is on the scale, and weigh again"))
		}
	}
	if w.Of == Soaked {
		if o, twice := s.sameSoak(w); twice {
			list = append(list, problem.New(problem.Conflict, where, "it was weighed after %s under water already: %s", Span(w.Soak), Grams(o.Mass)).
				Hint("correct that one, or weigh the specimen dry before another soak").Hint("the weighing to replace is %s", o.ID))
		}
	}
	return list
}

// offNominal refuses a mass far from that of the piece by its rope's mass per
// length: grams among kilograms, or a slip of the comma.
func (s *Study) offNominal(where string, w Weighing) *problem.Problem {
	sp, _ := s.Plan.Specimen(w.Specimen)
	rope, _ := s.Plan.RopeOf(sp)
	length := sp.To - sp.From
	wanted := length * rope.MassPerLength
	if !(wanted > 0) {
		return nil
	}
	ratio := w.Mass / wanted
	if ratio <= offNominal && ratio >= 1/offNominal {
		return nil
	}
	p := problem.New(problem.Invalid, where, "the mass is %s, and %s m of it at %s g/m weigh %s", Grams(w.Mass), figures(length), figures(1000*rope.MassPerLength), Grams(wanted))
	switch {
	case ratio > 250 && ratio < 4000:
		return p.Hint("grams were written as kilograms: %s is likely meant", Grams(w.Mass/1000))
	case ratio < 1/250. && ratio > 1/4000.:
		return p.Hint("kilograms were written as grams: %s is likely meant", Grams(w.Mass*1000))
	}
	return p.Hint("look at the decimal mark and at which specimen is on the scale, or mend the mass per length in the study file")
}

// sameSoak finds a weighing of the same specimen after the same time of the same
// soak, which began after its last dry or dried mass.
func (s *Study) sameSoak(w Weighing) (Weighing, bool) {
	var found Weighing
	twice := false
	for _, o := range s.Standing() {
		switch {
		case o.Specimen != w.Specimen || o.At.After(w.At) || o.ID == w.Replaces:
		case o.IsDry() || o.Of == Dried:
			twice = false
		case o.Of == Soaked && o.Soak == w.Soak:
			found, twice = o, true
		}
	}
	return found, twice
}

// scatter is the standard uncertainty of one mass, kg: resolution/√12 and the
// repeatability [JCGM100].
func (w Water) scatter() float64 { return math.Hypot(w.Resolution/math.Sqrt(12), w.Repeatability) }

// Grams writes a mass as a scale shows it.
func Grams(kg float64) string {
	if math.Abs(kg) >= 100 {
		return figures(kg) + " kg"
	}
	return figures(1000*kg) + " g"
}

func figures(v float64) string { return strconv.FormatFloat(v, 'g', 5, 64) }
