package trace

// middle is the value at half the length of some in order, which puts those below
// it before it and those above behind: as in order as is needed.
func middle(x []float64) float64 {
	half := len(x) / 2
	for low, high := 0, len(x)-1; low < high; {
		at, i, j := x[(low+high)/2], low, high
		for i <= j {
			for x[i] < at {
				i++
			}
			for x[j] > at {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case half <= j:
			high = j
		case half >= i:
			low = i
		default:
			return x[half]
		}
	}
	return x[half]
}
