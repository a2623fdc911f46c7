package refdata

import (
	_ "embed"
	"fmt"
	"strings"
)

// BinPacking is a published packing of sizes into bins of one length, with the
// fewest bins.
type BinPacking struct {
	Name   string
	Length int
	Bins   int
	Sizes  []int
}

//go:embed cutting/falkenauer.txt
var falkenauer string

// Falkenauer returns seven instances of [Falkenauer1996], six of the uniform
// class and one made of triplets that fill a bin each.
func Falkenauer() ([]BinPacking, error) {
	var out []BinPacking
	for line := range strings.Lines(falkenauer) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		fields := strings.Fields(line)
		b := BinPacking{Name: fields[0], Sizes: make([]int, len(fields)-3)}
		if _, err := fmt.Sscan(strings.Join(fields[1:3], " "), &b.Length, &b.Bins); err != nil {
			return nil, fmt.Errorf("%s: %w", b.Name, err)
		}
		for i, f := range fields[3:] {
			if _, err := fmt.Sscan(f, &b.Sizes[i]); err != nil {
				return nil, fmt.Errorf("%s: %w", b.Name, err)
			}
		}
		out = append(out, b)
	}
	return out, nil
}
