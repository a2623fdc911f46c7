package refdata

import (
	_ "embed"
	"encoding/json"
	"fmt"
)

//go:embed lmm/reference.json
var lmmReference []byte

// LMM is what R's packages give for mixed models, made by
// lmm/make_reference.R.
type LMM struct {
	MadeWith map[string]string `json:"made_with"`
	Cases    []LMMCase
	Marginal LMMMarginal
	Unequal  LMMUnequal
	Joint    []LMMJoint
}

// LMMCase is one model of one data set.
type LMMCase struct {
	Name      string
	Y         []float64
	Columns   []string
	X         [][]float64
	Random    []LMMTerm
	REML, ML  LMMEstimates
	Inference LMMInference
}

// LMMTerm is a random term.
type LMMTerm struct {
	Name        string
	Level       []int
	Slope       []float64
	SlopeName   string `json:"slope_name"`
	Independent bool
}

// LMMEstimates is a fit by lme4. Components are named as lme4 names them; the
// residual is among them.
type LMMEstimates struct {
	Deviance   float64
	Beta, SE   []float64
	Sigma      float64
	Components []struct {
		Group      string
		A, B       string
		Covariance float64
	}
}

// LMMInference is by pbkrtest and lmerTest.
type LMMInference struct {
	KRSE  []float64 `json:"kr_se"`
	KRDF  []float64 `json:"kr_df"`
	SatDF []float64 `json:"sat_df"`
	Tests []LMMTest
}

// LMMTest is an F test of contrasts.
type LMMTest struct {
	Name              string
	L                 [][]float64
	KR, Satterthwaite struct{ F, DF1, DF2, Scale, P float64 }
}

// LMMMarginal is a table of means and contrasts by emmeans, and of terms by
// lmerTest.
type LMMMarginal struct {
	Y                         []float64
	Condition, Fall, Specimen []string
	Means                     []LMMMean
	ByFall                    []LMMMean `json:"by_fall"`
	Averaged                  []LMMMean
	TermsKR                   []LMMTermTest `json:"terms_kr"`
	TermsSatterthwaite        []LMMTermTest `json:"terms_satterthwaite"`
}

// LMMMean is a mean or a contrast.
type LMMMean struct {
	Condition, Contrast, Fall string
	EMMean                    float64 `json:"emmean"`
	Estimate, SE, DF          float64
	Lower                     float64 `json:"lower.CL"`
	Upper                     float64 `json:"upper.CL"`
	T                         float64 `json:"t.ratio"`
	P                         float64 `json:"p.value"`
}

// LMMTermTest is a type III test of a term.
type LMMTermTest struct {
	Term           string
	F, DF1, DF2, P float64
}

// LMMUnequal is a model with its own residual spread by sex, by nlme.
type LMMUnequal struct {
	Y        []float64
	X        [][]float64
	Columns  []string
	Level    []int
	Sex      []string
	REML, ML struct {
		Deviance               float64
		Beta, SE               []float64
		Sigma, Ratio, Variance float64
	}
}

// LMMJoint is a multivariate t probability by mvtnorm; DF 0 is the normal.
type LMMJoint struct {
	Correlation   [][]float64
	DF, Bound     float64
	TwoSided      bool `json:"two_sided"`
	Inside, Error float64
}

// LMMReference returns the stored values.
func LMMReference() (LMM, error) {
	var l LMM
	if err := json.Unmarshal(lmmReference, &l); err != nil {
		return LMM{}, fmt.Errorf("refdata: lmm/reference.json: %w", err)
	}
	return l, nil
}
