package refdata

import (
	_ "embed"
	"encoding/json"
	"fmt"
)

//go:embed fall/reference.json
var fallReference []byte

// Falls are falls drawn at random as SciPy simulates them, made by
// fall/make_reference.py.
type Falls struct {
	MadeWith string `json:"made_with"`
	Cases    []FallCase
}

// FallCase is one fall, in SI; contacts are start, end, peak, and when it peaks.
type FallCase struct {
	Law            string
	Parameters     map[string]float64
	Mass           float64
	Drop           float64
	Length         float64
	Friction       float64
	ImpactSpeed    float64 `json:"impact_speed"`
	MaxStretch     float64 `json:"max_stretch"`
	EnergyIn       float64 `json:"energy_in"`
	EnergyAbsorbed float64 `json:"energy_absorbed"`
	ReboundSpeed   float64 `json:"rebound_speed"`
	Contacts       [][4]float64
}

// FallReference returns the stored falls.
func FallReference() (Falls, error) {
	var f Falls
	if err := json.Unmarshal(fallReference, &f); err != nil {
		return Falls{}, fmt.Errorf("refdata: fall/reference.json: %w", err)
	}
	return f, nil
}
