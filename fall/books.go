package fall

import "math"

// worked is the work done on the rope so far, in joules: by the books, or by
// what the mass has given up.
func (m *motion) worked() float64 {
	if m.ledger {
		return m.now[m.own+work]
	}
	w := &m.tower
	gone := m.path + math.Abs(m.now[place]-m.turned)
	return m.energy - w.Mass*(m.now[speed]*m.now[speed]/2-w.Gravity*m.now[place]) - w.Friction*gone
}

// held is the energy in the books, in joules, in state y.
func (m *motion) held(y []float64) float64 {
	w := &m.tower
	sum := w.Mass * (y[speed]*y[speed]/2 - w.Gravity*y[place])
	if m.ledger {
		sum += w.Rope.Stored(y[length], y[inner:m.own]) + y[m.own+heat] + y[m.own+rubbed]
	}
	return sum
}

// keepBooks keeps the most by which energy has come or gone, and the most that
// was moved.
func (m *motion) keepBooks() {
	if !m.ledger {
		return
	}
	m.scale = max(m.scale, m.now[m.own+work])
	if out := math.Abs(m.held(m.now) - m.energy); !(out <= m.open) { // NaN is kept too
		m.open = out
	}
}
