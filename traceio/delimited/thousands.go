package delimited

import "bytes"

// spacers part thousands and nothing else: blanks of all widths, apostrophes.
// The lone 0xA0 is the no-break space of Latin-1.
var spacers = [][]byte{[]byte(" "), []byte("'"), []byte("\u00a0"), []byte("\u202f"), []byte("\u2009"), []byte("\u2019"), {0xa0}}

// spacing reports whether a character may part thousands: a quick look.
func spacing(r rune) bool { return r == ' ' || r == '\'' || r >= 0x80 }

// unspaced returns a number without the blanks or apostrophes between its
// thousands; nil when it has none, or not where thousands end.
func unspaced(cell []byte) []byte {
	if len(cell) > 64 || len(cell) < len("1 234") || leading(cell) == 0 && leading(cell[1:]) == 0 {
		return nil
	}
	if !bytes.ContainsFunc(cell, spacing) {
		return nil
	}
	for _, s := range spacers {
		if !bytes.Contains(cell, s) {
			continue
		}
		groups := bytes.Split(cell, s)
		for i, g := range groups {
			switch digits := leading(bytes.TrimLeft(g, "+-")); {
			case i == 0 && (digits < 1 || digits > 3 || digits != len(bytes.TrimLeft(g, "+-"))):
				return nil
			case i > 0 && (leading(g) != 3 || i < len(groups)-1 && len(g) != 3):
				return nil
			}
		}
		return bytes.Join(groups, nil)
	}
	return nil
}

// ungrouped returns a number without the other mark between its thousands; nil
// when it has none, or not where thousands end. plain says that the cell alone
// shows it: it has its decimal mark too, or the other mark twice.
func ungrouped(cell []byte, mark byte) (out []byte, plain bool) {
	sep := other(mark)
	whole, rest, decimals := bytes.Cut(cell, []byte{mark})
	if bytes.IndexByte(whole, sep) < 0 || bytes.IndexByte(rest, sep) >= 0 || !grouped(whole, sep) {
		return nil, false
	}
	out = bytes.ReplaceAll(whole, []byte{sep}, nil)
	if decimals {
		out = append(append(out, mark), rest...)
	}
	return out, decimals || bytes.Count(whole, []byte{sep}) > 1
}

// grouped reports whether the separators of a number stand where those between
// thousands do: "1,234", but not "0,234", "12,5" or "1,2340".
func grouped(cell []byte, sep byte) bool {
	cell = bytes.TrimLeft(cell, "+-")
	n := leading(cell)
	if n < 1 || n > 3 || cell[0] == '0' {
		return false
	}
	for cell = cell[n:]; len(cell) > 0; cell = cell[4:] {
		if cell[0] != sep || leading(cell[1:min(len(cell), 4)]) != 3 {
			return false
		}
	}
	return true
}

// leading is how many digits b begins with.
func leading(b []byte) int {
	n := 0
	for n < len(b) && b[n]-'0' <= 9 {
		n++
	}
	return n
}
