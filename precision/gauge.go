package precision

import (
	"math"

	"fallwright.example/num/lmm"
	"fallwright.example/num/varcomp"
	"fallwright.example/problem"
)

// Trial is one value: of a part (a rope, a specimen that can be read again) by
// an operator (a rig, a person).
type Trial struct {
	Part, Operator string
	Value          float64
}

// GaugeOptions are the choices of a gauge study.
type GaugeOptions struct {
	// Nested: each operator has parts of their own, as when a reading uses the
	// part up. Otherwise parts and operators are crossed.
	Nested bool
	// Pool puts the interaction of part and operator into repeatability. It is
	// never done unasked.
	Pool bool
	// Tolerance is the width between the specification's limits, 0 for none.
	Tolerance float64
	// Multiple is how many standard deviations are set against the tolerance;
	// 0 means 6.
	Multiple float64
}

// Gauge is a gauge study taken apart.
type Gauge struct {
	Crossed     bool        `json:"crossed"`
	Interaction bool        `json:"interaction"` // in the model
	Parts       int         `json:"parts"`
	Operators   int         `json:"operators"`
	N           int         `json:"readings"`
	Balanced    bool        `json:"balanced"`
	Mean        Estimate    `json:"mean"`
	Lines       []Line      `json:"anova"`
	Components  []Component `json:"components"`

	Repeatability   Source     `json:"repeatability"`
	Reproducibility Source     `json:"reproducibility"` // operators, and their interaction with parts
	RandR           Source     `json:"gauge"`           // both together
	PartToPart      Source     `json:"part_to_part"`
	Total           Component  `json:"total"`
	Distinct        *float64   `json:"distinct_categories"` // 1.41·part SD/gauge SD
	DistinctLimits  *Interval  `json:"distinct_categories_interval"`
	Tolerance       *Tolerance `json:"tolerance"`
	Notes           []string   `json:"notes"`
}

// Source is a source of spread as a share of the whole study's.
type Source struct {
	Component
	// PercentStudy is 100·SD/total SD; shares of SD do not add up to 100.
	PercentStudy  float64   `json:"percent_of_study"`
	PercentLimits *Interval `json:"percent_of_study_interval"`
}

// Tolerance is the gauge against a specification.
type Tolerance struct {
	Width    float64   `json:"width"`
	Multiple float64   `json:"multiple"`
	Ratio    float64   `json:"precision_to_tolerance"` // multiple·gauge SD/width
	Interval *Interval `json:"interval"`
}

// distinct is 1.41 as the gauge study has it, √2 rounded (common practice; no
// source at hand).
const distinct = 1.41

// GaugeStudy takes a gauge study apart: repeatability (the same operator on the
// same part), reproducibility (operators, and how they differ from part to
// part), and what the parts themselves differ by.
//
// All factors are taken as random. Components come from the sums of squares
// (num/varcomp) and by REML (num/lmm), intervals from the modified large-sample
// method, those of shares by its inversion. With one reading of each part by
// each operator the interaction cannot be told from repeats; it is then pooled,
// and a note says so.
//
// It refuses values that are no numbers, rows without part or operator, fewer
// than two of either, and nothing repeated.
func GaugeStudy(trials []Trial, o GaugeOptions) (*Gauge, error) {
	if err := checkTrials(trials, o); err != nil {
		return nil, err
	}
	y := make([]float64, len(trials))
	for i, t := range trials {
		y[i] = t.Value
	}
	part, parts := numbered(len(y), func(i int) string { return trials[i].Part })
	operator, operators := numbered(len(y), func(i int) string { return trials[i].Operator })
	both, cells := numbered(len(y), func(i int) string { return trials[i].Part + "\x00" + trials[i].Operator })
	out := &Gauge{Crossed: !o.Nested, Parts: len(parts), Operators: len(operators), N: len(y)}
	a := &analysis{}
	var err error
	var terms []lmm.Term
	sources := nestedSources
	if o.Nested {
		out.Parts = len(cells)
		terms = []lmm.Term{{Name: "operator", Level: operator}, {Name: "part", Level: both}}
		a.table, err = varcomp.Nested(y, []varcomp.Factor{{Name: "operator", Level: operator}, {Name: "part", Level: both}}, Repeat)
	} else {
		out.Interaction = !o.Pool && len(cells) < len(y)
		if !o.Pool && !out.Interaction {
			a.say("one reading of each part by each operator: the interaction cannot be told from repeats and is counted with them")
		}
		terms, sources = crossedModel(part, operator, both, out.Interaction)
		a.table, err = varcomp.Crossed(y, varcomp.Factor{Name: "part", Level: part}, varcomp.Factor{Name: "operator", Level: operator}, out.Interaction, Repeat)
	}
	if err != nil {
		return nil, refuse(err, "a gauge study needs two parts, two operators and something repeated; parts that one operator alone has are nested")
	}
	if a.usable() {
		a.reml(y, terms)
	}
	out.fill(a, sources, o)
	return out, nil
}

