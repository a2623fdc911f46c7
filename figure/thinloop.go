package figure

// ThinLoop returns about so many points of a closed curve, given by its points
// in the order of time: of each of points/4 equal stretches the first point and
// those where x and y are smallest and largest, and the last point of all. The
// extremes of both are kept. A curve of no more points than that comes back
// whole. x and y must be as long as each other; the results share no memory
// with them.
func ThinLoop(x, y []float64, points int) (tx, ty []float64) {
	n := len(x)
	if n <= points || points < 4 {
		return append([]float64(nil), x...), append([]float64(nil), y...)
	}
	last := -1
	keep := func(i int) {
		if i > last {
			tx, ty, last = append(tx, x[i]), append(ty, y[i]), i
		}
	}
	stretches := points / 4
	for b := range stretches {
		from, end := b*n/stretches, (b+1)*n/stretches
		ex, ey := nothing, nothing
		ex.samples(x, from, end)
		ey.samples(y, from, end)
		keep(from)
		for _, i := range inOrder(ex.lowAt, ex.highAt, ey.lowAt, ey.highAt) {
			keep(int(i))
		}
	}
	keep(n - 1)
	return tx, ty
}

// inOrder puts four numbers in order.
func inOrder(a, b, c, d int32) [4]int32 {
	all := [4]int32{a, b, c, d}
	for i := range all {
		for j := i; j > 0 && all[j] < all[j-1]; j-- {
			all[j], all[j-1] = all[j-1], all[j]
		}
	}
	return all
}
