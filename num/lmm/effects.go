package lmm

// Effects returns the predicted random effects of a term, by the numbers of its
// levels as given: the intercept, and the slope where there is one, at the
// origin of the slope as given. They are the best linear unbiased predictions at
// the estimated variances,
//
//	b̂ = Σ_b·Z'·V⁻¹·(y − Xβ̂)
//
// drawn towards zero the more, the less the term's variance is beside the
// residual's. It returns nil for a term that is not there.
func (f *Fit) Effects(term int) map[int][]float64 {
	if term < 0 || term >= len(f.Components) {
		return nil
	}
	out := map[int][]float64{}
	for i := range f.frame.blocks {
		b := &f.frame.blocks[i]
		if b.from != term {
			continue
		}
		t := b.origin()
		for l, given := range b.given {
			if out[given] == nil {
				out[given] = make([]float64, len(f.Components[term].Effects))
			}
			for r := range b.k {
				for c := range b.k {
					out[given][b.effect+r] += t[r][c] * f.random[b.offset+l*b.k+c]
				}
			}
		}
	}
	return out
}

// Fitted returns Xβ̂ + Zb̂, the values without their residuals.
func (f *Fit) Fitted() []float64 {
	out := f.fixed()
	columns, values := f.frame.row()
	for i := range out {
		f.frame.fill(i, columns, values)
		for k, c := range columns {
			out[i] += values[k] * f.random[c]
		}
	}
	return out
}

// Residuals returns y less Fitted. Their spread is smaller than the residual
// standard deviation, the more so the fewer rows a level has.
func (f *Fit) Residuals() []float64 {
	out := f.Fitted()
	for i, v := range out {
		out[i] = f.y[i] - v
	}
	return out
}
