package refdata

import (
	_ "embed"
	"encoding/json"
	"fmt"
)

//go:embed compare/core.json
var compareCore []byte

// Compared is what R's packages give for comparisons, made by compare/core.R.
type Compared struct {
	MadeWith map[string]string `json:"made_with"`
	Cases    []ComparedCase
	Spread   ComparedSpread
}

// ComparedCase is one model of one table.
type ComparedCase struct {
	Name, Scale string
	Ask         struct {
		FallsAs            string `json:"falls_as"`
		Blocks, Covariates []string
	}
	Data       map[string][]any // columns: value, condition, fall, specimen and others
	Deviance   float64
	ResidualSD float64 `json:"residual_sd"`
	Random     []struct {
		Group, Term string
		SD          float64
	}
	Correlations  []struct{ Correlation float64 }
	KenwardRoger  ComparedTables `json:"kenward_roger"`
	Satterthwaite ComparedTables
}

// ComparedTables are those of one kind of degrees of freedom.
type ComparedTables struct {
	Means, Against, Overall, Trends []ComparedRow
	TrendsAgainst                   []ComparedRow `json:"trends_against"`
	Terms                           []LMMTermTest
}

// ComparedRow is a mean, a slope or a difference. What R could not give is nil.
type ComparedRow struct {
	Condition                            string
	Fall                                 any
	Estimate, SE, DF, Lower, Upper, T, P *float64
	Holm, Joint                          *float64
	EachFall                             *float64 `json:"each_fall"` // joint, at one fall
}

// ComparedSpread is models whose residual spread differs by condition: the
// invented drops with specimens, and cotton without, where Welch's test of each
// pair is the answer.
type ComparedSpread struct {
	Drops struct {
		Deviance, Specimen float64
		SD                 map[string]float64
		Overall            []ComparedRow
	}
	Cotton struct {
		Deviance float64
		SD       map[string]float64
		Welch    []struct {
			Condition string
			SE, DF, P float64
		}
	}
}

// CompareCore returns the stored values.
func CompareCore() (Compared, error) {
	var c Compared
	if err := json.Unmarshal(compareCore, &c); err != nil {
		return Compared{}, fmt.Errorf("refdata: compare/core.json: %w", err)
	}
	return c, nil
}
