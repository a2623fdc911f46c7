package lmm

import (
	"fmt"
	"slices"
)

// Holm adjusts p values so that the chance of any false claim among them is
// held, whatever their dependence: sorted upwards, the i-th of k is multiplied
// by k − i + 1, never below the one before, never above 1, [Holm1979].
// It returns ErrRange for a value that is no probability.
func Holm(p []float64) ([]float64, error) {
	order := make([]int, len(p))
	for i, v := range p {
		if !(v >= 0 && v <= 1) {
			return nil, fmt.Errorf("%w: p value %d is %g", ErrRange, i+1, v)
		}
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case p[a] < p[b]:
			return -1
		case p[a] > p[b]:
			return 1
		}
		return 0
	})
	out, floor := make([]float64, len(p)), 0.0
	for rank, i := range order {
		floor = max(floor, min(1, float64(len(p)-rank)*p[i]))
		out[i] = floor
	}
	return out, nil
}
