package fit

// Known is a fitted law as those take it who go on with it: package field, and a
// state in the file of a fall on the wall. The knots of a knotted form are left
// out: it is the rope with its knots tight.
type Known struct {
	Law        string   // as package field names it, Form.Key
	Names      []string // of its parameters, by the same
	Units      []string
	Values     []float64   // SI
	Covariance [][]float64 // of Values; zeros where a parameter is at a bound
	Fitted     Range
}

// Range is how far falls went that a law was fitted to.
type Range struct {
	Strain float64 // largest stretch over length
	Rate   float64 // 1/s, largest stretch rate over length
	Force  float64 // N, largest
}

func (r Range) with(o Range) Range {
	return Range{max(r.Strain, o.Strain), max(r.Rate, o.Rate), max(r.Force, o.Force)}
}

// Covariance is that of the law's parameters, in their own units (not of their
// logarithms) and in the order of the form: rows and columns of a parameter at a
// bound are zero. τ is in it. Where a standard error is not small beside its
// value, the interval of the Parameter says more.
func (f *Fit) Covariance() [][]float64 { return natural(f.covariance, f.values()) }

// Known is the law with its covariance and range.
func (f *Fit) Known() Known { return f.Form.known(f.values(), f.Covariance(), f.Reached) }

// values are the law's parameters in the order of the form.
func (f *Fit) values() []float64 {
	var out []float64
	for k := range f.Form.terms {
		out = append(out, f.Parameters[k].Value)
	}
	return out
}

func (f Form) known(values []float64, covariance [][]float64, reached Range) Known {
	n := f.own()
	k := Known{Law: f.key, Names: f.Keys()[:n], Values: values[:n], Fitted: reached}
	for i := range n {
		k.Units = append(k.Units, f.terms[i].unit)
		k.Covariance = append(k.Covariance, covariance[i][:n])
	}
	return k
}

// natural turns the covariance of logarithms into that of their numbers.
func natural(of [][]float64, values []float64) [][]float64 {
	out := make([][]float64, len(values))
	for i := range out {
		out[i] = make([]float64, len(values))
		for j := range i + 1 {
			out[i][j] = values[i] * of[i][j] * values[j]
			out[j][i] = out[i][j]
		}
	}
	return out
}
