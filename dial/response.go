package dial

import (
	"math"

	"fallwright.example/fall"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

// simulator simulates first contacts in one memory.
type simulator struct {
	fall.Simulator
	prior   *prior
	gravity float64
}

// peak is ln of the first fall's peak, and the stretch in metres.
func (s *simulator) peak(at Setting, factor float64, x *[traits]float64) (logPeak, stretch float64, err error) {
	w := fall.Tower{
		Mass: at.Mass, Drop: at.Drop, Friction: x[guide] * at.Mass * s.gravity, Gravity: s.gravity,
		Rope: rope.Piece{Law: s.prior.law(factor, x, at.FreeLength), Length: at.FreeLength},
	}
	// Until a little after the top, by a soft spring; if that was too early, longer.
	until := math.Pi * math.Sqrt(at.Mass*at.FreeLength/(20000*factor))
	for range 4 {
		run, err := s.Simulate(w, fall.Watch{FromContact: true, Until: until, Accuracy: 1e-3})
		if err != nil {
			return 0, 0, err
		}
		if !math.IsNaN(run.Peak) && !math.IsNaN(run.MaxStretch) {
			return math.Log(run.Peak), run.MaxStretch, nil
		}
		until *= 2
	}
	return 0, 0, problem.New(problem.Invalid, "rope", "its peak is not over after %.3g s", until/2)
}

// response is what one setting does in each node of the modulus: ln of the first
// fall's peak, what a standard deviation of each trait adds to it, and the
// stretch. The peak is that with every trait at its middle and half of what the
// curvature over one standard deviation adds, which is the mean over the trait.
type response struct {
	log     []float64
	slopes  [][simulated]float64
	stretch []float64
}

// What is simulated is smooth in ln of the modulus and in the root of the drop:
// few simulations between which polynomials go tell the rest (TestSurface).
const (
	moduli = 5
	drops  = 6
)

// stake is what is simulated at one modulus: ln of the peak, its differences by
// the traits, and the stretch.
type stake [simulated + 2]float64

// stakes simulates a setting at some moduli: differences are central, over one
// standard deviation to each side.
func (s *simulator) stakes(at Setting) ([moduli]stake, error) {
	var out [moduli]stake
	for k, logFactor := range chebyshev(moduli, s.prior.lowest(), s.prior.highest()) {
		factor := math.Exp(logFactor)
		x := s.prior.middles()
		log, stretch, err := s.peak(at, factor, &x)
		if err != nil {
			return out, err
		}
		out[k][simulated], out[k][simulated+1] = log, stretch
		for i, t := range s.prior.traits[:simulated] {
			if t.sd == 0 {
				continue
			}
			var sides [2]float64
			for side := range sides {
				x[i] = t.middle + t.sd*float64(1-2*side)
				if sides[side], _, err = s.peak(at, factor, &x); err != nil {
					return out, err
				}
			}
			x[i] = t.middle
			out[k][i] = (sides[0] - sides[1]) / 2
			out[k][simulated] += (sides[0] + sides[1] - 2*log) / 2
		}
	}
	return out, nil
}

// respond is the response to one setting.
func (s *simulator) respond(at Setting) (*response, error) {
	st, err := s.stakes(at)
	if err != nil {
		return nil, err
	}
	return s.prior.spread(&st), nil
}

// spread goes from the moduli simulated to the nodes.
func (p *prior) spread(st *[moduli]stake) *response {
	n := len(p.factors)
	r := &response{make([]float64, n), make([][simulated]float64, n), make([]float64, n)}
	for k, row := range p.betweenModuli {
		for j, share := range row {
			r.log[k] += share * st[j][simulated]
			r.stretch[k] += share * st[j][simulated+1]
			for i := range r.slopes[k] {
				r.slopes[k][i] += share * st[j][i]
			}
		}
	}
	return r
}

// surface is the response over drops, for one mass and one free length.
type surface struct {
	mass, length float64
	prior        *prior
	roots        []float64 // of the drops simulated
	stakes       [][moduli]stake
}

// survey simulates a surface from the lowest drop to the highest.
func (s *simulator) survey(f *surface, lowest, highest float64) error {
	f.prior, f.roots = s.prior, chebyshev(drops, math.Sqrt(lowest), math.Sqrt(highest))
	for _, root := range f.roots {
		st, err := s.stakes(Setting{f.mass, root * root, f.length})
		if err != nil {
			return err
		}
		f.stakes = append(f.stakes, st)
	}
	return nil
}

// at is the response at a drop.
func (f *surface) at(drop float64) *response {
	var sum [moduli]stake
	for d, share := range lagrange(f.roots, math.Sqrt(drop)) {
		for k := range sum {
			for i := range sum[k] {
				sum[k][i] += share * f.stakes[d][k][i]
			}
		}
	}
	return f.prior.spread(&sum)
}

// chebyshev are n points between two limits, the ends among them, where a
// polynomial through them stays close.
func chebyshev(n int, low, high float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = (low+high)/2 - (high-low)/2*math.Cos(math.Pi*float64(i)/float64(n-1))
	}
	return out
}

// lagrange are the shares that the values at points have in that of the
// polynomial through them at x. Where all points are one, so is the value.
func lagrange(points []float64, x float64) []float64 {
	out := make([]float64, len(points))
	if points[0] == points[len(points)-1] {
		out[0] = 1
		return out
	}
	for i, p := range points {
		out[i] = 1
		for j, q := range points {
			if i != j {
				out[i] *= (x - q) / (p - q)
			}
		}
	}
	return out
}
