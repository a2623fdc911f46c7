package lmm

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
)

// Simulate draws new values from the fitted model, y = Xβ + Zb + ε with new
// random effects and residuals. The same seed always gives the same values.
func (f *Fit) Simulate(seed uint64) []float64 {
	out := make([]float64, f.N)
	f.simulate(seed, f.fixed(), out)
	return out
}

// fixed is Xβ.
func (f *Fit) fixed() []float64 {
	p, along := f.frame.basis.p, f.along()
	out := make([]float64, f.N)
	for i := range out {
		out[i] = dot(f.frame.basis.q[i*p:i*p+p], along)
	}
	return out
}

func (f *Fit) simulate(seed uint64, fixed, out []float64) {
	random := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))
	fr := f.frame
	copy(out, fixed)
	b := make([]float64, fr.q)
	sd := math.Sqrt(f.ResidualVariance)
	for i := range b {
		b[i] = sd * random.NormFloat64()
	}
	fr.spread(f.Theta, b)
	for k := range fr.blocks {
		bl := &fr.blocks[k]
		for i, l := range bl.level {
			for c := range bl.k {
				out[i] += bl.z[c][i] * b[bl.offset+l*bl.k+c]
			}
		}
	}
	for i := range out {
		out[i] += f.ResidualSD[fr.group[i]] * random.NormFloat64()
	}
}

// Bootstrap is what a parametric bootstrap gave.
type Bootstrap struct {
	Values  [][]float64 // one a draw, in the order of the draws; nil where the fit was refused
	Refused int         // draws that could not be fitted
	Zero    int         // fits with a parameter at its bound
}

// Bootstrap draws values from the fitted model, refits, and keeps what of each
// fit is wanted. Draw i depends on seed and i only, so the result is the same
// with any number of workers, who fit side by side; of is called by all of them.
//
// It returns ErrRange for no draws or workers, and ErrNotConverged when more than one in
// ten could not be fitted.
func (f *Fit) Bootstrap(draws int, seed uint64, workers int, of func(*Fit) []float64) (*Bootstrap, error) {
	if draws < 1 || workers < 1 {
		return nil, fmt.Errorf("%w: %d draws by %d workers", ErrRange, draws, workers)
	}
	out := &Bootstrap{Values: make([][]float64, draws)}
	fixed := f.fixed()
	done := make(chan [2]int)
	for w := range workers {
		go func() {
			var refused, zero int
			e, y := f.frame.newEngine(), make([]float64, f.N)
			for i := w; i < draws; i += workers {
				f.simulate(mix(seed, uint64(i)), fixed, y)
				g, err := f.refit(e, y)
				if err != nil {
					refused++
					continue
				}
				zero += int(one(len(g.Record.Boundary) > 0))
				out.Values[i] = of(g)
			}
			done <- [2]int{refused, zero}
		}()
	}
	for range workers {
		counts := <-done
		out.Refused += counts[0]
		out.Zero += counts[1]
	}
	if 10*out.Refused > draws {
		return out, errors.Join(ErrNotConverged, fmt.Errorf("%d of %d draws could not be fitted", out.Refused, draws))
	}
	return out, nil
}

// mix makes a seed of its own for each draw (the finaliser of SplitMix64).
func mix(seed, i uint64) uint64 {
	z := seed + (i+1)*0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
