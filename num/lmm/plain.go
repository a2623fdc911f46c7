package lmm

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Plain estimates contrasts by least squares without any variance, for data
// that hold none: as many fixed effects as rows, or values that these fit
// exactly. Refusals are those of New for Y and X, and a contrast that the data
// do not hold is NaN.
func Plain(y []float64, x mat.Matrix, names []string, l [][]float64) ([]float64, error) {
	m := Model{Y: y, X: x, Names: names}
	if err := m.check(); err != nil {
		return nil, err
	}
	b, err := newBasis(x)
	if err != nil {
		return nil, err
	}
	f := &Fit{frame: &frame{model: m, basis: b, n: len(y)}}
	along := b.project(append([]float64(nil), y...))
	out := make([]float64, len(l))
	for i, li := range l {
		if len(li) != b.given {
			return nil, fmt.Errorf("%w: a contrast of %d coefficients for %d columns of fixed effects", ErrShape, len(li), b.given)
		}
		q, err := f.coordinates(li)
		if err != nil {
			out[i] = math.NaN()
			continue
		}
		out[i] = dot(q, along)
	}
	return out, nil
}
