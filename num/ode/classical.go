package ode

import "math"

// classical is the method of order 4 with four stages, and a fifth at the end of
// the step that is the first of the next one and gives an error estimate of
// order 3: with b̂ = (1/6, 1/3, 1/3, 0, 1/6), which meets the four conditions of
// that order,
//
//	y − ŷ = h/6·(k4 − k5)
//
// An undamped swing of ω stays bounded up to h·ω = 2.8, for four evaluations a
// step; with Dormand and Prince's it is 1 for six. Source: [Hairer1993] II.1; the
// estimate is ours.
type classical struct{ stages }

func (*classical) order() float64 { return 4 }
func (*classical) edge() float64  { return 2.2 }

func (m *classical) bend(iv *Interval) { m.hermite(iv) }

func (m *classical) try(a *Adaptive, h float64) float64 {
	t, y := a.time, a.now
	n := len(y)
	end, at, k1, k2, k3 := a.iv.end[:n], m.at[:n], a.rate[:n], m.k[1][:n], m.k[2][:n]
	k4, k5 := m.k[5][:n], m.k[6][:n]
	half := h / 2
	for i, v := range y {
		at[i] = v + half*k1[i]
	}
	m.f(t+half, at, k2)
	for i, v := range y {
		at[i] = v + half*k2[i]
	}
	m.f(t+half, at, k3)
	for i, v := range y {
		at[i] = v + h*k3[i]
	}
	m.f(t+h, at, k4)
	sixth := h / 6
	for i, v := range y {
		end[i] = v + sixth*(k1[i]+2*(k2[i]+k3[i])+k4[i])
	}
	m.f(t+h, end, k5)
	sum, inverse := 0.0, a.inverse[:n]
	for i := range k4 {
		e := k4[i] - k5[i]
		if a.tol.Relative > 0 {
			sum += a.share(i, e)
		} else {
			e *= inverse[i]
			sum += e * e
		}
	}
	return sixth * math.Sqrt(sum/float64(n))
}
