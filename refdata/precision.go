package refdata

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
)

//go:embed precision/*.csv
var precisionFiles embed.FS

// Columns is a table of readings, by the names of its columns.
type Columns struct {
	Names []string
	text  [][]string // by column
}

// Precision returns one of the published tables of readings in precision/:
// cells of laboratories, gauge studies, nested samples, series for charts.
// SOURCES.md says where each comes from.
func Precision(name string) (*Columns, error) {
	data, err := precisionFiles.ReadFile("precision/" + name + ".csv")
	if err != nil {
		return nil, fmt.Errorf("refdata: %w", err)
	}
	lines := strings.Split(strings.TrimSpace(string(data)), "\n")
	c := &Columns{Names: strings.Split(lines[0], ",")}
	c.text = make([][]string, len(c.Names))
	for i, line := range lines[1:] {
		cells := strings.Split(line, ",")
		if len(cells) != len(c.Names) {
			return nil, fmt.Errorf("refdata: precision/%s.csv:%d: %d cells", name, i+2, len(cells))
		}
		for j, cell := range cells {
			c.text[j] = append(c.text[j], cell)
		}
	}
	return c, nil
}

// Text returns a column as written; nil when there is none of that name.
func (c *Columns) Text(name string) []string {
	for j, n := range c.Names {
		if n == name {
			return c.text[j]
		}
	}
	return nil
}

// Numbers returns a column of numbers.
func (c *Columns) Numbers(name string) ([]float64, error) {
	var out []float64
	for i, cell := range c.Text(name) {
		v, err := strconv.ParseFloat(cell, 64)
		if err != nil {
			return nil, fmt.Errorf("refdata: column %s, row %d: %w", name, i+1, err)
		}
		out = append(out, v)
	}
	return out, nil
}
