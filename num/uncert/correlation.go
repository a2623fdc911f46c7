package uncert

import (
	"fmt"
	"math"
)

// pivotLeast is how far below zero a pivot of the factorisation may fall and
// still be zero: rounding leaves about n·1e-16 of the unit diagonal.
const pivotLeast = 1e-12

// factor returns the lower triangle L with L·Lᵀ = corr, the identity for nil.
// Fully correlated inputs (r = ±1) are allowed: their pivot is zero. It refuses
// a matrix that is not n × n, symmetric, of unit diagonal, finite, or that no
// set of quantities can have (a negative pivot).
func factor(corr [][]float64, n int) ([][]float64, error) {
	if err := checkCorrelation(corr, n); err != nil {
		return nil, err
	}
	l := make([][]float64, n)
	for i := range l {
		l[i] = make([]float64, n)
		if corr == nil {
			l[i][i] = 1
			continue
		}
		for j := range i {
			left := corr[i][j] - dot(l[i][:j], l[j][:j])
			switch {
			case l[j][j] > 0:
				l[i][j] = left / l[j][j]
			case math.Abs(left) > math.Sqrt(pivotLeast):
				return nil, impossible()
			}
		}
		pivot := corr[i][i] - dot(l[i][:i], l[i][:i])
		if pivot < -pivotLeast {
			return nil, impossible()
		}
		l[i][i] = math.Sqrt(max(0, pivot))
	}
	return l, nil
}

func impossible() error {
	return fmt.Errorf("%w: the matrix is not positive definite, no quantities can be correlated like that", ErrCorrelation)
}

func checkCorrelation(corr [][]float64, n int) error {
	if corr == nil {
		return nil
	}
	if len(corr) != n {
		return fmt.Errorf("%w: %d rows for %d inputs", ErrCorrelation, len(corr), n)
	}
	for i, row := range corr {
		if len(row) != n {
			return fmt.Errorf("%w: %d values in row %d for %d inputs", ErrCorrelation, len(row), i+1, n)
		}
		for j, r := range row[:i+1] {
			switch {
			case i == j && r != 1:
				return fmt.Errorf("%w: %g of input %d with itself, it is 1", ErrCorrelation, r, i+1)
			case !(math.Abs(r) <= 1):
				return fmt.Errorf("%w: %g of inputs %d and %d, it lies between -1 and 1", ErrCorrelation, r, j+1, i+1)
			case r != corr[j][i]:
				return fmt.Errorf("%w: %g of inputs %d and %d one way and %g the other", ErrCorrelation, r, j+1, i+1, corr[j][i])
			}
		}
	}
	return nil
}

func between(corr [][]float64, i, j int) float64 {
	switch {
	case i == j:
		return 1
	case corr == nil:
		return 0
	}
	return corr[i][j]
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += v * b[i]
	}
	return sum
}
