package ode

import "math"

// rosenbrock is the linearly implicit pair of orders 4 and 3 with six stages,
// stable however stiff the equation is. Each step solves six times
//
//	(I/(γ·h) − J)·u = f(t + c·h, y + Σ a·u) + Σ c·u/h + h·d·∂f/∂t,  J = ∂f/∂y
//
// with J by differences. Source: the method RODAS of [Hairer1996] IV.7,
// coefficients from memory; the order conditions are tested.
type rosenbrock struct {
	f        Func
	u        [6][]float64
	at, rate []float64
	slope    []float64 // ∂f/∂t
	jacobian []float64 // n by n
	matrix   []float64
	swap     []int
}

const rosenbrockGamma = 0.25

var (
	rosenbrockA = [6][5]float64{
		{},
		{1.544},
		{0.9466785280815826, 0.2557011698983284},
		{3.314825187068521, 2.896124015972201, 0.9986419139977817},
		{1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950},
		{1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1},
	}
	rosenbrockC = [6][5]float64{
		{},
		{-5.6688},
		{-2.430093356833875, -0.2063599157091915},
		{-0.1073529058151375, -9.594562251023355, -20.47028614809616},
		{7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
		{8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054},
	}
	rosenbrockTime  = [6]float64{0, 0.386, 0.21, 0.63, 1, 1}
	rosenbrockSlope = [6]float64{0.25, -0.1043, 0.1035, -0.0362}
	rosenbrockDense = [2][5]float64{
		{10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662},
		{-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872},
	}
)

func newRosenbrock(f Func, n int) *rosenbrock {
	m := &rosenbrock{
		f: f, at: make([]float64, n), rate: make([]float64, n), slope: make([]float64, n),
		jacobian: make([]float64, n*n), matrix: make([]float64, n*n), swap: make([]int, n),
	}
	for i := range m.u {
		m.u[i] = make([]float64, n)
	}
	return m
}

// try takes a step from a.now, fills the interval and returns its error over
// the tolerance.
func (m *rosenbrock) try(a *Adaptive, h float64) float64 {
	m.differentiate(a, h)
	n := a.n
	for i, v := range m.jacobian {
		m.matrix[i] = -v
	}
	for i := range n {
		m.matrix[i*n+i] += 1 / (rosenbrockGamma * h)
	}
	if !decompose(m.matrix, m.swap, n) {
		return math.Inf(1)
	}
	for s := range 6 {
		copy(m.at, a.now)
		for j, c := range rosenbrockA[s][:min(s, 5)] {
			add(m.at, c, m.u[j])
		}
		rate := m.rate
		m.f(a.time+rosenbrockTime[s]*h, m.at, rate)
		for j, c := range rosenbrockC[s][:min(s, 5)] {
			add(rate, c/h, m.u[j])
		}
		add(rate, h*rosenbrockSlope[s], m.slope)
		copy(m.u[s], rate)
		solve(m.matrix, m.swap, m.u[s], n)
	}
	sum := 0.0
	for i := range m.at {
		a.iv.end[i] = m.at[i] + m.u[5][i]
	}
	for i, e := range m.u[5] {
		sum += a.share(i, e)
	}
	err := math.Sqrt(sum / float64(n))
	if err <= 1 {
		m.dense(a, h)
	}
	return err
}

func (m *rosenbrock) dense(a *Adaptive, h float64) {
	iv := &a.iv
	copy(iv.start, a.now)
	m.f(a.time+h, iv.end, iv.endRate)
	for i, y0 := range iv.start {
		iv.bend[0][i] = iv.end[i] - y0
		iv.bend[1][i], iv.bend[2][i], iv.bend[3][i] = 0, 0, 0
	}
	for d, row := range rosenbrockDense {
		for j, c := range row {
			add(iv.bend[1+d], c, m.u[j])
		}
	}
}

// differentiate takes J and ∂f/∂t at the start of the step, by differences to
// one side.
func (m *rosenbrock) differentiate(a *Adaptive, h float64) {
	const width = 0x1p-26
	copy(m.at, a.now)
	for j, y := range a.now {
		d := width * max(math.Abs(y), math.Abs(h*a.rate[j]))
		if d == 0 {
			d = width * a.tol.Absolute[j]
		}
		m.at[j] = y + d
		m.f(a.time, m.at, m.rate)
		m.at[j] = y
		for i := range m.rate {
			m.jacobian[i*a.n+j] = (m.rate[i] - a.rate[i]) / d
		}
	}
	d := width * max(math.Abs(a.time), h)
	m.f(a.time+d, a.now, m.rate)
	for i := range m.slope {
		m.slope[i] = (m.rate[i] - a.rate[i]) / d
	}
}

// add adds c·x to y.
func add(y []float64, c float64, x []float64) {
	for i, v := range x {
		y[i] += c * v
	}
}

// decompose makes L and U of a, n by n by rows, in place, rows swapped; false
// when it is singular.
func decompose(a []float64, swap []int, n int) bool {
	for k := range n {
		pivot := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i*n+k]) > math.Abs(a[pivot*n+k]) {
				pivot = i
			}
		}
		swap[k] = pivot
		if v := a[pivot*n+k]; v == 0 || math.IsNaN(v) {
			return false
		}
		if pivot != k {
			for j := range n {
				a[k*n+j], a[pivot*n+j] = a[pivot*n+j], a[k*n+j]
			}
		}
		for i := k + 1; i < n; i++ {
			a[i*n+k] /= a[k*n+k]
			for j := k + 1; j < n; j++ {
				a[i*n+j] -= a[i*n+k] * a[k*n+j]
			}
		}
	}
	return true
}

// solve puts the solution of a·x = b into b, a as decompose left it.
func solve(a []float64, swap []int, b []float64, n int) {
	for k, pivot := range swap {
		b[k], b[pivot] = b[pivot], b[k]
	}
	for i := range n {
		for j := range i {
			b[i] -= a[i*n+j] * b[j]
		}
	}
	for i := n - 1; i >= 0; i-- {
		for j := i + 1; j < n; j++ {
			b[i] -= a[i*n+j] * b[j]
		}
		b[i] /= a[i*n+i]
	}
}
