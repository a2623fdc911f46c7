package delimited

import (
	"strconv"
	"strings"

	"fallwright.example/traceio/pick"
)

// shownCells is how many cells of a column a layout shows.
const shownCells = 5

// survey looks at the cells of each column in the head.
func (t *table) survey() {
	filled, stamps, rows := make([]int, len(t.columns)), make([]int, len(t.columns)), 0
	var cells [][]byte
	for i := t.first; i < t.end; i++ {
		cells = trimBlanks(t.split(cells[:0], t.text(i)))
		if len(cells) > 0 && t.kindOf(0) == numeric && kindOf(cells[0]) == wordy {
			continue // "Run;2" between two drops
		}
		if len(cells) > 0 {
			rows++
		}
		for c := range min(len(cells), len(t.columns)) {
			if len(cells[c]) == 0 {
				continue
			}
			filled[c]++
			if col := &t.columns[c]; len(col.Cells) < shownCells {
				col.Cells = append(col.Cells, cut(text(cells[c]), longestTitle))
			}
			if t.kindOf(c) == wordy {
				if _, ok := readStamp(cells[c]); ok {
					stamps[c]++
				}
			}
		}
	}
	for c := range t.columns {
		col := &t.columns[c]
		col.Gaps = filled[c] < rows
		switch k := t.kindOf(c); {
		case k == numeric:
			col.Holds = pick.Numbers
		case k == wordy && 2*stamps[c] > filled[c]:
			col.Holds = pick.Stamps
		case k == wordy:
			col.Holds = pick.Words
		}
		col.Rises = func() bool { return t.steps(c, func(step float64) bool { return step > 0 }) }
		col.Counts = func() bool { return t.steps(c, func(step float64) bool { return step == 1 }) }
	}
}

func cut(s string, most int) string {
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}

// steps reports whether the steps between the numbers of column c in the head
// all fit.
func (t *table) steps(c int, fits func(step float64) bool) bool {
	rows, last := 0, 0.0
	for cell := range t.column(c) {
		v, err := strconv.ParseFloat(strings.Replace(string(cell), ",", ".", 1), 64)
		if err != nil || rows > 0 && !fits(v-last) {
			return false
		}
		rows, last = rows+1, v
	}
	return rows >= 2
}
