package delimited

import "strings"

// Numerals is how the numbers of some cells are written, as the cells themselves
// show. It serves tables of text that are no traces.
type Numerals struct{ marks marks }

// See looks at a cell; one that is no number shows nothing.
func (n *Numerals) See(cell string) {
	if cell = unminus(cell); cell != "" {
		n.marks.add(seen{cell: []byte(cell)})
	}
}

// Settle says which mark, '.' or ',', comes before decimals, and whether the
// other parts thousands. Where the cells leave it open, doubt is one that can be
// read in two ways and mark is 0. Cells without any mark are read with a point.
func (n *Numerals) Settle() (mark byte, grouped bool, doubt string) {
	m := n.marks
	switch m.mark() {
	case '.':
		return '.', m.comma.parts.cell != nil, ""
	case ',':
		return ',', m.point.parts.cell != nil, ""
	}
	if c := m.comma.any(); c.cell != nil {
		return 0, false, string(c.cell)
	}
	if c := m.point.parts; c.cell != nil {
		return 0, false, string(c.cell)
	}
	return '.', false, ""
}

// Number reads a cell that is a number with the mark before its decimals. Blanks
// and apostrophes may part its thousands, and so may the other mark where that
// is plain from the cell or grouped says so.
func Number(cell string, mark byte, grouped bool) (float64, bool) {
	return dialect{mark, grouped}.finite([]byte(unminus(cell)))
}

// unminus writes the minus sign of typesetting as the hyphen that numbers have.
func unminus(cell string) string {
	return strings.ReplaceAll(strings.TrimSpace(cell), "\u2212", "-")
}
