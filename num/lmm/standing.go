package lmm

import (
	"fmt"
	"math"
)

// Standing tells how far each group of rows stands off from what the model says
// of it, in its own standard deviation,
//
//	s = d'Py/√(d'Pd),  P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹
//
// d being 1 in the rows of the group. With one row a group it is the residual of
// Residuals over its standard deviation, and just as well the value less what
// the other rows predict of it over the standard deviation of that. With the
// levels of a term of intercepts it is the predicted random effect over its
// standard deviation, and it still has a meaning when the variance of the term is
// zero. The variances are taken as known.
//
// group numbers the rows from 0; numbers without a row are NaN, and so is a
// group of which the fixed effects leave nothing over. It returns ErrShape or
// ErrRange for numbers that do not fit, ErrTooLarge beyond 6 000 rows that hang
// together.
func (f *Fit) Standing(group []int) ([]float64, error) {
	groups := 0
	for i, g := range group {
		if g < 0 {
			return nil, fmt.Errorf("%w: group %d in row %d, groups count from 0", ErrRange, g, i+1)
		}
		groups = max(groups, g+1)
	}
	if len(group) != f.N {
		return nil, fmt.Errorf("%w: %d group numbers for %d rows", ErrShape, len(group), f.N)
	}
	s := &standing{p: f.frame.basis.p, group: group, size: make([]float64, groups), square: make([]float64, groups)}
	s.x = make([]float64, groups*s.p)
	if err := f.eachSet(s.add); err != nil {
		return nil, err
	}
	out := make([]float64, groups)
	for g := range out {
		held := sandwich(s.x[g*s.p:g*s.p+s.p], f.phi, 1, s.p)[0]
		out[g] = math.NaN()
		if left := s.square[g] - held; left > 1e-10*s.square[g] {
			out[g] = s.size[g] / math.Sqrt(left)
		}
	}
	return out, nil
}

// standing sums over sets of rows: d'V⁻¹(y − Xβ), d'V⁻¹d and X'V⁻¹d by group.
type standing struct {
	p               int
	group           []int
	size, square, x []float64
}

func (s *standing) add(w *rowWork) {
	m, p := w.m, s.p
	for i, row := range w.rows {
		g := s.group[row]
		s.size[g] += w.r[i]
		axpy(1, w.ax[i*p:i*p+p], s.x[g*p:g*p+p])
		for j, other := range w.rows {
			if s.group[other] == g {
				s.square[g] += w.a[i*m+j]
			}
		}
	}
}

// eachSet calls do with V⁻¹, V⁻¹X and V⁻¹(y − Xβ) of each set of rows that are
// independent of the others.
func (f *Fit) eachSet(do func(*rowWork)) error {
	sets := f.frame.sets()
	most := 0
	for _, rows := range sets {
		most = max(most, len(rows))
	}
	if most > mostRows {
		return fmt.Errorf("%w: %d rows hang together by their random effects, the limit of this package is %d", ErrTooLarge, most, mostRows)
	}
	w := newRowWork(most, f.frame.basis.p, nil)
	residual := f.residuals()
	for _, rows := range sets {
		w.set(f, rows, residual)
		do(w)
	}
	return nil
}

// Distances returns y − Xβ̂, the values less their means, random effects and all.
func (f *Fit) Distances() []float64 { return f.residuals() }
