package main

import (
	"math"

	"fallwright.example/trace"
	"fallwright.example/uptake"
)

// soakOut is the JSON of soak. docs/FORMATS.md describes it.
type soakOut struct {
	Table      string             `json:"table"`
	Conditions []soakConditionOut `json:"conditions"`
	Baseline   string             `json:"baseline,omitempty"`
	Contrasts  []soakContrastOut  `json:"differences"`
	Limit      soakLimitOut       `json:"pass_limit"`
	Notes      []string           `json:"notes"`
}

type soakConditionOut struct {
	Condition  string          `json:"condition"`
	State      uptake.State    `json:"state"`
	Sentence   string          `json:"sentence"`
	Kind       uptake.Kind     `json:"kind"`
	Specimens  int             `json:"specimens"`
	Law        string          `json:"law"`
	Formula    string          `json:"formula"`
	Parameters []soakTermOut   `json:"parameters"`
	Saturation soakEstimateOut `json:"saturation"`
	Times      []soakTimeOut   `json:"times"`
	At         []soakAtOut     `json:"at"`
	Longer     trace.Value     `json:"soak_to_see_the_end_s"`
	Sigma      trace.Value     `json:"residual_sd"`
	BetweenW   trace.Value     `json:"sd_of_ln_saturation_between_specimens"`
	BetweenT   trace.Value     `json:"sd_of_ln_time_between_specimens"`
	AICc       trace.Value     `json:"aicc"`
	Tried      []soakTriedOut  `json:"laws"`
	Points     []soakPointOut  `json:"weighings"`
	Notes      []string        `json:"notes"`
}

type soakEstimateOut struct {
	Value trace.Value `json:"value"`
	SE    trace.Value `json:"se"`
	Lower trace.Value `json:"lower"`
	Upper trace.Value `json:"upper"` // null where it is open
	Open  bool        `json:"open"`
}

type soakTimeOut struct {
	Share float64 `json:"share"`
	soakEstimateOut
}

type soakAtOut struct {
	Time float64 `json:"time_s"`
	soakEstimateOut
}

type soakTermOut struct {
	Name  string      `json:"name"`
	Value trace.Value `json:"value"`
	SE    trace.Value `json:"se"`
	Unit  string      `json:"unit"`
}

type soakTriedOut struct {
	Law        string      `json:"law"`
	Parameters int         `json:"parameters"`
	AICc       trace.Value `json:"aicc"`
	Sigma      trace.Value `json:"residual_sd"`
	Saturation trace.Value `json:"saturation"` // null where it is open
}

type soakPointOut struct {
	Row      string      `json:"row"`
	Specimen string      `json:"specimen"`
	Time     float64     `json:"time_s"`
	Uptake   float64     `json:"uptake"`
	U        trace.Value `json:"u_weighing"`
	UDry     trace.Value `json:"u_dry_mass"`
	Residual trace.Value `json:"residual"`
}

type soakContrastOut struct {
	Quantity  uptake.Quantity `json:"quantity"`
	Condition string          `json:"condition"`
	Baseline  string          `json:"baseline"`
	Time      trace.Value     `json:"time_s"`
	Estimate  trace.Value     `json:"estimate"`
	SE        trace.Value     `json:"se"`
	DF        trace.Value     `json:"df"`
	Lower     trace.Value     `json:"lower"`
	Upper     trace.Value     `json:"upper"`
	P         trace.Value     `json:"p"`
	PHolm     trace.Value     `json:"p_adjusted"`
	How       string          `json:"how"`
	Said      string          `json:"said,omitempty"`
	Marks     []string        `json:"marks,omitempty"`
}

type soakLimitOut struct {
	Uptake float64 `json:"uptake"`
	Time   float64 `json:"time_s"`
	Said   string  `json:"said"`
}

func estimateOut(e uptake.Estimate) soakEstimateOut {
	return soakEstimateOut{trace.Value(e.Value), trace.Value(e.SE), trace.Value(e.Lower), trace.Value(e.Upper), e.Open()}
}

func soakAnswer(r *soaked) soakOut {
	out := soakOut{
		Table: r.name, Baseline: r.baseline, Conditions: []soakConditionOut{}, Contrasts: []soakContrastOut{},
		Limit: soakLimitOut{uptake.PassLimit, uptake.PassLimitTime, uptake.PassLimitSaid}, Notes: append([]string{}, r.notes...),
	}
	for _, a := range r.answers {
		out.Conditions = append(out.Conditions, soakCondition(r, a))
	}
	for _, c := range r.contrasts {
		out.Contrasts = append(out.Contrasts, soakContrastOut{
			c.Quantity, c.A, c.B, trace.Value(c.Time), trace.Value(c.Estimate), trace.Value(c.SE), trace.Value(c.DF),
			trace.Value(c.Lower), trace.Value(c.Upper), trace.Value(c.P), trace.Value(c.PHolm), c.How, c.Said, c.Marks,
		})
	}
	return out
}

func soakCondition(r *soaked, a *uptake.Answer) soakConditionOut {
	one := soakConditionOut{
		Condition: a.Condition, State: a.State, Sentence: a.Sentence(), Kind: a.Kind, Specimens: a.Specimens, Law: a.Law.Name, Formula: a.Law.Formula,
		Saturation: estimateOut(a.Saturation), Longer: trace.Value(a.Longer), Sigma: trace.Value(a.Sigma),
		BetweenW: trace.Value(a.BetweenSaturation), BetweenT: trace.Value(a.BetweenTime), AICc: trace.Value(a.AICc),
		Times: []soakTimeOut{}, At: []soakAtOut{}, Notes: append([]string{}, a.Notes...),
	}
	for i := range a.Law.Terms(a.P) {
		t, se := a.Term(i)
		one.Parameters = append(one.Parameters, soakTermOut{t.Name, trace.Value(t.Value), trace.Value(se), t.Unit})
	}
	for _, t := range a.Times {
		one.Times = append(one.Times, soakTimeOut{t.Share, estimateOut(t.Estimate)})
	}
	for _, t := range r.at {
		if t <= a.Last() {
			one.At = append(one.At, soakAtOut{t, estimateOut(a.At(t))})
		}
	}
	for _, f := range a.Tried {
		end := f.Saturation.Value
		if f.Saturation.Open() {
			end = math.NaN()
		}
		one.Tried = append(one.Tried, soakTriedOut{f.Law.Name, f.Law.Parameters(), trace.Value(f.AICc), trace.Value(f.Sigma), trace.Value(end)})
	}
	for i, p := range a.Points {
		u, dry := trace.Value(p.U), trace.Value(p.UDry)
		if p.U == 0 {
			u, dry = trace.None(), trace.None()
		}
		one.Points = append(one.Points, soakPointOut{p.Row, p.Specimen, p.Time, p.Uptake, u, dry, trace.Value(a.Residuals[i])})
	}
	return one
}
