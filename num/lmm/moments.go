package lmm

// moments are the cross products of the columns of Q and Z by residual group,
// from which a deviance is had without touching the rows.
type moments struct {
	qq, zq, zz [][]float64 // by group: p by p, q by p, q by q
}

func newMoments(f *frame) *moments {
	p, q := f.basis.p, f.q
	m := &moments{}
	for range f.groups {
		m.qq = append(m.qq, make([]float64, p*p))
		m.zq = append(m.zq, make([]float64, q*p))
		m.zz = append(m.zz, make([]float64, q*q))
	}
	columns, values := f.row()
	for i := range f.n {
		g, qi := f.group[i], f.basis.q[i*p:i*p+p]
		f.fill(i, columns, values)
		for a, ca := range columns {
			axpy(values[a], qi, m.zq[g][ca*p:ca*p+p])
			for b, cb := range columns {
				m.zz[g][ca*q+cb] += values[a] * values[b]
			}
		}
		if f.groups > 1 {
			for a, v := range qi {
				axpy(v, qi, m.qq[g][a*p:a*p+p])
			}
		}
	}
	if f.groups == 1 { // Q is orthonormal
		for a := range p {
			m.qq[0][a*p+a] = 1
		}
	}
	return m
}

// row returns room for the entries of a row of Z.
func (f *frame) row() ([]int, []float64) {
	k := 0
	for _, b := range f.blocks {
		k += b.k
	}
	return make([]int, k), make([]float64, k)
}

// fill writes the columns and values of row i of Z.
func (f *frame) fill(i int, columns []int, values []float64) {
	at := 0
	for b := range f.blocks {
		bl := &f.blocks[b]
		for c := range bl.k {
			columns[at] = bl.offset + bl.level[i]*bl.k + c
			values[at] = bl.z[c][i]
			at++
		}
	}
}

// timesLambda overwrites the rows by q matrix a with a·Λ.
func (f *frame) timesLambda(theta, a []float64, rows int) {
	for b := range f.blocks {
		bl := &f.blocks[b]
		width := bl.levels * bl.k
		for r := range rows {
			part := a[r*f.q+bl.offset:][:width]
			bl.timesLambda(theta, part)
		}
	}
}

// timesLambda overwrites the entries of one row for all levels with row·Λ.
func (b *block) timesLambda(theta, part []float64) {
	if b.k == 1 {
		scale(theta[b.theta], part)
		return
	}
	t0, t1, t2 := theta[b.theta], theta[b.theta+1], theta[b.theta+2]
	for l := 0; l < len(part); l += 2 {
		part[l], part[l+1] = part[l]*t0+part[l+1]*t1, part[l+1]*t2
	}
}

// lambdaTimes overwrites the q by columns matrix a with Λ'·a.
func (f *frame) lambdaTimes(theta, a []float64, columns int) {
	for b := range f.blocks {
		bl := &f.blocks[b]
		for l := range bl.levels {
			at := (bl.offset + l*bl.k) * columns
			first := a[at : at+columns]
			if bl.k == 1 {
				scale(theta[bl.theta], first)
				continue
			}
			second := a[at+columns : at+2*columns]
			t0, t1, t2 := theta[bl.theta], theta[bl.theta+1], theta[bl.theta+2]
			for j := range first {
				first[j], second[j] = t0*first[j]+t1*second[j], t2*second[j]
			}
		}
	}
}

// spread overwrites the vector u of q with Λ·u.
func (f *frame) spread(theta, u []float64) {
	for b := range f.blocks {
		bl := &f.blocks[b]
		for l := range bl.levels {
			at := bl.offset + l*bl.k
			if bl.k == 1 {
				u[at] *= theta[bl.theta]
				continue
			}
			t := theta[bl.theta:]
			u[at], u[at+1] = t[0]*u[at], t[1]*u[at]+t[2]*u[at+1]
		}
	}
}