// crossedModel is what REML fits and what the lines of the table stand for.
func crossedModel(part, operator, both []int, interaction bool) ([]lmm.Term, sources) {
	terms := []lmm.Term{{Name: "part", Level: part}, {Name: "operator", Level: operator}, {Name: "interaction", Level: both}}
	if interaction {
		return terms, crossedSources
	}
	return terms[:2], pooledSources
}

func checkTrials(trials []Trial, o GaugeOptions) error {
	refused := checkValues(len(trials), func(i int) float64 { return trials[i].Value }, reading)
	for i, t := range trials {
		if t.Part == "" || t.Operator == "" {
			refused = append(refused, problem.New(problem.Invalid, reading(i), "it has no part or no operator").Hint("name both in each row"))
		}
	}
	if o.Tolerance < 0 || math.IsNaN(o.Tolerance) || math.IsInf(o.Tolerance, 0) {
		refused = append(refused, problem.New(problem.Invalid, "tolerance", "it is %g, and has to be the width between two limits", o.Tolerance))
	}
	if o.Nested && o.Pool {
		refused = append(refused, problem.New(problem.Invalid, "", "nested parts have no interaction with operators to pool"))
	}
	return refused.Err()
}

// sources says which lines make up what, as weights.
type sources struct{ part, reproducibility, repeat []float64 }

var (
	crossedSources = sources{[]float64{1, 0, 0, 0}, []float64{0, 1, 1, 0}, []float64{0, 0, 0, 1}}
	pooledSources  = sources{[]float64{1, 0, 0}, []float64{0, 1, 0}, []float64{0, 0, 1}}
	nestedSources  = sources{[]float64{0, 1, 0}, []float64{1, 0, 0}, []float64{0, 0, 1}}
)

func (g *Gauge) fill(a *analysis, s sources, o GaugeOptions) {
	g.Balanced, g.Lines, g.Mean = a.table.Balanced, a.lines(), a.mean()
	all, gauge := make([]float64, len(g.Lines)), make([]float64, len(g.Lines))
	for i, l := range g.Lines {
		one := make([]float64, len(g.Lines))
		one[i], all[i], gauge[i] = 1, 1, s.reproducibility[i]+s.repeat[i]
		g.Components = append(g.Components, a.sum(l.Source, one))
	}
	g.Total = a.sum("total", all)
	g.Repeatability = a.share("repeatability", s.repeat, all)
	g.Reproducibility = a.share("reproducibility", s.reproducibility, all)
	g.RandR = a.share("gauge", gauge, all)
	g.PartToPart = a.share("part to part", s.part, all)
	if g.RandR.SD > 0 {
		g.Distinct = known(distinct * g.PartToPart.SD / g.RandR.SD)
		// Part variance over gauge variance is 1/ρ − 1 with ρ the gauge's share.
		if l := g.RandR.PercentLimits; l != nil && l.Lower > 0 {
			of := func(percent float64) float64 { return distinct * math.Sqrt(max(0, 1/square(percent/100)-1)) }
			g.DistinctLimits = &Interval{of(l.Upper), of(l.Lower)}
		}
	}
	if o.Tolerance > 0 {
		g.Tolerance = tolerance(g.RandR, o)
	}
	a.common()
	if g.Operators < 5 {
		a.say("%d operators: reproducibility rests on %d; see its interval", g.Operators, g.Operators)
	}
	g.Notes = append([]string{}, a.notes...)
}

// share is a source and its share of the study.
func (a *analysis) share(name string, weights, all []float64) Source {
	out := Source{Component: a.sum(name, weights)}
	total := math.Sqrt(a.total())
	if total == 0 {
		return out
	}
	out.PercentStudy = 100 * out.SD / total
	if low, high := a.table.Share(weights, all, level); out.Interval != nil {
		out.PercentLimits = &Interval{100 * math.Sqrt(low), 100 * math.Sqrt(high)}
	}
	return out
}

func tolerance(gauge Source, o GaugeOptions) *Tolerance {
	t := &Tolerance{Width: o.Tolerance, Multiple: o.Multiple}
	if t.Multiple == 0 {
		t.Multiple = 6
	}
	scale := t.Multiple / t.Width
	t.Ratio = scale * gauge.SD
	if i := gauge.Interval; i != nil {
		t.Interval = &Interval{scale * i.Lower, scale * i.Upper}
	}
	return t
}
