package problem

import "strings"

// Nearest returns the candidate that takes the fewest strokes to make of name,
// if these are few enough to be a slip: a third of its letters, at least one. Case
// does not matter, nor which of a hyphen, an underscore and a space it is.
func Nearest(name string, candidates []string) (string, bool) {
	plain := func(s string) string { return strings.NewReplacer("-", "_", " ", "_").Replace(strings.ToLower(s)) }
	best, fewest := "", max(1, len(name)/3)+1
	for _, c := range candidates {
		if n := strokes(plain(name), plain(c)); n < fewest {
			best, fewest = c, n
		}
	}
	return best, best != ""
}

// strokes is the number of letters to insert, delete, change or swap with their
// neighbour that makes one word of the other (Damerau's edit distance with
// each pair swapped at most once).
func strokes(a, b string) int {
	x, y := []rune(a), []rune(b)
	d := make([][]int, len(x)+1)
	for i := range d {
		d[i] = make([]int, len(y)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(x)][len(y)]
}
