package tableio

import (
	"math"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// mostFaults is how many cells of a column are refused one by one.
const mostFaults = 5

// Numbers returns the numbers of a column, as the table has them; NaN where a
// cell is blank, NA or NaN. Any other text is refused, with its row. The decimal
// mark is the one that the column shows, or where it leaves that open, the table.
func (t *Table) Numbers(name string) ([]float64, error) {
	c, err := t.column(name)
	if err != nil {
		return nil, err
	}
	mark, grouped, err := t.dialect(c)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(c.cells))
	var faults problem.List
	for i, one := range c.cells {
		v, ok := one.value(mark, grouped)
		if out[i] = v; ok {
			continue
		}
		if len(faults) == mostFaults {
			faults[mostFaults-1].State = "more cells of the column are no numbers"
			break
		}
		faults = append(faults, t.noNumber(c, i, mark))
	}
	return out, faults.Err()
}

// value is the number in a cell; NaN where it is missing.
func (c cell) value(mark byte, grouped bool) (float64, bool) {
	switch {
	case c.stored:
		return c.number, true
	case c.wrong != "":
		return math.NaN(), missing(c.wrong)
	case missing(c.text):
		return math.NaN(), true
	}
	v, ok := delimited.Number(c.text, mark, grouped)
	if !ok {
		v = math.NaN()
	}
	return v, ok
}

func (t *Table) noNumber(c *column, i int, mark byte) *problem.Problem {
	one := c.cells[i]
	if one.wrong != "" {
		return t.refuse(c, i, "%s, and no number", one.wrong).Hint("correct the cell in the workbook and save it again, or write NA where the value is missing")
	}
	p := t.refuse(c, i, "%q is no number", traceio.Shorten(one.text))
	digits := strings.Trim(one.text, "+-0123456789.,eE") == "" && strings.ContainsAny(one.text, "0123456789")
	number, rest := leading(one.text)
	switch {
	case digits && strings.ContainsAny(one.text, ".,"):
		p.Hint("the column is read with a decimal %s: write every number so", map[byte]string{'.': "point", ',': "comma"}[mark])
	case number != "" && rest != "" && len(rest) <= 12:
		p.Hint("write the number alone, %s, and the unit in the title: %s [%s]", number, c.name, rest)
	}
	return p.Hint("leave the cell empty, or write NA, where the value is missing")
}

// leading splits a cell into the number it begins with and the rest.
func leading(s string) (number, rest string) {
	i := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("+-0123456789.,", r) })
	if i < 1 || !strings.ContainsAny(s[:i], "0123456789") {
		return "", ""
	}
	return s[:i], strings.TrimSpace(s[i:])
}

// dialect is how the numbers of a column are written.
func (t *Table) dialect(c *column) (mark byte, grouped bool, err error) {
	if t.decimal != 0 {
		return t.decimal, true, nil
	}
	var own delimited.Numerals
	for _, one := range c.cells {
		if !one.stored {
			own.See(one.text)
		}
	}
	mark, grouped, doubt := own.Settle()
	if mark != 0 {
		return mark, grouped, nil
	}
	var all delimited.Numerals
	for i := range t.columns {
		for _, one := range t.columns[i].cells {
			if !one.stored {
				all.See(one.text)
			}
		}
	}
	if mark, grouped, _ = all.Settle(); mark != 0 {
		return mark, grouped, nil
	}
	return 0, false, t.twoWays(c, doubt)
}

// twoWays refuses a column whose numbers can be read in two ways.
func (t *Table) twoWays(c *column, doubt string) error {
	for i, one := range c.cells {
		if one.stored || strings.ReplaceAll(one.text, "\u2212", "-") != doubt {
			continue
		}
		return t.refuse(c, i, "%q can be read with a decimal comma, or with a comma between thousands, and nothing in the table tells which", doubt).
			Hint("say which: --decimal comma or --decimal point").
			Hint("or write the numbers without marks between thousands")
	}
	return problem.New(problem.Invalid, t.Name, "the decimal mark of column %s is not clear", c.name).Hint("say which: --decimal comma or --decimal point")
}
