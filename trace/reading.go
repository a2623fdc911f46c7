package trace

import (
	"encoding/json"
	"math"
)

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
	Drift      Value  `json:"drift_Nps"` // of zero, from the quiet stretch
	Noise      Value  `json:"noise_N"`
	Resolution Value  `json:"resolution_N"` // smallest step of the force as recorded

	PeakRecorded   Value   `json:"peak_recorded_N"` // the largest sample as recorded, pull positive: no tare, filter or edge
	PeakForce      Value   `json:"peak_force_N"`
	TimeToPeak     Value   `json:"time_to_peak_s"`
	RiseTime       Value   `json:"rise_time_s"` // from 10 to 90 % of the first contact's peak
	PeakJerk       Value   `json:"peak_jerk_Nps"`
	FirstImpulse   Value   `json:"impulse_first_Ns"`
	ImpactSpeed    Value   `json:"impact_speed_mps"`   // from the trace alone
	GeometrySpeed  Value   `json:"geometry_speed_mps"` // of a free fall of the drop
	GateSpeed      Value   `json:"gate_speed_mps"`     // at first contact, from the light gate
	GuideFriction  Value   `json:"guide_friction"`     // share of the energy of free fall lost on the way
	MaxStretch     Value   `json:"max_stretch_m"`
	EnergyIn       Value   `json:"energy_in_J"`
	EnergyAbsorbed Value   `json:"energy_absorbed_J"`
	EnergyReturned Value   `json:"energy_returned_J"`
	ReboundSpeed   Value   `json:"rebound_speed_mps"`
	Restitution    Value   `json:"restitution"`
	Secant         Value   `json:"secant_stiffness_Npm"`
	Tangent        Value   `json:"tangent_stiffness_Npm"`
	LossFactor     Value   `json:"loss_factor"`
	LogDecrement   Value   `json:"log_decrement"` // of the last swings, with the rope taut
	DampingRatio   Value   `json:"damping_ratio"`
	HangWeight     Value   `json:"hang_weight_N"`
	GainCheck      Value   `json:"gain_check"`        // hang weight over m g
	ClosingStretch Value   `json:"closing_stretch_m"` // of the integration, where the rope goes tight again
	ClosingSpeed   Value   `json:"closing_speed_mps"` // of the integration, where the mass hangs still
	RecordedWork   Value   `json:"recorded_work_J"`   // ∫F dx over a recorded stretch
	WorkToPeak     Value   `json:"recorded_work_to_peak_J"`
	BouncePeaks    []Value `json:"bounce_peaks_N"`

	Contacts    []Contact     `json:"contacts"`
	Uncertainty Uncertainties `json:"uncertainty,omitempty"`
	Steps       []Step        `json:"steps"`
	Notes       []Note        `json:"notes"`
}

// Unread is a reading with nothing in it yet.
func Unread() Reading {
	r := Reading{BouncePeaks: []Value{}, Contacts: []Contact{}}
	for _, v := range r.all() {
		*v = None()
	}
	return r
}

// all is every single value of the reading.
func (r *Reading) all() []*Value {
	return []*Value{
		&r.SampleRate,
		&r.Tare,
		&r.Drift,
		&r.Noise,
		&r.Resolution,
		&r.PeakRecorded,
		&r.PeakForce,
		&r.TimeToPeak,
		&r.RiseTime,
		&r.PeakJerk,
		&r.FirstImpulse,
		&r.ImpactSpeed,
		&r.GeometrySpeed,
		&r.GateSpeed,
		&r.GuideFriction,
		&r.MaxStretch,
		&r.EnergyIn,
		&r.EnergyAbsorbed,
		&r.EnergyReturned,
		&r.ReboundSpeed,
		&r.Restitution,
		&r.Secant,
		&r.Tangent,
		&r.LossFactor,
		&r.LogDecrement,
		&r.DampingRatio,
		&r.HangWeight,
		&r.GainCheck,
		&r.ClosingStretch,
		&r.ClosingSpeed,
		&r.RecordedWork,
		&r.WorkToPeak,
	}
}

// UnmarshalJSON reads a reading; a value that an older program did not take is
// missing.
func (r *Reading) UnmarshalJSON(b []byte) error {
	type plain Reading
	p := plain(Unread())
	if err := json.Unmarshal(b, &p); err != nil {
		return err
	}
	*r = Reading(p)
	return nil
}

// Contact is one stretch of time with the rope taut, from the force leaving
// zero to its return. The values are those of the reading, for this contact.
type Contact struct {
	From   int     `json:"from"`      // first sample at or after the start
	To     int     `json:"to"`        // last sample at or before the end
	Start  float64 `json:"start_s"`   // on the recording's clock, between samples
	End    float64 `json:"end_s"`     // likewise
	Peak   float64 `json:"peak_N"`    // the largest force
	PeakAt float64 `json:"peak_at_s"` // on the recording's clock
	Begun  bool    `json:"begun"`     // the force was already there when the recording began
	Open   bool    `json:"open"`      // the force had not returned when the recording ended

	Flight         Value `json:"flight_after_s"` // slack until the next contact
	Impulse        Value `json:"impulse_Ns"`
	ImpactSpeed    Value `json:"impact_speed_mps"` // at which the motion starts
	MaxStretch     Value `json:"max_stretch_m"`    // from where this contact began
	EnergyIn       Value `json:"energy_in_J"`
	EnergyAbsorbed Value `json:"energy_absorbed_J"`
	ReboundSpeed   Value `json:"rebound_speed_mps"`
	Restitution    Value `json:"restitution"`
}

// blank makes every value of a contact missing.
func (c *Contact) blank() {
	for _, v := range []*Value{
		&c.Flight,
		&c.Impulse,
		&c.ImpactSpeed,
		&c.MaxStretch,
		&c.EnergyIn,
		&c.EnergyAbsorbed,
		&c.ReboundSpeed,
		&c.Restitution,
	} {
		*v = None()
	}
}

// UnmarshalJSON reads a contact; a value that an older program did not take is
// missing.
func (c *Contact) UnmarshalJSON(b []byte) error {
	type plain Contact
	var with Contact
	with.blank()
	p := plain(with)
	if err := json.Unmarshal(b, &p); err != nil {
		return err
	}
	*c = Contact(p)
	return nil
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
