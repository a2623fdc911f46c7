package compare

import (
	"math"
	"slices"

	"fallwright.example/num/lmm"
)

// newSpecimen is what the model expects of one value of a new specimen in a
// condition at a fall, on the model's scale: row holds the coefficients of the
// mean there. The specimen is new and so is the level of every block, another
// rope and another day, and the residual is that of the condition where spreads
// differ. Its limits at 95 % are those of Interval(0.95). NaN where it cannot be
// had; an empty condition or fall is one that the model lacks.
func (m *model) newSpecimen(t *table, row []float64, condition string, fall Fall, by lmm.DF) lmm.Prediction {
	none := lmm.Prediction{Estimate: math.NaN(), SE: math.NaN(), DF: math.NaN()}
	if m.fit == nil {
		return none
	}
	z := make([]float64, len(m.given.Random))
	for k, term := range m.given.Random {
		if term.Slope == nil {
			continue
		}
		x, ok := fall.Number()
		if !ok {
			return none
		}
		z[k] = x
	}
	group := 0
	if m.given.Spread != nil {
		group = slices.Index(t.condition.levels, condition)
	}
	p, err := m.fit.NewValue(row, z, group, by)
	if err != nil {
		return none
	}
	return p
}
