package trace

import (
	"math"
	"math/rand/v2"
)

// The reference fall: 80 kg, 2.8 m of rope, 4.8 m free fall, standard gravity.
const (
	refMass, refLength, refDrop = 80.0, 2.8, 4.8
)

// law is a rope for the reference falls: force from stretch, its rate and one
// inner force q, and how q moves. Moduli are in N per unit strain.
// guide is the share of the weight that a guide holds the mass back with on the way
// down, and so the share of the drop's energy that it takes, hold that from first
// contact on.
type law struct{ k1, k2, tau, c, guide, hold float64 }

func linear(m float64) law { return law{k1: m / refLength} }
func kelvinVoigt(m, zeta float64) law {
	k := m / refLength
	return law{k1: k, c: 2 * zeta * math.Sqrt(k*refMass)}
}
func zener(e1, e2, tau float64) law { return law{k1: e1 / refLength, k2: e2 / refLength, tau: tau} }

// behind is the rope in a rig whose guide takes a share, of the weight another one
// after contact.
func (l law) behind(share, hold float64) law {
	l.guide, l.hold = share, hold
	return l
}

// speed is the mass's at contact, pull what it is accelerated with when it moves
// at v and the rope holds it with f.
func (l law) speed() float64 { return math.Sqrt(2 * StandardGravity * refDrop * (1 - l.guide)) }

func (l law) pull(v, f float64) float64 {
	return StandardGravity*(1-math.Copysign(l.hold, v)) - f/refMass
}

func (l law) force(x, v, q float64) float64 { return max(0, l.k1*x+q+l.c*v) }

// fallTrace integrates the mass from contact through its bounces with steps of
// 10 µs by the classical fourth-order Runge-Kutta method and samples the force,
// after lead seconds at zero. The rope pulls only while it is stretched.
func fallTrace(l law, rate, lead, seconds float64) *Recording {
	const h = 1e-5
	x, v, q, t := 0.0, l.speed(), 0.0, 0.0
	slope := func(x, v, q float64) (dx, dv, dq float64) {
		f := 0.0
		if x > 0 {
			f = l.force(x, v, q)
			dq = l.k2 * v
		}
		if l.tau > 0 {
			dq -= q / l.tau
		}
		return v, l.pull(v, f), dq
	}
	force := func() float64 {
		if x <= 0 {
			return 0
		}
		return l.force(x, v, q)
	}
	rec := &Recording{Unit: "N"}
	for i := 0; ; i++ {
		at := float64(i)/rate - lead
		if at > seconds {
			return rec
		}
		for t+h/2 < at {
			s := min(h, at-t)
			a, b, c := slope(x, v, q)
			d, e, f := slope(x+s/2*a, v+s/2*b, q+s/2*c)
			g, j, k := slope(x+s/2*d, v+s/2*e, q+s/2*f)
			m, n, o := slope(x+s*g, v+s*j, q+s*k)
			x += s / 6 * (a + 2*d + 2*g + m)
			v += s / 6 * (b + 2*e + 2*j + n)
			q += s / 6 * (c + 2*f + 2*k + o)
			if x <= 0 && v < 0 && l.tau == 0 {
				q = 0
			}
			t += s
		}
		f := 0.0
		if at >= 0 {
			f = force()
		}
		rec.Time = append(rec.Time, float64(i)/rate)
		rec.Force = append(rec.Force, f)
	}
}

// spoil adds what a cell adds: noise, an offset, a turned sign.
func spoil(rec *Recording, noise, offset, sign float64, seed uint64) *Recording {
	rng := rand.New(rand.NewPCG(seed, 1))
	out := *rec
	out.Force = make([]float64, len(rec.Force))
	for i, f := range rec.Force {
		out.Force[i] = sign*f + offset + noise*rng.NormFloat64()
	}
	return &out
}
