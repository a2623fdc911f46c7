package lmm

import (
	"fmt"
	"math"
)

// search finds the lowest deviance: a sweep over coarse values of each term's
// standard deviation, a descent from the best of them and, when asked for
// more, from other points; then the boundaries are tried.
type search struct {
	f     *frame
	eval  objective
	min   *minimiser
	trial []float64
	tries int
}

func newSearch(f *frame, eval objective) *search {
	bounded := make([]bool, f.theta+f.groups-1)
	for _, b := range f.blocks {
		for e, rc := range b.entries {
			bounded[b.theta+e] = rc[0] == rc[1]
		}
	}
	return &search{f: f, eval: eval, min: newMinimiser(eval, bounded), trial: make([]float64, len(bounded))}
}

// start is a standard deviation of every random effect equal to the residual's.
func (s *search) start() []float64 {
	x := make([]float64, len(s.trial))
	for i, b := range s.min.bounded {
		if b {
			x[i] = 1
		}
	}
	return x
}

// coarse walks over the terms once, each tried at a few sizes with the others
// held, and leaves the best point in x.
func (s *search) coarse(x []float64) {
	best := s.eval.at(x, nil)
	for b := range s.f.blocks {
		bl := &s.f.blocks[b]
		copy(s.trial, x)
		for _, size := range []float64{0.1, 0.4, 2.5, 8} {
			for e, rc := range bl.entries {
				s.trial[bl.theta+e] = 0
				if rc[0] == rc[1] {
					s.trial[bl.theta+e] = size
				}
			}
			if v := s.eval.at(s.trial, nil); v < best {
				best = v
				copy(x, s.trial)
			}
		}
	}
}

// others are further starts: all terms small, all large, and with several terms
// each of them alone, since the deviance may have a minimum in each corner.
func (s *search) others() [][]float64 {
	var out [][]float64
	add := func(size float64, but int) {
		x := s.start()
		for b := range s.f.blocks {
			bl := &s.f.blocks[b]
			for e := range bl.entries {
				x[bl.theta+e] *= size
				if b == but {
					x[bl.theta+e] *= 10
				}
			}
		}
		out = append(out, x)
	}
	add(0.3, -1)
	add(3, -1)
	if k := len(s.f.blocks); k == 2 || k == 3 {
		out = append(out, s.grid())
	}
	for b := range s.f.blocks {
		if len(s.f.blocks) > 1 {
			add(0.1, b)
		}
		if bl := &s.f.blocks[b]; bl.k == 2 { // tied closely, either way
			for _, tie := range []float64{-1, 1} {
				add(1, -1)
				x := out[len(out)-1]
				x[bl.theta+1], x[bl.theta+2] = tie, 0.2
			}
		}
	}
	return out
}

// grid is the best of all combinations of some sizes of the terms.
func (s *search) grid() []float64 {
	sizes := []float64{0, 0.15, 0.5, 1.5, 5, 20}
	x, best, lowest := s.start(), s.start(), math.Inf(1)
	var walk func(b int)
	walk = func(b int) {
		if b == len(s.f.blocks) {
			if v := s.eval.at(x, nil); v < lowest {
				lowest = v
				copy(best, x)
			}
			return
		}
		bl := &s.f.blocks[b]
		for _, size := range sizes {
			for e, rc := range bl.entries {
				x[bl.theta+e] = size * one(rc[0] == rc[1])
			}
			walk(b + 1)
		}
	}
	walk(0)
	return best
}

// run searches from a start, and from others when thorough.
func (s *search) run(start []float64, thorough bool) (ended, error) {
	x := append([]float64(nil), start...)
	s.coarse(x)
	best := s.descend(x)
	s.tries = 1
	if thorough {
		for _, other := range s.others() {
			s.tries++
			if e := s.descend(other); e.value < best.value-1e-9*max(1, math.Abs(best.value)) || math.IsNaN(best.value) {
				best = e
			}
		}
	}
	for i, v := range best.x[:s.f.theta] {
		if math.Abs(v) > thetaMost || math.Abs(v) > thetaMuch && !(best.decrement < tolerated) {
			return best, fmt.Errorf("%w: beside the random effects the residual is zero (parameter %d is %.3g times it); repeated values that are all the same?", ErrNoSpread, i+1, v)
		}
	}
	return best, best.check()
}

// descend goes down from x and then to and fro at the boundaries: a parameter
// near zero is tried at zero, and one at zero is tried away from it, since the
// gradient is zero there by symmetry.
func (s *search) descend(x []float64) ended {
	decrement := s.min.from(x)
	end := s.min.keep(decrement)
	for range 4 {
		moved := false
		for _, b := range s.f.blocks {
			for e, rc := range b.entries {
				if rc[0] == rc[1] && s.edge(&end, b, b.theta+e) {
					moved = true
				}
			}
		}
		if !moved {
			break
		}
	}
	return end
}

// away sets trial to the best of some values of parameter i, which is zero now,
// and returns whether that is better.
func (s *search) away(end ended, i int) bool {
	best, at := end.value, 0.0
	for _, size := range []float64{0.01, 0.1, 0.5} {
		s.trial[i] = size
		if v := s.eval.at(s.trial, nil); v < best {
			best, at = v, size
		}
	}
	s.trial[i] = at
	return at > 0
}

// edge tries parameter i at zero or, when it is there, away from it.
func (s *search) edge(end *ended, b block, i int) bool {
	copy(s.trial, end.x)
	switch {
	case end.x[i] == 0:
		if !s.away(*end, i) {
			return false
		}
	case end.x[i] < nearBoundary:
		s.trial[i] = 0
		if s.eval.at(s.trial, nil) > end.value+1e-10*max(1, math.Abs(end.value)) {
			return false
		}
	default:
		return false
	}
	if b.k == 2 && s.trial[b.theta] == 0 { // then only the length of the second row counts
		s.trial[b.theta+2] = math.Hypot(s.trial[b.theta+1], s.trial[b.theta+2])
		s.trial[b.theta+1] = 0
	}
	wasZero := end.x[i] == 0
	decrement := s.min.from(s.trial)
	e := s.min.keep(decrement)
	if wasZero && !(e.value < end.value) {
		return false
	}
	*end = e
	return true
}
