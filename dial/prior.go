package dial

import (
	"math"

	"fallwright.example/num/dist"
	"fallwright.example/rope"
)

// What is not known of rope and rig, beside the rope's modulus. The first ones
// act in the simulated tower; gain, rise and course act on what is read of it.
const (
	growth     = iota // B of the sliding law
	branch            // factor on E₂
	relaxation        // τ, s
	friction          // μ
	slip              // m, paid out by tight knots
	tighten           // N, T_k of the knots
	guide             // share of the weight that the guide takes
	gain              // of the cell, as ln
	rise              // ln of the fifth peak over the first
	course            // how soon the rise comes, in falls
	traits

	simulated = gain
)

// trait is a middle and a standard deviation.
type trait struct{ middle, sd float64 }

// prior is what is thought before anything is known of this rope.
type prior struct {
	factors []float64 // on the moduli of the usual rope
	weights []float64 // of each, together 1
	traits  [traits]trait
	law     func(factor float64, x *[traits]float64, length float64) rope.Law
	scatter float64 // sd of ln peak from specimen to specimen
	repeat  float64 // sd of ln peak from fall to fall of one specimen, with the setting's and the reading's
	makers  float64 // sd of ln of a published force: another lot, another rig, knots

	betweenModuli [][]float64 // shares of the moduli simulated in each node
}

func (p *prior) lowest() float64  { return math.Log(p.factors[0]) }
func (p *prior) highest() float64 { return math.Log(p.factors[len(p.factors)-1]) }

// middles are the middles of the traits.
func (p *prior) middles() (x [traits]float64) {
	for i, t := range p.traits {
		x[i] = t.middle
	}
	return x
}

// uniform is the trait with middle and spread of what is equally likely between
// two limits.
func uniform(low, high float64) trait { return trait{(low + high) / 2, (high - low) / math.Sqrt(12)} }

// unknownRope is the prior when nothing is stated: docs/METHODS.md, Dialling in,
// says what it holds to be likely. The usual rope meets what makers print of
// one: 8 % under 80 kg, 9 kN and 32 % in a fall of 80 kg at a factor of 1.77.
// All of it is a choice of ours; the rise is common practice, no source.
func unknownRope() *prior {
	p := &prior{law: usualRope, scatter: 0.015, repeat: 0.012, makers: 0.06}
	p.grid(math.Log(0.45), math.Log(2.1), 25, 0.6, 1.6)
	p.traits = [traits]trait{
		growth: uniform(1.3, 4.1), branch: uniform(0.6, 1.4), relaxation: uniform(0.08, 0.25), friction: uniform(0.05, 0.35),
		slip: uniform(0.02, 0.10), tighten: uniform(800, 2500), guide: uniform(0, 0.08),
		gain: {0, 0.015}, rise: {0.161, 0.037}, course: uniform(0.7, 2.5),
	}
	return p
}

// grid sets nodes between two logarithms of the factor: as likely at the lower end
// of a range as at the upper and between, with both ends soft.
func (p *prior) grid(from, to float64, nodes int, low, high float64) {
	const softness = 0.05
	p.factors, p.weights, p.betweenModuli = nil, nil, nil
	points := chebyshev(moduli, from, to)
	total := 0.0
	for i := range nodes {
		x := from + (to-from)*float64(i)/float64(nodes-1)
		w := math.Exp(x) * dist.Normal((x-math.Log(low))/softness) * dist.Normal((math.Log(high)-x)/softness)
		p.factors, p.weights, total = append(p.factors, math.Exp(x)), append(p.weights, w), total+w
		p.betweenModuli = append(p.betweenModuli, lagrange(points, x))
	}
	for i := range p.weights {
		p.weights[i] /= total
	}
}

// usualRope is a rope with knots whose moduli are the usual ones times a factor.
func usualRope(factor float64, x *[traits]float64, length float64) rope.Law {
	return rope.Knotted{
		Law: rope.Sliding{
			Stiffening: rope.Stiffening{Equilibrium: 7700 * factor, Growth: x[growth], Branch: 27000 * factor * x[branch], Relaxation: x[relaxation]},
			Contact:    40000 * factor, Ease: 30, Friction: x[friction],
		},
		Slip: x[slip] / length, Force: x[tighten], Delay: 0.01,
	}
}

// rising is the share of the fifth fall's rise that fall n has.
func rising(n int, course float64) float64 {
	return math.Expm1(-float64(n-1)/course) / math.Expm1(-4/course)
}
