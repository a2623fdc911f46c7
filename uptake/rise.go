package uptake

import "math"

// FirstOrder is W = W∞·(1 − e^(−kt)), T = 1/k: what is missing is taken up at a
// fixed rate. From memory.
func FirstOrder() Law {
	return Law{
		Name: "first-order", Formula: "W = W∞·(1 − exp(−k·t))", Source: "from memory",
		rise: func(u float64, _, _ []float64) (float64, float64) {
			return -math.Expm1(-u), math.Exp(-u)
		},
		reach: func(share float64, _ []float64) float64 { return -math.Log1p(-share) },
		terms: func(p []float64) []Term {
			return []Term{saturation(p), {"k", "1/s", 1 / p[1], []float64{0, -1 / (p[1] * p[1])}}}
		},
	}
}

// Peleg is W = t/(K₁ + K₂·t) with the first water counted as uptake, W₀ = 0:
// W∞ = 1/K₂, and T = K₁/K₂ the time to half of it, [Peleg1988]. The rate at the
// start is 1/K₁.
func Peleg() Law {
	return Law{
		Name: "peleg", Formula: "W = t/(K₁ + K₂·t)", Source: "Peleg1988",
		rise: func(u float64, _, _ []float64) (float64, float64) {
			return u / (1 + u), 1 / ((1 + u) * (1 + u))
		},
		reach: func(share float64, _ []float64) float64 { return share / (1 - share) },
		terms: func(p []float64) []Term {
			w, t := p[0], p[1]
			return []Term{
				saturation(p), {"K₁", "s", t / w, []float64{-t / (w * w), 1 / w}}, {"K₂", "", 1 / w, []float64{-1 / (w * w), 0}},
			}
		},
	}
}

// Weibull is W = W∞·(1 − e^(−(t/τ)^β)), T = τ the time to 63 % of it. With β = 1 it
// is the first order law, with β < 1 it begins faster and ends slower.
// [Weibull1951].
func Weibull() Law {
	return Law{
		Name: "weibull", Formula: "W = W∞·(1 − exp(−(t/τ)^β))", Source: "Weibull1951",
		Shapes: []Shape{{"β", 0.05, 10, []float64{0.4, 0.6, 0.85, 1.2, 2}}},
		rise: func(u float64, s, ds []float64) (float64, float64) {
			if u <= 0 {
				if ds != nil {
					ds[0] = 0
				}
				return 0, math.Inf(1)
			}
			v := math.Pow(u, s[0])
			e := math.Exp(-v)
			if ds != nil {
				ds[0] = e * v * math.Log(u)
			}
			return -math.Expm1(-v), e * v * s[0] / u
		},
		reach: func(share float64, s []float64) float64 { return math.Pow(-math.Log1p(-share), 1/s[0]) },
		terms: func(p []float64) []Term {
			return []Term{saturation(p), {"τ", "s", p[1], []float64{0, 1, 0}}, {"β", "", p[2], []float64{0, 0, 1}}}
		},
	}
}

// TwoPockets is W = W₁·(1 − e^(−t/τ₁)) + W₂·(1 − e^(−t/τ₂)): what fills fast, such
// as the room between yarns, and what fills slowly. Parameters are
// W∞ = W₁ + W₂, T = τ₁, the share W₁/W∞ and the ratio τ₂/τ₁ ≥ 1. Parallel
// exponentials are in use for woven cotton; from memory.
func TwoPockets() Law {
	return Law{
		Name: "two-pockets", Formula: "W = W₁·(1 − exp(−t/τ₁)) + W₂·(1 − exp(−t/τ₂))", Source: "from memory",
		Shapes: []Shape{{"share", 0.001, 0.999, []float64{0.3, 0.5, 0.7, 0.85}}, {"ratio", 1, 1e4, []float64{3, 8, 25, 100}}},
		rise: func(u float64, s, ds []float64) (float64, float64) {
			a, r := s[0], s[1]
			fast, slow := math.Exp(-u), math.Exp(-u/r)
			if ds != nil {
				ds[0], ds[1] = slow-fast, -(1-a)*slow*u/(r*r)
			}
			return -a*math.Expm1(-u) - (1-a)*math.Expm1(-u/r), a*fast + (1-a)*slow/r
		},
		reach: func(share float64, s []float64) float64 {
			end := -math.Log1p(-share)
			return solve(func(u float64) float64 { return -s[0]*math.Expm1(-u) - (1-s[0])*math.Expm1(-u/s[1]) }, share, end, end*s[1])
		},
		terms: func(p []float64) []Term {
			w, t, s, r := p[0], p[1], p[2], p[3]
			return []Term{
				saturation(p),
				{"W₁", "", s * w, []float64{s, 0, w, 0}},
				{"τ₁", "s", t, []float64{0, 1, 0, 0}},
				{"W₂", "", (1 - s) * w, []float64{1 - s, 0, -w, 0}},
				{"τ₂", "s", r * t, []float64{0, r, 0, t}},
			}
		},
	}
}

// SquareRoot is W = W₀ + S·√t, how a liquid creeps into pores against viscosity
// alone [Washburn1921]; S is the sorptivity, 1/√s, and W₀ what clings at once. It
// holds while little is taken up, and never ends.
func SquareRoot() Law {
	return Law{
		Name: "square-root", Formula: "W = W₀ + S·√t", Source: "Washburn1921", roots: 1,
		terms: func(p []float64) []Term {
			return []Term{{"W₀", "", p[0], []float64{1, 0}}, {"S", "1/√s", p[1], []float64{0, 1}}}
		},
	}
}

// Philip is W = W₀ + S·√t + A·t, creeping with a steady flow beside it
// [Philip1957]; with A below 0, the bend that a coming end gives it.
func Philip() Law {
	return Law{
		Name: "philip", Formula: "W = W₀ + S·√t + A·t", Source: "Philip1957", roots: 2,
		terms: func(p []float64) []Term {
			return []Term{
				{"W₀", "", p[0], []float64{1, 0, 0}}, {"S", "1/√s", p[1], []float64{0, 1, 0}}, {"A", "1/s", p[2], []float64{0, 0, 1}},
			}
		},
	}
}

func saturation(p []float64) Term {
	g := make([]float64, len(p))
	g[0] = 1
	return Term{"W∞", "", p[0], g}
}

// solve finds where a rising function is a value, between two places.
func solve(f func(float64) float64, value, low, high float64) float64 {
	for range 200 {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if f(mid) < value {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}
