package refdata

import (
	_ "embed"
	"encoding/json"
	"fmt"
)

//go:embed uptake/reference.json
var uptakeReference []byte

// UptakeReference is what R's nls and nlme give, made by
// uptake/make_reference.R. Parameters of mixed models are logarithms.
type UptakeReference struct {
	MadeWith map[string]string `json:"made_with"`
	Loblolly struct{ Height, Age, Seed []float64 }
	BOD      struct{ Time, Demand []float64 }
	Soak     struct {
		Minutes, Uptake []float64
		Specimen        []string
	}
	Mixed []struct {
		Name, Method            string
		Diagonal                bool
		Beta, Covariance, Omega []float64
		Sigma, LogLik           float64
	}
	Curves []struct {
		Name  string
		P, SE []float64
		RSS   float64
	}
}

// Uptake returns the stored values.
func Uptake() (UptakeReference, error) {
	var r UptakeReference
	if err := json.Unmarshal(uptakeReference, &r); err != nil {
		return UptakeReference{}, fmt.Errorf("refdata: uptake/reference.json: %w", err)
	}
	return r, nil
}
