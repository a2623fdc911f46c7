package main

import (
	"fallwright.example/fall/fit"
	"fallwright.example/figure"
)

// lawNumber is a parameter with its interval; what has no end is null.
type lawNumber struct {
	Name    string   `json:"name"`
	Unit    string   `json:"unit"`
	Value   *float64 `json:"value"`
	SE      *float64 `json:"se"`
	Lower   *float64 `json:"lower"`
	Upper   *float64 `json:"upper"`
	AtBound bool     `json:"at_bound"`
	Open    bool     `json:"open"`
}

func numberOf(p fit.Parameter) lawNumber {
	return lawNumber{p.Name, p.Unit, wallNumber(p.Value), wallNumber(p.SE), wallNumber(p.Lower), wallNumber(p.Upper), p.AtBound, p.Open}
}

type lawPhaseJSON struct {
	Phase string  `json:"phase"`
	Mean  float64 `json:"mean_N"`
	RMS   float64 `json:"rms_N"`
	N     int     `json:"blocks"`
}

type lawFallJSON struct {
	Fall       int            `json:"fall"`
	Name       string         `json:"name"`
	Rest       *float64       `json:"rest_s"` // null for the first
	SD         float64        `json:"left_N"`
	Course     *float64       `json:"left_by_course_N"` // null for falls by themselves
	Noise      float64        `json:"noise_N"`
	Peak       *float64       `json:"peak_force_N"`
	LawPeak    *float64       `json:"peak_force_by_law_N"`
	Absorbed   *float64       `json:"energy_absorbed_J"`
	LawEnergy  *float64       `json:"energy_absorbed_by_law_J"` // null where the rope does not go slack
	Phases     []lawPhaseJSON `json:"phases"`
	Parameters []lawNumber    `json:"parameters"` // of a fit of this fall alone
}

type lawTermJSON struct {
	First lawNumber `json:"first"`
	Last  lawNumber `json:"last"`
}

type lawCourseJSON struct {
	Terms    []lawTermJSON `json:"parameters"`
	Pace     lawNumber     `json:"pace"`
	Recovery *lawNumber    `json:"recovery"` // null where rests are too much alike
	SD       float64       `json:"falls_differ_by"`
}

type lawRankJSON struct {
	Law        string   `json:"law"`
	Parameters int      `json:"parameters"`
	SD         float64  `json:"left_N"`
	Behind     *float64 `json:"aicc_behind"` // null where the samples are too few for it
}

type lawNextJSON struct {
	Law   string  `json:"law"`
	Out   float64 `json:"foretold_to_N"`
	Noise float64 `json:"noise_N"`
}

type lawStateJSON struct {
	Name       string             `json:"name"`
	From       string             `json:"from"`
	Law        string             `json:"law"`
	Specimens  []string           `json:"specimens,omitempty"`
	Freedom    *int               `json:"degrees_of_freedom,omitempty"`
	Parameters map[string]float64 `json:"parameters"`
	Order      []string           `json:"covariance_order"`
	Covariance [][]float64        `json:"covariance"`
	Fitted     map[string]float64 `json:"fitted"`
}

type lawJSON struct {
	Name      string         `json:"name"`
	Law       string         `json:"law"`
	Sentences []string       `json:"sentences"`
	Falls     []lawFallJSON  `json:"falls"`
	Course    *lawCourseJSON `json:"course"` // null for falls by themselves
	Ranks     []lawRankJSON  `json:"laws_tried"`
	Next      []lawNextJSON  `json:"next_fall"`
	States    []lawStateJSON `json:"states"`
	Method    string         `json:"method"`
}

func (a lawAnswer) json() any {
	if a.study != nil {
		return struct {
			Study     string         `json:"study"`
			Invented  bool           `json:"invented"`
			Law       string         `json:"law"`
			Sentences []string       `json:"sentences"`
			States    []lawStateJSON `json:"states"`
			Method    string         `json:"method"`
		}{a.study.Study.Plan.Name, a.study.Study.Plan.Invented, a.study.Name, a.study.Sentences(), statesJSON(a.states), a.study.Method()}
	}
	out := []lawJSON{}
	for _, l := range a.laws {
		out = append(out, l.json())
	}
	return struct {
		Laws []lawJSON `json:"laws"`
	}{out}
}

func (l fittedLaw) json() lawJSON {
	j := lawJSON{
		Name: l.name, Law: l.law.Form.Name, Sentences: l.law.Sentences(), Ranks: []lawRankJSON{}, Next: []lawNextJSON{},
		States: statesJSON(l.states), Method: l.law.Method(),
	}
	for i, r := range l.law.Rows() {
		one := lawFallJSON{
			Fall: r.Number, Name: r.Name, SD: r.SD, Course: wallNumber(r.Course), Noise: r.Noise, Peak: wallNumber(r.MeasuredPeak), LawPeak: wallNumber(r.Peak),
			Absorbed: wallNumber(r.Measured), LawEnergy: wallNumber(r.Energy), Phases: []lawPhaseJSON{}, Parameters: []lawNumber{},
		}
		if r.Rest > 0 {
			one.Rest = &r.Rest
		}
		for _, p := range r.Phases {
			one.Phases = append(one.Phases, lawPhaseJSON{p.Name, p.Mean, p.RMS, p.N})
		}
		for _, p := range l.law.Fits[i].Parameters {
			one.Parameters = append(one.Parameters, numberOf(p))
		}
		j.Falls = append(j.Falls, one)
	}
	if c := l.law.Course; c != nil {
		course := lawCourseJSON{Pace: numberOf(c.Pace), SD: c.SD}
		for _, t := range c.Terms {
			course.Terms = append(course.Terms, lawTermJSON{numberOf(t.First), numberOf(t.Last)})
		}
		if r := numberOf(c.Recovery); r.Value != nil {
			course.Recovery = &r
		}
		j.Course = &course
	}
	for _, r := range l.law.Ranks {
		j.Ranks = append(j.Ranks, lawRankJSON{r.Name, r.Parameters, r.SD, wallNumber(r.Behind)})
	}
	for _, n := range l.law.Next {
		j.Next = append(j.Next, lawNextJSON{n.Name, n.Out, n.Noise})
	}
	return j
}

func statesJSON(states []lawState) []lawStateJSON {
	out := []lawStateJSON{}
	for _, s := range states {
		k := s.known
		j := lawStateJSON{
			Name: s.name, From: s.from, Law: k.Law, Specimens: s.of.Specimens, Parameters: map[string]float64{}, Order: k.Names, Covariance: k.Covariance,
			Fitted: map[string]float64{"strain": k.Fitted.Strain, "rate_per_s": k.Fitted.Rate, "force_N": k.Fitted.Force},
		}
		if len(s.of.Specimens) > 0 {
			j.Freedom = &s.of.Freedom
		}
		for i, n := range k.Names {
			j.Parameters[n] = k.Values[i]
		}
		out = append(out, j)
	}
	return out
}

// picture draws the falls under each other.
func (a lawAnswer) picture() *figure.Scene {
	var falls []figure.FittedFall
	for _, l := range a.laws {
		for _, f := range l.law.Pictures(0) {
			if l.name != "" {
				f.Name = l.name + ", " + f.Name
			}
			falls = append(falls, f)
		}
	}
	return figure.SeriesByLaw(falls, figure.Canvas{Width: 720, Height: 380})
}
