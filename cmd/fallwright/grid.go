package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"fallwright.example/figure"
)

// widestLine is how wide a table may be; one that is wider goes on below, with
// its leading columns again.
const widestLine = 100

// textGrid is a table for the terminal: words to the left, numbers to the right,
// and no column in which nothing stands. A cell may have lines below each other.
type textGrid struct {
	heads []string
	stays []bool // beside the column before it, whatever the width
	keys  int    // leading columns, which say what a row is of
	rows  [][]string
}

// newGrid is a table with these heads. A column whose head begins with + stays
// beside the one before it, as an interval beside its number.
func newGrid(keys int, heads ...string) *textGrid {
	g := &textGrid{keys: keys}
	for _, h := range heads {
		name, stays := strings.CutPrefix(h, "+")
		g.heads, g.stays = append(g.heads, name), append(g.stays, stays)
	}
	return g
}

func (g *textGrid) row(cells ...string) {
	for i := range cells {
		cells[i] = unbroken.Replace(cells[i])
	}
	g.rows = append(g.rows, cells)
}

func (g *textGrid) print(w io.Writer, title string) {
	if len(g.rows) > 0 {
		fmt.Fprintf(w, "\n%s\n", title)
		g.lines(w)
	}
}

// lines prints the table without a title.
func (g *textGrid) lines(w io.Writer) {
	width := g.widths()
	for i, columns := range g.parts(width) {
		if i > 0 {
			fmt.Fprintln(w)
		}
		for _, r := range append([][]string{g.heads}, g.rows...) {
			g.printRow(w, r, columns, width)
		}
	}
}

// widths are those of the columns, −1 for one in which nothing stands.
func (g *textGrid) widths() []int {
	width := make([]int, len(g.heads))
	for c, head := range g.heads {
		width[c] = -1
		for _, r := range g.rows {
			if r[c] != "" && r[c] != figure.Missing {
				width[c] = utf8.RuneCountInString(head)
			}
		}
		for _, r := range g.rows {
			for line := range strings.SplitSeq(r[c], "\n") {
				if width[c] >= 0 {
					width[c] = max(width[c], utf8.RuneCountInString(line))
				}
			}
		}
	}
	return width
}

// parts are the columns of each table below the other that they take.
func (g *textGrid) parts(width []int) [][]int {
	var keys, part []int
	var out [][]int
	full := func(columns []int) bool {
		all := 0
		for _, c := range columns {
			all += 2 + width[c]
		}
		return all > widestLine
	}
	for c := 0; c < len(g.heads); {
		group := []int{c}
		for c++; c < len(g.heads) && g.stays[c]; c++ {
			group = append(group, c)
		}
		first := group[0]
		group = slices.DeleteFunc(group, func(c int) bool { return width[c] < 0 })
		if first < g.keys {
			keys = append(keys, group...)
			continue
		}
		if len(part) > 0 && full(slices.Concat(keys, part, group)) {
			out, part = append(out, slices.Concat(keys, part)), nil
		}
		part = append(part, group...)
	}
	return append(out, slices.Concat(keys, part))
}

func (g *textGrid) printRow(w io.Writer, cells []string, columns, width []int) {
	for below := 0; ; below++ {
		line, more := "", false
		for _, c := range columns {
			lines := strings.Split(cells[c], "\n")
			cell := ""
			if below < len(lines) {
				cell = lines[below]
			}
			more = more || below+1 < len(lines)
			pad := strings.Repeat(" ", width[c]-utf8.RuneCountInString(cell))
			if g.wordy(c) {
				line += "  " + cell + pad
			} else {
				line += "  " + pad + cell
			}
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
		if !more {
			return
		}
	}
}

// wordy reports whether a column holds words: the first does, and one with a cell
// that does not begin like a number.
func (g *textGrid) wordy(c int) bool {
	return c == 0 || slices.ContainsFunc(g.rows, func(r []string) bool {
		return r[c] != "" && r[c] != figure.Missing && !strings.ContainsRune("0123456789+-−<.", []rune(r[c])[0])
	})
}
