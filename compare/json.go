package compare

import (
	"encoding/json"
	"fmt"
	"math"

	"fallwright.example/num/lmm"
)

// field is a number that may be missing: NaN here, null in JSON, where
// encoding/json would refuse the whole answer.
type field struct {
	key   string
	value *float64
}

func (m *Mean) numbers() []field {
	return []field{
		{"mean", &m.Mean},
		{"se", &m.SE},
		{"df", &m.DF},
		{"lower", &m.Lower},
		{"upper", &m.Upper},
		{"centre", &m.Centre},
		{"centre_lower", &m.CentreLower},
		{"centre_upper", &m.CentreUpper},
		{"new_lower", &m.NewLower},
		{"new_upper", &m.NewUpper},
		{"sd", &m.SD},
	}
}

func (d *Difference) numbers() []field {
	return []field{
		{"difference", &d.Amount},
		{"se", &d.SE},
		{"df", &d.DF},
		{"lower", &d.Lower},
		{"upper", &d.Upper},
		{"t", &d.T},
		{"p", &d.P},
		{"p_adjusted", &d.PAdjusted},
		{"lower_90", &d.Lower90},
		{"upper_90", &d.Upper90},
		{"percent", &d.Percent},
		{"percent_lower", &d.PercentLower},
		{"percent_upper", &d.PercentUpper},
		{"percent_lower_90", &d.PercentLower90},
		{"percent_upper_90", &d.PercentUpper90},
		{"equivalence_p", &d.EquivalenceP},
		{"equivalence_p_adjusted", &d.EquivalencePAdjusted},
	}
}

func (s *Slope) numbers() []field {
	return []field{{"slope", &s.Slope}, {"se", &s.SE}, {"df", &s.DF}, {"lower", &s.Lower}, {"upper", &s.Upper}}
}

func (t *TermTest) numbers() []field {
	return []field{{"f", &t.F}, {"df1", &t.DF1}, {"df2", &t.DF2}, {"p", &t.P}}
}

// blank is a name, null when there is none.
func blank(name string) *string {
	if name == "" {
		return nil
	}
	return &name
}

// named is what a blank stands for.
func named(name *string) string {
	if name == nil {
		return ""
	}
	return *name
}

// meanHead is a Mean without its numbers.
type meanHead struct {
	Condition *string   `json:"condition"`
	Fall      Fall      `json:"fall"`
	N         int       `json:"n"`
	Specimens []string  `json:"specimens"`
	Values    []float64 `json:"values"`
}

