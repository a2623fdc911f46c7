package trace

import (
	"encoding/json"
	"math"
)

// Settings is what must be known beside the trace. Zero means not known,
// except for Class, where zero means no filter.
type Settings struct {
	Class   int     // CFC of the filter: 60, 180, 600 or 1000; 0 for none
	Mass    float64 // kg, the falling mass
	Drop    float64 // m, free fall before the rope goes tight
	Length  float64 // m, free length of rope
	Gravity float64 // m/s2; 0 means the standard value, 9.80665
}

// Value is a number that may be missing: NaN in memory, null in JSON.
type Value float64

// None is the missing Value.
func None() Value { return Value(math.NaN()) }

// Known reports whether v is there.
func (v Value) Known() bool { return !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0) }

// MarshalJSON writes null for a missing value.
func (v Value) MarshalJSON() ([]byte, error) {
	if !v.Known() {
		return []byte("null"), nil
	}
	return json.Marshal(float64(v))
}

// UnmarshalJSON reads null as a missing value.
func (v *Value) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*v = None()
		return nil
	}
	return json.Unmarshal(b, (*float64)(v))
}

// Reading is the values taken from one trace. Times count from first contact,
// stretch downward, Rebound upward. docs/METHODS.md defines each value.
type Reading struct {
	SampleRate Value  `json:"sample_rate_Hz"`
	Samples    int    `json:"samples"`
	Unit       string `json:"unit_read"`
	Class      int    `json:"cfc"` // 0 for none
	Tare       Value  `json:"tare_N"`
	Noise      Value  `json:"noise_N"`

	PeakForce      Value   `json:"peak_force_N"`
	TimeToPeak     Value   `json:"time_to_peak_s"`
	FirstImpulse   Value   `json:"impulse_first_Ns"`
	ImpactSpeed    Value   `json:"impact_speed_mps"`
	MaxStretch     Value   `json:"max_stretch_m"`
	EnergyIn       Value   `json:"energy_in_J"`
	EnergyAbsorbed Value   `json:"energy_absorbed_J"`
	ReboundSpeed   Value   `json:"rebound_speed_mps"`
	BouncePeaks    []Value `json:"bounce_peaks_N"`

	Contacts []Contact `json:"contacts"`
	Steps    []Step    `json:"steps"`
	Notes    []Note    `json:"notes"`
}

// Contact is one stretch of time with the rope taut, from the force leaving
// zero to its return.
type Contact struct {
	From   int     `json:"from"`      // first sample at or after the start
	To     int     `json:"to"`        // last sample at or before the end
	Start  float64 `json:"start_s"`   // on the recording's clock, between samples
	End    float64 `json:"end_s"`     // likewise
	Peak   float64 `json:"peak_N"`    // the largest force
	PeakAt float64 `json:"peak_at_s"` // on the recording's clock
	Begun  bool    `json:"begun"`     // the force was already there when the recording began
	Open   bool    `json:"open"`      // the force had not returned when the recording ended
}

// Grade is the worst grade among the notes.
func (r *Reading) Grade() Grade {
	worst := Said
	for _, n := range r.Notes {
		switch {
		case n.Grade == Missing:
			return Missing
		case n.Grade == Doubtful:
			worst = Doubtful
		}
	}
	return worst
}
