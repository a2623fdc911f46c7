package dsp

import "math"

// settled is the number of decay times after which nothing is left of a
// filter's start: e^−40 is below the rounding of a float64.
const settled = 40

// DecayTime is the time in seconds in which the filter's own motion dies away
// to 1/e, τ = √2/ωd: the poles of the two-pole Butterworth lie at
// ωd·(−1 ± i)/√2. It is also the delay of one pass for slow signals.
func (f CFC) DecayTime() float64 {
	return math.Sqrt2 / (2 * math.Pi * float64(f.class) * designConstant)
}

// Padding is the number of samples put before and after a signal so that the
// filter's start does not reach it: 40 decay times, which leaves less of it
// than rounding does, and at least the 10 ms that [J211] recommends. 72 ms for
// CFC 60, 24 ms for CFC 180.
func (f CFC) Padding() int {
	return int(math.Ceil(max(0.010, settled*f.DecayTime()) * f.rate))
}

// Phaseless returns src after a forward and a backward pass; src is not
// changed. See PhaselessInto.
func (f CFC) Phaseless(src []float64, pad int) []float64 {
	if len(src) == 0 {
		return nil
	}
	dst := make([]float64, len(src))
	f.PhaselessInto(dst, src, pad)
	return dst
}

// PhaselessInto puts src after a forward and a backward pass into dst, which
// has its length and may be src itself.
//
// Both ends are continued by reflection through the end value (2·x₀ − x₁,
// 2·x₀ − x₂, …) over pad samples, at most len(src)−1, and each pass starts as
// if its first value had always been there. What comes of the padding is
// discarded. So a constant comes back exactly, a signal that ends high does not
// ring, and a straight line comes back but for
//
//	|slope|·τ·e^(−pad/(τ·fs)),  slope per second,
//
// at most, at the ends: a pass delays a line by τ, its start takes it for a
// constant, and the difference dies away as τ·e^(−t/τ)·cos(t/τ). With Padding
// that is nothing. pad 0 is allowed. A sample that is not finite spoils the
// whole result: look for those before.
func (f CFC) PhaselessInto(dst, src []float64, pad int) {
	n := len(src)
	if n == 0 {
		return
	}
	dst = dst[:n]
	pad = max(0, min(pad, n-1))
	before, after := make([]float64, pad), make([]float64, pad)
	for i := 1; i <= pad; i++ {
		before[pad-i] = 2*src[0] - src[i]
		after[i-1] = 2*src[n-1] - src[n-1-i]
	}
	first := src[0]
	if pad > 0 {
		first = before[0]
	}
	s := state{base: first}
	s = f.run(before, before, ahead, s)
	s = f.long(dst, src, ahead, s)
	f.run(after, after, ahead, s)
	last := dst[n-1]
	if pad > 0 {
		last = after[pad-1]
	}
	s = f.run(after, after, back, state{base: last})
	f.long(dst, dst, back, s)
}

// The two ways through the samples.
const ahead, back = 1, -1

// state is a pass between two samples. All values are taken from base, the
// pass's first: zeros are then the state of a constant, and a constant is
// exact.
type state struct{ base, x1, x2, y1, y2 float64 }

// long filters src into dst, which may be src, both halves at once: each sample
// waits for the one before, so two chains take little longer than one. The
// later half starts settled decay times early from any state, which is forgotten
// when it gets there, so the result is that of run to rounding.
func (f CFC) long(dst, src []float64, way int, s state) state {
	n, lead := len(src), int(math.Ceil(settled*f.DecayTime()*f.rate))
	half := n / 2
	if half < 2*lead {
		return f.run(dst, src, way, s)
	}
	// Where the halves start, the sample over and the samples that lead into the
	// later half.
	near, far, over, early := 0, half, 2*half, half-lead
	if way == back {
		near, far, over, early = n-half, n-2*half, 0, n-half
	}
	t := f.run(make([]float64, lead), src[early:early+lead], way, state{base: s.base})
	t = f.two(dst[near:near+half], src[near:near+half], dst[far:far+half], src[far:far+half], way, s, t)
	return f.run(dst[over:over+n%2], src[over:over+n%2], way, t)
}

// run filters src into dst, which may be src.
func (f CFC) run(dst, src []float64, way int, s state) state {
	a, b1, b2, base := f.A0, f.B1, f.B2, s.base
	x1, y1, y2, pair := s.x1, s.y1, s.y2, s.x1+s.x2
	i := 0
	if way == back {
		i = len(src) - 1
	}
	dst = dst[:len(src)]
	for range src {
		x := src[i] - base
		next := x + x1
		y := a*(next+pair) + b2*y2 + b1*y1
		dst[i] = y + base
		x1, pair, y2, y1 = x, next, y1, y
		i += way
	}
	return state{base, x1, pair - x1, y1, y2}
}

// two is run on two stretches of the same length at once; it returns the state
// after the second.
func (f CFC) two(dst, src, dst2, src2 []float64, way int, s, t state) state {
	a, b1, b2, base := f.A0, f.B1, f.B2, s.base
	x1, y1, y2, pair := s.x1, s.y1, s.y2, s.x1+s.x2
	u1, z1, z2, twin := t.x1, t.y1, t.y2, t.x1+t.x2
	i := 0
	if way == back {
		i = len(src) - 1
	}
	dst, dst2, src2 = dst[:len(src)], dst2[:len(src)], src2[:len(src)]
	for range src {
		x, u := src[i]-base, src2[i]-base
		next, after := x+x1, u+u1
		y := a*(next+pair) + b2*y2 + b1*y1
		z := a*(after+twin) + b2*z2 + b1*z1
		dst[i], dst2[i] = y+base, z+base
		x1, pair, y2, y1 = x, next, y1, y
		u1, twin, z2, z1 = u, after, z1, z
		i += way
	}
	return state{base, u1, twin - u1, z1, z2}
}
