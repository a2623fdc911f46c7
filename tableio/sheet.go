package tableio

import (
	"fmt"
	"strings"

	"fallwright.example/traceio"
	"fallwright.example/traceio/xlsx"
)

// readSheet takes in the cells of a sheet.
func (g *grid) readSheet(data []byte) error {
	g.open, g.line = true, "row"
	first := 0 // column at which the table begins
	sheet, all, err := xlsx.Sheet(g.name, data, g.ask.Sheet, func(line int, cells []xlsx.Cell) error {
		out := make([]cell, cells[len(cells)-1].Column)
		for _, c := range cells {
			out[c.Column-1] = cell{text: strings.TrimSpace(c.Text), number: c.Number, stored: c.IsNumber, wrong: c.Wrong}
		}
		if first == 0 || cells[0].Column < first {
			first = cells[0].Column
		}
		return g.add(line, out)
	})
	if err != nil {
		return err
	}
	if first > 1 {
		for i := range g.rows {
			g.rows[i].cells = g.rows[i].cells[first-1:]
		}
	}
	if len(all) > 1 {
		g.name = fmt.Sprintf("%s, sheet %q", g.name, traceio.Shorten(sheet))
		if g.ask.Sheet == "" {
			g.notes = append(g.notes, fmt.Sprintf("the workbook has %d sheets, and the first is read, %q; --sheet names another", len(all), traceio.Shorten(sheet)))
		}
	}
	g.trim()
	return nil
}

// trim cuts blank cells off the ends of rows, which a workbook may keep.
func (g *grid) trim() {
	for i := range g.rows {
		c := g.rows[i].cells
		for len(c) > 0 && c[len(c)-1].blank() {
			c = c[:len(c)-1]
		}
		g.rows[i].cells = c
	}
}
