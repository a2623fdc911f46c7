package lmm

import (
	"fmt"
	"math"
)

// objective is a deviance with its gradient.
type objective interface {
	at(x, grad []float64) float64
}

const (
	stepsMost    = 200
	enough       = 1e-17 // Newton decrement at which the parameters hold some eight digits
	tolerated    = 1e-9  // decrement up to which a fit counts as converged
	refused      = 1e-6  // decrement from which on a fit is refused
	thetaMost    = 1e5   // beyond it the residual is nothing beside the random effects
	thetaMuch    = 100   // likewise, when the search does not converge
	nearBoundary = 1e-4  // a standard deviation below this share of the residual's is tried at zero
)

// minimiser descends by a quasi-Newton method (BFGS) with bounds from below on
// some parameters: few parameters, a smooth function, an exact gradient. The
// first matrix of second derivatives is had by differences of the gradient.
type minimiser struct {
	f       objective
	bounded []bool // x ≥ 0
	n       int

	x, g, h             []float64
	next, nextG, d, old []float64
	sub, vectors, rhs   []float64
	value               float64
	free                []int
	iterations          int
}

func newMinimiser(f objective, bounded []bool) *minimiser {
	n := len(bounded)
	m := &minimiser{f: f, bounded: bounded, n: n, free: make([]int, 0, n)}
	for _, v := range []*[]float64{&m.x, &m.g, &m.next, &m.nextG, &m.d, &m.old, &m.rhs} {
		*v = make([]float64, n)
	}
	m.h, m.sub, m.vectors = make([]float64, n*n), make([]float64, n*n), make([]float64, n*n)
	return m
}

// from descends from a point, and leaves the end in x, g, value. It returns the
// last Newton decrement, g'H⁻¹g of the free parameters.
func (m *minimiser) from(start []float64) (decrement float64) {
	copy(m.x, start)
	m.value = m.f.at(m.x, m.g)
	m.iterations = 0
	if math.IsInf(m.value, 1) || math.IsNaN(m.value) {
		m.value = math.Inf(1)
		return math.Inf(1)
	}
	m.differences()
	fresh, best := true, math.Inf(1)
	stuck := 0
	for m.iterations < stepsMost {
		decrement = m.direction()
		if decrement < enough {
			break
		}
		// Near the end the deviance no longer resolves progress: go on while
		// the decrement falls, with an exact matrix once.
		if decrement < 1e-12 {
			if decrement > best/4 {
				if stuck++; stuck > 2 {
					break
				}
			}
			best = min(best, decrement)
		}
		m.iterations++
		if moved, curved := m.search(); moved {
			fresh = !curved || m.iterations%15 == 0
			if fresh {
				m.differences()
			}
			continue
		}
		if fresh {
			break
		}
		m.differences()
		fresh = true
	}
	return decrement
}

// differences sets h to the second derivatives at x by differences of the
// gradient.
func (m *minimiser) differences() {
	copy(m.next, m.x)
	for j := range m.n {
		step := 1e-5 * max(math.Abs(m.x[j]), 0.1)
		m.next[j] = m.x[j] + step
		m.f.at(m.next, m.nextG)
		m.next[j] = m.x[j]
		for i := range m.n {
			m.h[i*m.n+j] = (m.nextG[i] - m.g[i]) / step
		}
	}
	symmetric(m.h, m.n)
}

// direction sets d to the Newton step of the parameters that are free to move,
// d = −Σ v·(v'g)/|λ| over the eigenvectors of h: where the deviance curves
// downwards that is still a way down, and of the length that fits. It returns
// Σ (v'g)²/|λ|.
func (m *minimiser) direction() float64 {
	m.free = m.free[:0]
	for i := range m.n {
		m.d[i] = 0
		if !m.bounded[i] || m.x[i] > 0 || m.g[i] < 0 {
			m.free = append(m.free, i)
		}
	}
	k := len(m.free)
	for a, i := range m.free {
		for b, j := range m.free {
			m.sub[a*k+b] = m.h[i*m.n+j]
		}
	}
	jacobi(m.sub, m.vectors, k)
	least := 1e-8
	for a := range k {
		least = max(least, 1e-10*math.Abs(m.sub[a*k+a]))
	}
	decrement := 0.0
	for a := range k {
		along := 0.0
		for b, i := range m.free {
			along += m.vectors[b*k+a] * m.g[i]
		}
		curvature := max(math.Abs(m.sub[a*k+a]), least)
		decrement += along * along / curvature
		for b, i := range m.free {
			m.d[i] -= m.vectors[b*k+a] * along / curvature
		}
	}
	return decrement
}

// search goes along d, projected onto the bounds, until the deviance falls
// enough, and updates h. It returns whether a length did, and whether the
// curvature along the step was positive, so that h could be updated.
func (m *minimiser) search() (moved, curved bool) {
	slack := 1e-13 * max(1, math.Abs(m.value))
	for length := 1.0; length > 1e-8; length /= 3 {
		slope := 0.0
		for i := range m.n {
			m.next[i] = m.x[i] + length*m.d[i]
			if m.bounded[i] && m.next[i] < 0 {
				m.next[i] = 0
			}
			m.next[i] = max(min(m.next[i], 10*thetaMost), -10*thetaMost)
			slope += m.g[i] * (m.next[i] - m.x[i])
		}
		v := m.f.at(m.next, m.nextG)
		if v <= m.value+1e-4*slope+slack {
			curved = m.update()
			m.value = v
			copy(m.x, m.next)
			copy(m.g, m.nextG)
			return true, curved
		}
	}
	return false, false
}

// update is the BFGS formula for h; it is left out where the curvature along
// the step is not positive.
func (m *minimiser) update() bool {
	sy, ss, yy := 0.0, 0.0, 0.0
	for i := range m.n {
		m.d[i] = m.next[i] - m.x[i]
		m.old[i] = m.nextG[i] - m.g[i]
		sy += m.d[i] * m.old[i]
		ss += m.d[i] * m.d[i]
		yy += m.old[i] * m.old[i]
	}
	if ss < 1e-20 { // at the end: rounding
		return true
	}
	if sy <= 1e-10*math.Sqrt(ss*yy) {
		return false
	}
	shs := 0.0
	for i := range m.n {
		m.rhs[i] = dot(m.h[i*m.n:i*m.n+m.n], m.d)
		shs += m.rhs[i] * m.d[i]
	}
	for i := range m.n {
		for j := range m.n {
			m.h[i*m.n+j] += m.old[i]*m.old[j]/sy - divide(m.rhs[i]*m.rhs[j], shs)
		}
	}
	return true
}

func divide(a, b float64) float64 {
	if b <= 0 {
		return 0
	}
	return a / b
}

// ended is where a descent ended.
type ended struct {
	x, g      []float64
	value     float64
	decrement float64
	steps     int
}

func (m *minimiser) keep(decrement float64) ended {
	return ended{
		x: append([]float64(nil), m.x...), g: append([]float64(nil), m.g...),
		value: m.value, decrement: decrement, steps: m.iterations,
	}
}

// check refuses an end that is no minimum.
func (e ended) check() error {
	if !finite(e.value) {
		return fmt.Errorf("%w: the deviance has no value at any start", ErrNotConverged)
	}
	if !(e.decrement < refused) {
		return fmt.Errorf("%w: after %d steps one more would still change the deviance by %.2g", ErrNotConverged, e.steps, e.decrement)
	}
	return nil
}