// MarshalJSON writes null for a number or a name that is not there.
func (m Mean) MarshalJSON() ([]byte, error) {
	return encode(meanHead{blank(m.Condition), m.Fall, m.N, m.Specimens, m.Values}, m.numbers())
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (m *Mean) UnmarshalJSON(b []byte) error {
	var head meanHead
	if err := decode(b, &head, m.numbers()); err != nil {
		return err
	}
	m.Condition, m.Fall, m.N, m.Specimens, m.Values = named(head.Condition), head.Fall, head.N, head.Specimens, head.Values
	return nil
}

// differenceHead is a Difference without its numbers.
type differenceHead struct {
	Condition string   `json:"condition"`
	Baseline  string   `json:"baseline"`
	Fall      *Fall    `json:"fall,omitempty"` // nil over falls
	Falls     []Fall   `json:"falls,omitempty"`
	N         int      `json:"n"`
	NBaseline int      `json:"n_baseline"`
	Verdict   *Verdict `json:"verdict"`
}

func (d Difference) head() differenceHead {
	h := differenceHead{d.Condition, d.Baseline, nil, d.Falls, d.N, d.NBaseline, nil}
	if d.Fall != "" {
		h.Fall = &d.Fall
	}
	if d.Verdict != "" {
		h.Verdict = &d.Verdict
	}
	return h
}

// MarshalJSON writes null for a number or a verdict that is not there, and no
// fall over falls.
func (d Difference) MarshalJSON() ([]byte, error) { return encode(d.head(), d.numbers()) }

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (d *Difference) UnmarshalJSON(b []byte) error {
	var head differenceHead
	if err := decode(b, &head, d.numbers()); err != nil {
		return err
	}
	d.Condition, d.Baseline, d.Falls, d.N, d.NBaseline = head.Condition, head.Baseline, head.Falls, head.N, head.NBaseline
	if d.Fall, d.Verdict = "", ""; head.Fall != nil {
		d.Fall = *head.Fall
	}
	if head.Verdict != nil {
		d.Verdict = *head.Verdict
	}
	return nil
}

// atFall is a difference whose fall is written even when the table has none.
type atFall struct{ d Difference }

// MarshalJSON writes null for a fall that the table lacks.
func (a atFall) MarshalJSON() ([]byte, error) {
	h := a.d.head()
	h.Fall = &a.d.Fall
	return encode(h, a.d.numbers())
}

// MarshalJSON writes null for a number or a name that is not there.
func (s Slope) MarshalJSON() ([]byte, error) {
	return encode(struct {
		Condition *string `json:"condition"`
	}{blank(s.Condition)}, s.numbers())
}

// MarshalJSON writes null for a number that is not there.
func (t TermTest) MarshalJSON() ([]byte, error) {
	return encode(struct {
		Term string `json:"term"`
	}{t.Term}, t.numbers())
}

// MarshalJSON writes null for a correlation that is not there.
func (c Correlation) MarshalJSON() ([]byte, error) {
	return encode(struct {
		Group string    `json:"group"`
		Terms [2]string `json:"terms"`
	}{c.Group, c.Terms}, []field{{"correlation", &c.Correlation}})
}

// MarshalJSON writes the analysis as one object; a number that is not there is
// null.
func (a Analysis) MarshalJSON() ([]byte, error) {
	against := make([]atFall, len(a.Against))
	for i, d := range a.Against {
		against[i] = atFall{d}
	}
	return json.Marshal(struct {
		Formula       string        `json:"formula"`
		Said          string        `json:"model"`
		N             int           `json:"n"`
		Method        method        `json:"method"`
		Deviance      any           `json:"reml_deviance"`
		ResidualSD    any           `json:"residual_sd"`
		Spreads       []Spread      `json:"residual_sd_by_condition,omitempty"`
		Random        []Random      `json:"random"`
		Correlations  []Correlation `json:"correlations"`
		Means         []Mean        `json:"means"`
		Against       []atFall      `json:"against_baseline"`
		Overall       []Difference  `json:"overall_against_baseline"`
		Trends        []Slope       `json:"trends"`
		TrendsAgainst []Difference  `json:"trends_against_baseline"`
		Terms         []TermTest    `json:"terms"`
		Record        record        `json:"optimiser"`
		Notes         []string      `json:"notes"`
	}{
		a.Formula, a.Said, a.N, a.method(), orNull(a.Deviance), orNull(a.ResidualSD), a.Spreads, a.Random, a.Correlations,
		a.Means, against, a.Overall, a.Trends, a.TrendsAgainst, a.Terms, record(a.Record), a.Notes,
	})
}

// method is what of Ask the numbers rest on.
type method struct {
	Measure  string  `json:"measure"`
	Unit     string  `json:"unit"`
	Baseline *string `json:"baseline"`
	FallsAs  FallsAs `json:"falls_as"`
	Scale    Scale   `json:"scale"`
	DF       string  `json:"df"`
	Adjust   Adjust  `json:"adjust"`
	EachFall bool    `json:"each_fall"`
	Margin   Margin  `json:"margin"`
}

func (a Analysis) method() method {
	ask := a.Ask
	return method{ask.Measure, ask.Unit, blank(ask.Baseline), ask.FallsAs, ask.Scale, ask.DF.String(), ask.Adjust, ask.EachFall, ask.Margin}
}

// record is an lmm.Record with the keys of this package.
type record lmm.Record

// MarshalJSON writes null for a number that is not there.
func (r record) MarshalJSON() ([]byte, error) {
	return encode(struct {
		Starts      int      `json:"starts"`
		Evaluations int      `json:"evaluations"`
		Iterations  int      `json:"iterations"`
		Converged   bool     `json:"converged"`
		Boundary    []string `json:"boundary"`
	}{r.Starts, r.Evaluations, r.Iterations, r.Converged, append([]string{}, r.Boundary...)},
		[]field{{"gradient", &r.Gradient}, {"decrement", &r.Decrement}})
}

func orNull(x float64) any {
	if !finite(x) {
		return nil
	}
	return x
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// encode writes head, a struct that is not empty, followed by numbers.
func encode(head any, numbers []field) ([]byte, error) {
	out, err := json.Marshal(head)
	if err != nil {
		return nil, err
	}
	out = out[:len(out)-1]
	for _, n := range numbers {
		text := []byte("null")
		if finite(*n.value) {
			if text, err = json.Marshal(*n.value); err != nil {
				return nil, err
			}
		}
		out = fmt.Appendf(out, ",%q:%s", n.key, text)
	}
	return append(out, '}'), nil
}

// decode reads head and numbers; what is not there is NaN.
func decode(b []byte, head any, numbers []field) error {
	if err := json.Unmarshal(b, head); err != nil {
		return err
	}
	var all map[string]json.RawMessage
	if err := json.Unmarshal(b, &all); err != nil {
		return err
	}
	for _, n := range numbers {
		*n.value = math.NaN()
		if text, there := all[n.key]; there && string(text) != "null" {
			if err := json.Unmarshal(text, n.value); err != nil {
				return err
			}
		}
	}
	return nil
}
