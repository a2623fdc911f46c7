package power

import (
	"encoding/json"
	"math"
)

// orNull is a number, null where there is none.
type orNull float64

// MarshalJSON writes null for what is no finite number.
func (x orNull) MarshalJSON() ([]byte, error) {
	if v := float64(x); math.IsNaN(v) || math.IsInf(v, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(x))
}

// MarshalJSON writes null where no interval has bounds.
func (w Width) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Mean      orNull `json:"mean"`
		P10       orNull `json:"p10"`
		P90       orNull `json:"p90"`
		Unbounded orNull `json:"unbounded"`
	}{orNull(w.Mean), orNull(w.P10), orNull(w.P90), orNull(w.Unbounded)})
}

// MarshalJSON writes null for what none that was looked at shows.
func (s Shown) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Question   string `json:"question"`
		Difference orNull `json:"difference"`
		Margin     orNull `json:"margin"`
	}{s.Question.Name, orNull(s.Difference), orNull(s.Margin)})
}
