package lsq

import (
	"math"
	"slices"
)

// damped makes the trial of min |J·step + r|² + λ|D·step|² within the bounds, and
// returns what the linear model says S gains by it. From no step on it goes
// towards the least over the parameters that still move, as far as the first
// bound in the way, holds that parameter there, and begins again: each leg makes
// the sum smaller (a primal active set, from memory).
func (s *solver) damped() float64 {
	clear(s.step)
	s.moving = s.moving[:0]
	for c := range s.free {
		s.moving = append(s.moving, c)
	}
	for len(s.moving) > 0 {
		x := s.least()
		share, stopped := 1.0, -1
		for i, c := range s.moving {
			k := s.free[c]
			if part := s.room(k, x[i]); part < share {
				share, stopped = part, i
			}
		}
		for i, c := range s.moving {
			k := s.free[c]
			s.step[k] += share * (x[i] - s.step[k])
		}
		if stopped < 0 {
			break
		}
		k := s.free[s.moving[stopped]]
		s.step[k] = s.stop(k, x[stopped]) - s.p[k]
		s.moving = slices.Delete(s.moving, stopped, stopped+1)
	}
	for k := range s.p {
		s.trial[k] = min(max(s.p[k]+s.step[k], s.lower[k]), s.upper[k])
		s.step[k] = s.trial[k] - s.p[k]
	}
	return s.foretold(s.n)
}

// least is the damped least of the linear model over the moving parameters, the
// others of the step as they are.
func (s *solver) least() []float64 {
	f, n := len(s.free), len(s.moving)
	stack, right := s.stack[:(f+n)*n], s.right[:f+n]
	clear(stack)
	clear(right)
	root := math.Sqrt(s.damping)
	for i := range f {
		right[i] = -s.q1[i]
		for c := i; c < f; c++ {
			right[i] -= s.r1[i*f+c] * s.step[s.free[c]]
		}
		for j, c := range s.moving {
			if c >= i {
				stack[i*n+j] = s.r1[i*f+c]
				right[i] += s.r1[i*f+c] * s.step[s.free[c]]
			}
		}
	}
	for j, c := range s.moving {
		stack[(f+j)*n+j] = root * s.scale[s.free[c]]
	}
	triangle(stack, right, f+n, n)
	x := make([]float64, n)
	backward(stack, right, x, n)
	return x
}

// room is the share of the way from the step of parameter k to a longer one that
// its bounds leave.
func (s *solver) room(k int, x float64) float64 {
	at, to := s.p[k]+s.step[k], s.p[k]+x
	if to >= s.lower[k] && to <= s.upper[k] || to == at {
		return 1
	}
	return max(0, (s.stop(k, x)-at)/(to-at))
}

// stop is the bound of parameter k that a step x leads to.
func (s *solver) stop(k int, x float64) float64 {
	if x > s.step[k] {
		return s.upper[k]
	}
	return s.lower[k]
}

// foretold is S less |r + J·step|².
func (s *solver) foretold(n int) float64 {
	gain := 0.0
	for i := range s.m {
		d := 0.0
		for _, k := range s.free {
			d += s.jacobian[i*n+k] * s.step[k]
		}
		gain -= d * (2*s.r[i] + d)
	}
	return gain
}
