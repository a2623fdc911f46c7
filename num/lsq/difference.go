package lsq

import "math"

// differentiate fills the Jacobian at p: as given, or by differences. fine is
// for the minimum itself.
func (s *solver) differentiate(fine bool) {
	if s.problem.Jacobian != nil {
		s.problem.Jacobian(s.p, s.jacobian)
		return
	}
	at := append([]float64(nil), s.p...)
	for k := range s.n {
		if !(fine && s.sevenPoints(at, k)) && !s.threePoints(at, k) {
			s.column(k, func(int) float64 { return 0 })
		}
	}
}

func (s *solver) size(k int) float64 { return max(math.Abs(s.p[k]), 1e-2*s.typical[k]) }

func (s *solver) within(v float64, k int) bool { return v >= s.lower[k] && v <= s.upper[k] }

// threePoints takes a central difference of width ε^⅓, good to ε^⅔; beside a
// bound a one-sided one of the same order.
func (s *solver) threePoints(at []float64, k int) bool {
	h := math.Cbrt(0x1p-52) * s.size(k)
	if s.within(at[k]+h, k) && s.within(at[k]-h, k) && s.moved(at, k, h, s.plus) && s.moved(at, k, -h, s.minus) {
		s.column(k, func(i int) float64 { return (s.plus[i] - s.minus[i]) / (2 * h) })
		return true
	}
	for _, h := range []float64{h, -h} {
		if s.within(at[k]+2*h, k) && s.moved(at, k, h, s.plus) && s.moved(at, k, 2*h, s.minus) {
			s.column(k, func(i int) float64 { return (4*s.plus[i] - s.minus[i] - 3*s.r[i]) / (2 * h) })
			return true
		}
	}
	return false
}

// sevenPoints takes the central difference of sixth order and width ε^⅕:
// rounding leaves ε^⅘, and a model that bends within a tenth of the parameter
// hardly more.
func (s *solver) sevenPoints(at []float64, k int) bool {
	h := math.Pow(0x1p-52, 0.2) * s.size(k)
	if !s.within(at[k]+3*h, k) || !s.within(at[k]-3*h, k) {
		return false
	}
	for steps, weight := range [...]float64{1: 45, 2: -9, 3: 1} {
		if steps == 0 {
			s.column(k, func(int) float64 { return 0 })
			continue
		}
		d := float64(steps) * h
		if !s.moved(at, k, d, s.plus) || !s.moved(at, k, -d, s.minus) {
			return false
		}
		s.column(k, func(i int) float64 { return s.jacobian[i*s.n+k] + weight*(s.plus[i]-s.minus[i])/(60*h) })
	}
	return true
}

// moved takes the residuals with parameter k moved by d, and reports whether
// they are finite.
func (s *solver) moved(at []float64, k int, d float64, r []float64) bool {
	old := at[k]
	at[k] = old + d
	sum := s.at(at, r)
	at[k] = old
	return !math.IsInf(sum, 0)
}

func (s *solver) column(k int, slope func(i int) float64) {
	for i := range s.m {
		s.jacobian[i*s.n+k] = slope(i)
	}
}
