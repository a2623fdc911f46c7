package uptake

import (
	"math"
	"sync"
)

// Cylinder is diffusion into a long round rod of radius a whose surface is wet from
// the start, T = a²/D with D the coefficient of diffusion, m²/s [Crank1975] 5.3:
//
//	W/W∞ = 1 − Σ 4/αₙ²·exp(−αₙ²·D·t/a²),  J₀(αₙ) = 0
//
// At short times a series in √(Dt/a²) takes the place of the sum; see early. Only
// D/a² can be had from weighings.
func Cylinder() Law {
	return Law{
		Name: "cylinder", Formula: "W = W∞·(1 − Σ 4/αₙ²·exp(−αₙ²·D·t/a²)), J₀(αₙ) = 0", Source: "Crank1975",
		rise: func(u float64, _, _ []float64) (float64, float64) {
			if u < branch {
				return early(u)
			}
			return late(u)
		},
		reach: func(share float64, _ []float64) float64 {
			return solve(func(u float64) float64 { f, _ := Cylinder().rise(u, nil, nil); return f }, share, 0, 40)
		},
		terms: func(p []float64) []Term {
			return []Term{saturation(p), {"D/a²", "1/s", 1 / p[1], []float64{0, -1 / (p[1] * p[1])}}}
		},
	}
}

// branch is where the one series gives way to the other. Both hold there to 1e-12.
const branch = 0.012

// late is the sum over the zeros of J₀; thirty of them serve down to u = 0.005.
func late(u float64) (f, slope float64) {
	f = 1
	for _, a := range besselZeros() {
		e := 4 * math.Exp(-a*a*u)
		f -= e / (a * a)
		slope += e
	}
	return f, slope
}

// early is the expansion for short times. The transform of W/W∞ is
// 2·I₁(√p)/(p^(3/2)·I₀(√p)); I₁/I₀ at z has the asymptotic series Σ cₘ·z⁻ᵐ, which
// its equation w' = 1 − w/z − w² gives as
//
//	c₀ = 1,  2cₘ = (m − 2)·cₘ₋₁ − Σ cⱼ·cₘ₋ⱼ, j from 1 to m − 1
//
// and term by term back: 2·Σ cₘ·u^((m+1)/2)/Γ((m+3)/2). Its first terms are the
// (4/√π)·√u − u of [Crank1975].
func early(u float64) (f, slope float64) {
	if u <= 0 {
		return 0, math.Inf(1)
	}
	root := math.Sqrt(u)
	power := root // u^((m+1)/2)
	for m, c := range earlySeries() {
		term := c * power
		f += term
		slope += term * float64(m+1) / (2 * u)
		power *= root
	}
	return f, slope
}

var earlySeries = sync.OnceValue(func() []float64 {
	const terms = 13
	c := make([]float64, terms)
	c[0] = 1
	for m := 1; m < terms; m++ {
		c[m] = float64(m-2) * c[m-1]
		for j := 1; j < m; j++ {
			c[m] -= c[j] * c[m-j]
		}
		c[m] /= 2
	}
	for m := range c {
		c[m] *= 2 / math.Gamma(float64(m+3)/2)
	}
	return c
})

// besselZeros are the first thirty zeros of J₀, from McMahon's guess by Newton's
// steps.
var besselZeros = sync.OnceValue(func() []float64 {
	var out []float64
	for n := 1; n <= 30; n++ {
		b := (float64(n) - 0.25) * math.Pi
		x := b + 1/(8*b)
		for range 20 {
			step := math.J0(x) / math.J1(x)
			x += step
			if math.Abs(step) < 1e-15*x {
				break
			}
		}
		out = append(out, x)
	}
	return out
})
