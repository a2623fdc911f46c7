package cutting

import "math"

// tableau is a basis of the linear relaxation: a row for each piece (cut at least
// as many as are left) and each stock (open no more than there are), the inverse
// of the basis, and what each basic column is worth.
type tableau struct {
	pieces  int
	inverse [][]float64
	value   []float64 // of the basic columns
	cost    []float64 // of the basic columns
	cut     []pattern // the basic columns that are ways to cut a stock; others have no count
}

// newTableau starts with every piece left uncut and no stock opened.
func newTableau(s scaled, left, stocks []int) *tableau {
	n := len(left) + len(stocks)
	t := &tableau{pieces: len(left), inverse: make([][]float64, n), value: make([]float64, n), cost: make([]float64, n), cut: make([]pattern, n)}
	for i := range n {
		t.inverse[i] = make([]float64, n)
		t.inverse[i][i] = 1
		if i < len(left) {
			t.value[i], t.cost[i] = float64(left[i]), float64(s.miss)
		} else {
			t.value[i] = float64(stocks[i-len(left)])
		}
	}
	return t
}

func (t *tableau) objective() float64 {
	sum := 0.0
	for i, v := range t.value {
		sum += v * t.cost[i]
	}
	return sum
}

// prices are the dual values of the basis, rounded for the knapsack.
func (t *tableau) prices(miss int) prices {
	p := prices{raw: make([]float64, len(t.value))}
	for j := range t.value {
		for i, c := range t.cost {
			p.raw[j] += c * t.inverse[i][j]
		}
	}
	for j, y := range p.raw {
		if j < t.pieces {
			p.piece = append(p.piece, min(max(0, int(math.Floor(y*grain))), miss*grain))
		} else {
			p.stock = append(p.stock, max(0, -y))
		}
	}
	return p
}

// improve brings the column that promises most into the basis: one of the ways to
// cut a stock, a piece cut beyond what is left, or a stock not opened. It reports
// false when none promises anything.
func (t *tableau) improve(s scaled, ways []pattern, p prices) bool {
	promise, cost := -1e-7, 0.0
	var column []float64
	for j, y := range p.raw {
		switch { // surplus of a piece, −1 in its row; slack of a stock, +1
		case j < t.pieces && y < promise:
			promise, cost, column = y, 0, t.unit(j, -1)
		case j >= t.pieces && -y < promise:
			promise, cost, column = -y, 0, t.unit(j, 1)
		case j < t.pieces && float64(s.miss)-y < promise:
			promise, cost, column = float64(s.miss)-y, float64(s.miss), t.unit(j, 1)
		}
	}
	var cut pattern
	for _, w := range ways {
		d := float64(s.stocks[w.stock].Cost) - p.raw[t.pieces+w.stock]
		for i, n := range w.count {
			d -= p.raw[i] * float64(n)
		}
		if d < promise {
			promise, cut = d, w
		}
	}
	if cut.count != nil {
		cost, column = float64(s.stocks[cut.stock].Cost), t.unit(t.pieces+cut.stock, 1)
		for i, n := range cut.count {
			column[i] = float64(n)
		}
	}
	return column != nil && t.enter(column, cost, cut)
}

func (t *tableau) unit(j int, v float64) []float64 {
	c := make([]float64, len(t.value))
	c[j] = v
	return c
}

// enter exchanges the column against the basic one that it drives to zero first.
func (t *tableau) enter(column []float64, cost float64, cut pattern) bool {
	n := len(column)
	d := make([]float64, n)
	out, step := -1, math.Inf(1)
	for i := range n {
		for j, c := range column {
			if c != 0 {
				d[i] += t.inverse[i][j] * c
			}
		}
		if d[i] > 1e-9 && t.value[i]/d[i] < step {
			out, step = i, t.value[i]/d[i]
		}
	}
	if out < 0 {
		return false
	}
	for j := range n {
		t.inverse[out][j] /= d[out]
	}
	for i := range n {
		if i == out || d[i] == 0 {
			continue
		}
		for j := range n {
			t.inverse[i][j] -= d[i] * t.inverse[out][j]
		}
		t.value[i] = max(0, t.value[i]-step*d[i])
	}
	t.value[out], t.cost[out], t.cut[out] = step, cost, cut
	return true
}
