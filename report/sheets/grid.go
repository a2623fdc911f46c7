package sheets

import (
	"fmt"
	"time"
)

// Between cells, and above and below a row's text.
const gap, pad = 3.0, 1.1

// mostLines of a cell, so that a row is never higher than a page.
const mostLines = 40

// onPage prints a table from a page of its own, over as many as it takes. A table
// without rows is not printed.
func (s *paper) onPage(t table) {
	if len(t.rows) == 0 {
		return
	}
	s.page()
	s.heading(t.title)
	s.say(t.note)
	g := grid{s, t, widths(t.columns)}
	g.head()
	for _, row := range t.rows {
		g.row(row)
	}
}

// grid is a table being printed.
type grid struct {
	*paper
	table table
	wide  []float64
}

// widths shares the paper out.
func widths(columns []column) []float64 {
	all := 0.0
	for _, c := range columns {
		all += c.share
	}
	out := make([]float64, len(columns))
	for i, c := range columns {
		out[i] = c.share / all * (inner - gap*float64(len(columns)-1))
	}
	return out
}

func (g grid) head() {
	g.font("B", small)
	cells := make([][]string, len(g.table.columns))
	for i, c := range g.table.columns {
		cells[i] = wrap(g.width, c.title, g.wide[i])
	}
	g.lines(cells, small)
	g.pdf.SetLineWidth(0.4)
	g.pdf.Line(margin, g.y, paperWide-margin, g.y)
	g.ink()
}

// row prints one row; it is not parted over pages, and the head comes again.
func (g grid) row(row []any) {
	g.font("", normal)
	cells := make([][]string, len(row))
	for i, v := range row {
		cells[i] = wrap(g.width, shown(v), g.wide[i])
		if len(cells[i]) > mostLines {
			cells[i] = append(cells[i][:mostLines-1], "…")
		}
	}
	if g.y+height(cells, normal) > paperHigh-bottom {
		g.page()
		g.head()
		g.font("", normal)
	}
	from := g.y
	g.lines(cells, normal)
	x := margin
	for i, c := range g.table.columns {
		if c.as == tick {
			g.box(x, from+pad+normal*point*leading/2)
		}
		x += g.wide[i] + gap
	}
	g.pdf.SetDrawColor(168, 176, 180)
	g.pdf.Line(margin, g.y, paperWide-margin, g.y)
	g.ink()
}

func height(cells [][]string, size float64) float64 {
	most := 1
	for _, lines := range cells {
		most = max(most, len(lines))
	}
	return float64(most)*size*point*leading + 2*pad
}

// lines prints cells side by side.
func (g grid) lines(cells [][]string, size float64) {
	x := margin
	for i, lines := range cells {
		y := g.y + pad
		for _, line := range lines {
			y += size * point * leading
			at := x
			if g.table.columns[i].as == number {
				at += g.wide[i] - g.width(line)
			}
			g.put(at, y-size*point*(leading-1), line)
		}
		x += g.wide[i] + gap
	}
	g.y += height(cells, size)
}

// shown is a cell as text.
func shown(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case int:
		return fmt.Sprint(v)
	case float64:
		return fmt.Sprintf("%.3f", v)
	case time.Time:
		if v.Second() == 0 {
			return v.Format("15:04")
		}
		return v.Format("15:04:05")
	}
	return ""
}
