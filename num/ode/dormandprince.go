package ode

import "math"

// dormandPrince is the explicit pair of orders 5 and 4 with seven stages, the
// last of which is the first of the next step. Source: [DormandPrince1980]; its
// dense output of order 4 [Hairer1993] II.6.
type dormandPrince struct{ stages }

func (*dormandPrince) order() float64 { return 5 }

// edge is somewhat below that of stability, 3.3 on the real axis: there the
// controller keeps the steps.
func (*dormandPrince) edge() float64 { return 2.6 }

// try takes a step from a.now into a.iv.end and returns its error over the
// tolerance. Slices are cut to one length so that no index need be checked.
func (m *dormandPrince) try(a *Adaptive, h float64) float64 {
	t, y := a.time, a.now
	n := len(y)
	end, at, k1, k2, k3 := a.iv.end[:n], m.at[:n], a.rate[:n], m.k[1][:n], m.k[2][:n]
	k4, k5, k6, k7 := m.k[3][:n], m.k[4][:n], m.k[5][:n], m.k[6][:n]
	for i, v := range y {
		at[i] = v + h*(1./5*k1[i])
	}
	m.f(t+h/5, at, k2)
	for i, v := range y {
		at[i] = v + h*(3./40*k1[i]+9./40*k2[i])
	}
	m.f(t+3*h/10, at, k3)
	for i, v := range y {
		at[i] = v + h*(44./45*k1[i]-56./15*k2[i]+32./9*k3[i])
	}
	m.f(t+4*h/5, at, k4)
	for i, v := range y {
		at[i] = v + h*(19372./6561*k1[i]-25360./2187*k2[i]+64448./6561*k3[i]-212./729*k4[i])
	}
	m.f(t+8*h/9, at, k5)
	for i, v := range y {
		at[i] = v + h*(9017./3168*k1[i]-355./33*k2[i]+46732./5247*k3[i]+49./176*k4[i]-5103./18656*k5[i])
	}
	m.f(t+h, at, k6)
	for i, v := range y {
		end[i] = v + h*(35./384*k1[i]+500./1113*k3[i]+125./192*k4[i]-2187./6784*k5[i]+11./84*k6[i])
	}
	m.f(t+h, end, k7)
	return m.miss(a, h)
}

// miss is the error of the step just tried over the tolerance.
func (m *dormandPrince) miss(a *Adaptive, h float64) float64 {
	n := len(a.now)
	k1, k3, k4, k5, k6, k7 := a.rate[:n], m.k[2][:n], m.k[3][:n], m.k[4][:n], m.k[5][:n], m.k[6][:n]
	inverse := a.inverse[:n]
	sum := 0.0
	for i := range k1 {
		e := 71./57600*k1[i] - 71./16695*k3[i] + 71./1920*k4[i] - 17253./339200*k5[i] + 22./525*k6[i] - 1./40*k7[i]
		if a.tol.Relative > 0 {
			sum += a.share(i, e)
		} else {
			e *= inverse[i]
			sum += e * e
		}
	}
	return h * math.Sqrt(sum/float64(n))
}

// bend works out the dense output of the step just accepted: few steps are
// looked into, so that it waits until somebody does.
func (m *dormandPrince) bend(iv *Interval) {
	m.hermite(iv)
	h, endRate, k := iv.To-iv.From, iv.EndRate(), &m.k
	for i := range iv.start {
		iv.bend[3][i] = h * (-12715105075./11282082432*k[0][i] + 87487479700./32700410799*k[2][i] -
			10690763975./1880347072*k[3][i] + 701980252875./199316789632*k[4][i] -
			1453857185./822651844*k[5][i] + 69997945./29380423*endRate[i])
	}
}
