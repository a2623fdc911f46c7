package uptake

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/problem"
)

// Scale is what weighs.
type Scale struct {
	Resolution    float64 // kg, the step of its last digit; 0 when not known
	Repeatability float64 // kg, standard deviation of one load weighed again; 0 when not known
}

// Uncertainty is the standard uncertainty of one mass: that of a rectangle as wide
// as the resolution, resolution/√12 [JCGM100], and the repeatability.
func (s Scale) Uncertainty() float64 {
	return math.Hypot(s.Resolution/math.Sqrt(12), s.Repeatability)
}

// Weighing is one mass of a specimen in the course of a soak.
type Weighing struct {
	Row       string // what refusals call it: "line 7"
	Specimen  string // empty: a specimen of its own
	Condition string
	Time      float64 // s under water
	Mass, Dry float64 // kg
}

// Point is an uptake at a time.
type Point struct {
	Row       string
	Specimen  string
	Condition string
	Time      float64 // s
	Uptake    float64

	// U is the standard uncertainty from this weighing alone, UDry the part of the
	// dry mass, which all points of a specimen share. 0 when the scale is not known.
	U, UDry float64
}

// grossly is the factor beyond which two masses of one table are taken to be in
// different units: a thousand, less what a rope can be.
const grossly = 100.0

// Uptakes makes points of weighings, W = (m − m₀)/m₀, in time order for each
// specimen, with
//
//	u(W)  = u(m)/m₀,  u_dry(W) = (m/m₀²)·u(m₀)
//
// It refuses, each with its row: a dry mass that is not above zero; a mass that is
// a hundred times another of the table or of its own dry mass, grams among
// kilograms; a wet mass that is below the dry one by more than the scale's
// scatter explains (four standard uncertainties of the difference; at once where
// the scale is not known); a time below zero; a specimen with two dry masses or
// weighed twice at one time. What it takes with a remark comes back in notes.
func Uptakes(weighings []Weighing, scale Scale) (points []Point, notes []string, err error) {
	var list problem.List
	refuse := func(w Weighing, hint, format string, args ...any) {
		list = append(list, problem.New(problem.Invalid, w.Row, format, args...).Hint("%s", hint))
	}
	typical := median(weighings)
	u := scale.Uncertainty()
	for _, w := range weighings {
		switch below := w.Dry - w.Mass; {
		case !(w.Dry > 0) || math.IsInf(w.Dry, 1):
			refuse(w, "weigh the specimen before the soak", "the dry mass is %s", grams(w.Dry))
		case !(w.Mass > 0) || math.IsInf(w.Mass, 1):
			refuse(w, "leave the cell empty where it was not weighed", "the mass is %s", grams(w.Mass))
		case apart(w.Mass, w.Dry):
			refuse(w, "write both in the unit of their title; grams and kilograms differ by 1000", "the mass is %s and the dry mass %s, %.4g times each other", grams(w.Mass), grams(w.Dry), max(w.Mass/w.Dry, w.Dry/w.Mass))
		case apart(w.Mass, typical):
			refuse(w, "write all masses in the unit of the title; grams and kilograms differ by 1000", "the mass is %s, and most of the table's are near %s", grams(w.Mass), grams(typical))
		case below > 4*math.Sqrt2*u && below > 0:
			refuse(w, "weigh the specimen dry again; it lost mass, or another was on the scale", "the wet mass %s is %s below the dry mass", grams(w.Mass), grams(below))
		default:
			if below > 0 {
				notes = append(notes, fmt.Sprintf("%s: the wet mass is %s below the dry one, within the scale's scatter, and taken as it is", w.Row, grams(below)))
			}
			points = append(points, Point{w.Row, w.Specimen, w.Condition, w.Time, (w.Mass - w.Dry) / w.Dry, u / w.Dry, w.Mass / (w.Dry * w.Dry) * u})
		}
	}
	list = append(list, oneDry(weighings)...)
	if err := list.Err(); err != nil {
		return nil, nil, err
	}
	points, more, err := Ordered(points)
	return points, append(notes, more...), err
}

// Ordered puts points into time order for each specimen, the specimens in the
// order met. It refuses a time below zero or a specimen that has two values at
// one time, and remarks on what was not in order. A point without a specimen is
// one of its own.
func Ordered(points []Point) (sorted []Point, notes []string, err error) {
	var list problem.List
	var order []string
	of := map[string][]Point{}
	for i, p := range points {
		if !(p.Time >= 0) || math.IsInf(p.Time, 1) {
			list = append(list, problem.New(problem.Invalid, p.Row, "the time is %g s", p.Time).Hint("times count from when the specimen went under"))
		}
		if math.IsNaN(p.Uptake) || math.IsInf(p.Uptake, 0) {
			list = append(list, problem.New(problem.Invalid, p.Row, "the uptake is %g", p.Uptake))
		}
		key := p.Condition + "\x00" + p.Specimen
		if p.Specimen == "" {
			key = fmt.Sprintf("\x01%d", i)
		}
		if of[key] == nil {
			order = append(order, key)
		}
		of[key] = append(of[key], p)
	}
	for _, key := range order {
		own := of[key]
		if !slices.IsSortedFunc(own, byTime) {
			notes = append(notes, fmt.Sprintf("%s: its times were not in order and were put so", own[0].Specimen))
			slices.SortStableFunc(own, byTime)
		}
		for i := 1; i < len(own); i++ {
			if own[i].Time == own[i-1].Time {
				list = append(list, problem.New(problem.Invalid, own[i].Row, "%s has two values at %s, the other in %s", own[i].Specimen, minutes(own[i].Time), own[i-1].Row).
					Hint("keep the one that counts, or give the specimens different labels"))
			}
		}
		sorted = append(sorted, own...)
	}
	if err := list.Err(); err != nil {
		return nil, nil, err
	}
	return sorted, notes, nil
}

func byTime(a, b Point) int { return cmp.Compare(a.Time, b.Time) }

// oneDry refuses a specimen whose rows state different dry masses.
func oneDry(weighings []Weighing) (list problem.List) {
	first := map[string]Weighing{}
	for _, w := range weighings {
		if w.Specimen == "" {
			continue
		}
		key := w.Condition + "\x00" + w.Specimen
		if have, known := first[key]; !known {
			first[key] = w
		} else if have.Dry != w.Dry {
			list = append(list, problem.New(problem.Invalid, w.Row, "the dry mass of %s is %s, and %s in %s", w.Specimen, grams(w.Dry), grams(have.Dry), have.Row).
				Hint("a specimen has one dry mass; write the one from before the soak in all its rows"))
		}
	}
	return list
}

func apart(a, b float64) bool { return a > grossly*b || b > grossly*a }

// median of the masses that are above zero; NaN without any.
func median(weighings []Weighing) float64 {
	var all []float64
	for _, w := range weighings {
		if w.Mass > 0 {
			all = append(all, w.Mass)
		}
	}
	if len(all) == 0 {
		return math.NaN()
	}
	slices.Sort(all)
	return all[len(all)/2]
}

func grams(kg float64) string { return strings.TrimSpace(fmt.Sprintf("%.6g g", 1000*kg)) }

func minutes(s float64) string { return fmt.Sprintf("%.6g min", s/60) }
