package compare

import (
	"encoding/json"
	"fmt"
	"math"
)

// number is a field that may be missing: NaN here, null in JSON, where
// encoding/json would refuse the whole answer.
type number struct {
	key   string
	value *float64
}

func (c *Cell) numbers() []number {
	return []number{
		{"mean", &c.Mean}, {"sd", &c.SD}, {"se", &c.SE}, {"df", &c.DF}, {"lower", &c.Lower}, {"upper", &c.Upper},
	}
}

func (d *Difference) numbers() []number {
	return []number{
		{"difference", &d.Amount},
		{"se", &d.SE},
		{"df", &d.DF},
		{"lower", &d.Lower},
		{"upper", &d.Upper},
		{"t", &d.T},
		{"p", &d.P},
		{"percent", &d.Percent},
		{"percent_lower", &d.PercentLower},
		{"percent_upper", &d.PercentUpper},
		{"percent_df", &d.PercentDF},
		{"percent_p", &d.PercentP},
		{"lower_90", &d.Lower90},
		{"upper_90", &d.Upper90},
		{"percent_lower_90", &d.PercentLower90},
		{"percent_upper_90", &d.PercentUpper90},
	}
}

// MarshalJSON writes null for a number that is not there.
func (c Cell) MarshalJSON() ([]byte, error) {
	return encode(struct {
		Condition string    `json:"condition"`
		Fall      int       `json:"fall"`
		N         int       `json:"n"`
		Specimens []string  `json:"specimens"`
		Values    []float64 `json:"values"`
	}{c.Condition, c.Fall, c.N, c.Specimens, c.Values}, c.numbers())
}

// MarshalJSON writes null for a number that is not there.
func (d Difference) MarshalJSON() ([]byte, error) {
	return encode(struct {
		Condition string `json:"condition"`
		Baseline  string `json:"baseline"`
		Fall      int    `json:"fall"`
		N         int    `json:"n"`
		NBaseline int    `json:"n_baseline"`
	}{d.Condition, d.Baseline, d.Fall, d.N, d.NBaseline}, d.numbers())
}

// answerJSON is an Answer whose Needed may be null.
type answerJSON struct {
	plainAnswer
	Needed *int `json:"needed"`
}

type plainAnswer Answer

// MarshalJSON writes null for a Needed that is not known.
func (a Answer) MarshalJSON() ([]byte, error) {
	out := answerJSON{plainAnswer: plainAnswer(a)}
	if a.Needed >= 0 {
		out.Needed = &a.Needed
	}
	return json.Marshal(out)
}

// UnmarshalJSON reads null, or no entry, as a Needed that is not known.
func (a *Answer) UnmarshalJSON(b []byte) error {
	var in answerJSON
	if err := json.Unmarshal(b, &in); err != nil {
		return err
	}
	*a = Answer(in.plainAnswer)
	a.Needed = Unknown
	if in.Needed != nil {
		a.Needed = *in.Needed
	}
	return nil
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (c *Cell) UnmarshalJSON(b []byte) error {
	type plain Cell
	forget(c.numbers())
	return json.Unmarshal(b, (*plain)(c))
}

// UnmarshalJSON reads null, or no entry, as a number that is not there.
func (d *Difference) UnmarshalJSON(b []byte) error {
	type plain Difference
	forget(d.numbers())
	return json.Unmarshal(b, (*plain)(d))
}

// encode writes head, a struct that is not empty, followed by numbers.
func encode(head any, numbers []number) ([]byte, error) {
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

func forget(numbers []number) {
	for _, n := range numbers {
		*n.value = math.NaN()
	}
}
