package power

import (
	"math"
	"math/rand/v2"

	"fallwright.example/compare"
)

// stream is a source of chance that is set anew for each part of each study, so
// that what one part takes does not move the others, and a larger plan meets the
// same specimens and more.
type stream struct {
	pcg *rand.PCG
	*rand.Rand
}

func newStream() stream {
	pcg := rand.NewPCG(0, 0)
	return stream{pcg, rand.New(pcg)}
}

// set goes to the part of a study.
func (s stream) set(seed, study, part uint64) { s.pcg.Seed(mix(seed, study), mix(part, seed)) }

// mix makes a seed of two (the finaliser of SplitMix64).
func mix(seed, i uint64) uint64 {
	z := seed + (i+1)*0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Parts of a study.
const (
	forVariances = 1 << 40
	forSides     = 2 << 40
	forSquares   = 3 << 40
	forBlocks    = 4 << 40
	forSpecimens = 5 << 40
)

// chi draws χ² on df degrees of freedom by [MarsagliaTsang2000], of which the first
// normal is taken more than nine times in ten, so that the same chance at other
// degrees of freedom gives a value as far up in its own distribution.
func (s stream) chi(df float64) float64 {
	boost := s.Float64()
	a := df / 2
	scale := 2.0
	if a < 1 {
		scale *= math.Pow(boost, 1/a)
		a++
	}
	d := a - 1.0/3
	c := 1 / math.Sqrt(9*d)
	for {
		x := s.NormFloat64()
		v := 1 + c*x
		if v <= 0 {
			continue
		}
		v = v * v * v
		if u := s.Float64(); math.Log(u) < x*x/2+d*(1-v+math.Log(v)) {
			return scale * d * v
		}
	}
}

// drawer draws and judges studies of a bench, one at a time.
type drawer struct {
	*bench
	random  stream
	sd      []float64 // beside Parts
	xi      []float64
	sides   []float64
	squares []float64
	normal  []float64
	values  []float64
	strata  *compare.BalancedJudge
	fitted  *compare.Judge
}

func (b *bench) drawer() (*drawer, error) {
	d := &drawer{bench: b, random: newStream(), sd: make([]float64, len(b.plan.Variances.Parts))}
	if b.balanced != nil {
		k := len(b.balanced.Degrees)
		d.xi, d.squares = make([]float64, k), make([]float64, k)
		d.sides, d.normal = make([]float64, b.balanced.Sides), make([]float64, b.balanced.Sides)
		d.strata = b.balanced.Judge()
		return d, nil
	}
	d.values = make([]float64, len(b.cell))
	d.drawValues(1 << 62) // a study that is none of those counted
	var err error
	d.fitted, err = b.layout.Judge(d.values)
	return d, err
}

// study draws study i and judges it.
func (d *drawer) study(i uint64, wide bool, out []compare.Outcome) error {
	if d.strata == nil {
		d.drawValues(i)
		return d.fitted.Outcomes(d.values, out)
	}
	d.drawStrata(i)
	return d.strata.Outcomes(d.sides, d.squares, wide, out)
}

// variances sets sd for study i.
func (d *drawer) variances(i uint64) {
	d.plan.Variances.draw(func(part int, df float64) float64 {
		d.random.set(d.seed, i, forVariances+uint64(part))
		return d.random.chi(df)
	}, d.sd)
}

// drawStrata draws the sides, normal about their expectation with the covariance
// Σ ξₖ·Partsₖ, and the sums of squares, ξₖ·χ².
func (d *drawer) drawStrata(i uint64) {
	d.variances(i)
	b := d.balanced
	for k := range d.xi {
		d.xi[k] = d.mean(k)
	}
	copy(d.sides, d.expected)
	m := b.Sides
	for k, xi := range d.xi {
		d.random.set(d.seed, i, forSides+uint64(k))
		for j := range d.normal {
			d.normal[j] = math.Sqrt(xi) * d.random.NormFloat64()
		}
		root := d.root[k]
		for r := range m {
			d.sides[r] += product(root[r*m:r*m+r+1], d.normal)
		}
		d.squares[k] = 0
		if b.Degrees[k] > 0 {
			d.random.set(d.seed, i, forSquares+uint64(k))
			d.squares[k] = xi * d.random.chi(b.Degrees[k])
		}
	}
}

// mean square to expect of stratum k.
func (d *drawer) mean(k int) float64 {
	xi := 0.0
	for t, times := range d.balanced.Load[k] {
		if at := d.parts.terms[t]; at >= 0 {
			xi += times * d.sd[at] * d.sd[at]
		}
	}
	if d.parts.lumped {
		xi += d.sd[d.parts.level] * d.sd[d.parts.level]
	}
	return xi
}

// drawValues draws a value for every row.
func (d *drawer) drawValues(i uint64) {
	d.variances(i)
	at := func(part int) float64 {
		if part < 0 {
			return 0
		}
		return d.sd[part]
	}
	level, trend, tie := at(d.parts.level), at(d.parts.trend), d.plan.Variances.Correlation
	row := 0
	for c, k := range d.plan.Conditions {
		residual := at(d.parts.residual)
		if d.plan.Ask.SpreadByCondition {
			for _, s := range d.plan.Variances.Spreads {
				if s.Condition == k.Name {
					residual = s.SD
				}
			}
		}
		for s := range k.Specimens {
			own := 0.0
			for n, block := range d.plan.Blocks {
				d.random.set(d.seed, i, forBlocks+uint64(n)<<20+uint64(block.level(c, s)))
				own += at(d.parts.blocks[n]) * d.random.NormFloat64()
			}
			d.random.set(d.seed, i, forSpecimens+uint64(c)<<20+uint64(s))
			z1, z2 := d.random.NormFloat64(), d.random.NormFloat64()
			own += level * z1
			slope := trend * (tie*z1 + math.Sqrt(1-tie*tie)*z2)
			for f := range d.plan.Falls {
				d.values[row] = d.cell[row] + own + slope*float64(f+1) + residual*d.random.NormFloat64()
				row++
			}
		}
	}
}

// semiRoot is the lower triangular L with LL' = a for a that may lack rank.
func semiRoot(a []float64, n int) []float64 {
	l := make([]float64, n*n)
	largest := 0.0
	for i := range n {
		largest = max(largest, a[i*n+i])
	}
	for i := range n {
		for j := range i + 1 {
			v := a[i*n+j] - product(l[i*n:i*n+j], l[j*n:j*n+j])
			switch {
			case i == j && v > 1e-12*largest:
				l[i*n+i] = math.Sqrt(v)
			case i != j && l[j*n+j] > 0:
				l[i*n+j] = v / l[j*n+j]
			}
		}
	}
	return l
}
