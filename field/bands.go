package field

import (
	"math"

	"fallwright.example/problem"
)

// Doubt is what is known of the parameters of a catch, as a fit gives them: the
// law's, and any others that are uncertain. Make builds the catch of a set.
type Doubt struct {
	Names      []string
	Values     []float64
	Covariance [][]float64
	Make       func(values []float64) (Catch, error)
}

// Interval is a value with the limits of its interval.
type Interval struct{ Value, Low, High float64 }

// Bands are intervals of about 95 % for what a catch comes to. They hold what
// the doubt about the parameters does, and nothing of what the model leaves
// out.
type Bands struct {
	Climber, Belayer, Top       Interval // N
	Stretch, Below              Interval // m
	Clearance                   Interval // m
	WallNormal, WallSpeed       Interval // m/s; 0 where the wall is not met
	ReboundSpeed, ReboundHeight Interval
	Slipped, Lift               Interval // m
	Runs, WallMet, FloorHit     int      // catches computed; how many met the wall, hit the floor
	Outcome                     *Outcome // at the values themselves
}

// values are what the intervals are about, in the order of intervals.
func (o *Outcome) values() []float64 {
	normal, total := 0.0, 0.0
	if o.Wall != nil {
		normal, total = o.Wall.Normal, o.Wall.Speed
	}
	return []float64{
		o.Climber.Force, o.Belayer.Force, o.Top.Force, o.Stretch, o.Lowest.Below, o.Clearance,
		normal, total, o.Rebound.Speed, o.Rebound.Height, o.Slipped, o.Lift,
	}
}

func (b *Bands) intervals() []*Interval {
	return []*Interval{
		&b.Climber, &b.Belayer, &b.Top, &b.Stretch, &b.Below, &b.Clearance,
		&b.WallNormal, &b.WallSpeed, &b.ReboundSpeed, &b.ReboundHeight, &b.Slipped, &b.Lift,
	}
}

// Bands carries the doubt through the catch. With C = A·Aᵀ the covariance, the
// catch is computed at the values p and at p ± a for each column a of A; what
// goes up and what goes down is summed in squares, each on its own side:
//
//	high = f(p) + 1.96·√Σ max(f(p+a) − f(p), f(p−a) − f(p), 0)²
//
// and low likewise, so that a bent response has a lopsided interval. It is the
// law of propagation of [JCGM100] by finite steps of one standard uncertainty,
// exact where the response is a straight line; nothing is drawn by chance.
//
// It refuses a covariance that is none, and a parameter whose standard
// uncertainty leads out of the law's range.
func (d Doubt) Bands(o Options) (*Bands, error) {
	columns, about, err := d.columns()
	if err != nil {
		return nil, err
	}
	blame := func(run int, err error) error {
		if run == 0 {
			return err
		}
		return problem.New(problem.Invalid, about[(run-1)/2], "one standard uncertainty away the catch cannot be computed: %v", err).
			Hint("the parameter is too uncertain for an interval; fit it to more drops, or leave the uncertainty out")
	}
	runs := beside(d.Values, columns)
	outcomes, err := inParallel(len(runs), func(i int) (*Outcome, error) {
		c, err := d.Make(runs[i])
		if err != nil {
			return nil, blame(i, err)
		}
		one := o
		if i > 0 {
			one.Frames, one.bare = 0, true
		}
		out, err := c.Simulate(one)
		if err != nil {
			return nil, blame(i, err)
		}
		return out, nil
	})
	if err != nil {
		return nil, err
	}
	return gather(outcomes), nil
}

// beside are the values, and those one column up and one down of each.
func beside(values []float64, columns [][]float64) [][]float64 {
	runs := [][]float64{values}
	for _, a := range columns {
		up, down := make([]float64, len(a)), make([]float64, len(a))
		for i, v := range values {
			up[i], down[i] = v+a[i], v-a[i]
		}
		runs = append(runs, up, down)
	}
	return runs
}

// gather makes intervals of the catch at the values, the first, and those
// beside it in pairs.
func gather(all []*Outcome) *Bands {
	b := &Bands{Outcome: all[0], Runs: len(all)}
	first := all[0].values()
	up, down := make([]float64, len(first)), make([]float64, len(first))
	for i, o := range all {
		if o.Wall != nil {
			b.WallMet++
		}
		if o.Hit != nil {
			b.FloorHit++
		}
		if i%2 == 1 {
			one, two := o.values(), all[i+1].values()
			for j, v := range first {
				up[j] += math.Pow(max(one[j]-v, two[j]-v, 0), 2)
				down[j] += math.Pow(min(one[j]-v, two[j]-v, 0), 2)
			}
		}
	}
	const wide = 1.959964 // 97.5 % quantile of the normal distribution
	for j, to := range b.intervals() {
		*to = Interval{first[j], first[j] - wide*math.Sqrt(down[j]), first[j] + wide*math.Sqrt(up[j])}
		if first[j] >= 0 {
			to.Low = max(0, to.Low)
		}
	}
	return b
}

// columns are those of the Cholesky factor, each with the parameter that it
// begins with; a parameter without doubt of its own has none.
func (d Doubt) columns() (columns [][]float64, about []string, err error) {
	factor, err := d.factor()
	for j := range factor {
		if factor[j][j] == 0 {
			continue
		}
		column := make([]float64, len(factor))
		for i := j; i < len(factor); i++ {
			column[i] = factor[i][j]
		}
		columns, about = append(columns, column), append(about, d.Names[j])
	}
	return columns, about, err
}

// factor is A of C = A·Aᵀ, with zeros above its diagonal.
func (d Doubt) factor() ([][]float64, error) {
	n := len(d.Values)
	if len(d.Names) != n || len(d.Covariance) != n {
		return nil, problem.New(problem.Invalid, "covariance", "%d rows and %d names for %d parameters", len(d.Covariance), len(d.Names), n).
			Hint("give one row and one name for each")
	}
	factor := make([][]float64, n)
	for i := range n {
		if len(d.Covariance[i]) != n {
			return nil, problem.New(problem.Invalid, "covariance", "row %d has %d values for %d parameters", i+1, len(d.Covariance[i]), n)
		}
		factor[i] = make([]float64, n)
		for j := range i + 1 {
			sum := d.Covariance[i][j]
			size := math.Sqrt(math.Abs(d.Covariance[i][i] * d.Covariance[j][j]))
			if math.Abs(sum-d.Covariance[j][i]) > 1e-9*size || math.IsNaN(sum) {
				return nil, problem.New(problem.Invalid, "covariance", "%g of %s with %s and %g the other way round", sum, d.Names[i], d.Names[j], d.Covariance[j][i])
			}
			for k := range j {
				sum -= factor[i][k] * factor[j][k]
			}
			switch {
			case i != j && factor[j][j] > 0:
				factor[i][j] = sum / factor[j][j]
			case i == j && sum >= -1e-9*size:
				factor[i][i] = math.Sqrt(max(0, sum))
			case i == j:
				return nil, problem.New(problem.Invalid, "covariance", "no distribution has it: %s would have a negative variance beside those before it", d.Names[i])
			}
		}
	}
	return factor, nil
}

// Certain is a catch without doubt about it.
func Certain(c Catch) Doubt {
	return Doubt{Make: func([]float64) (Catch, error) { return c, nil }}
}
