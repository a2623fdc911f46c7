package delimited

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"fallwright.example/traceio/pick"
)

// Lines above the table that state a unit: of the force, "# unit: kN",
// "Einheit;N"; or of a column by name or number, "Unit of Load: kN", "Load unit:
// kN", "unit (Load): kN", "column 2 unit: kN". The words are common usage, no
// source.
const (
	unitWord  = `(?:units?|einheit|unit[eé]|unidad|unidade|unit[aà])`
	unitValue = `[\s"]*[:=;,\t]+[\s"(\[]*([^\s";,|\t()\[\]]{1,16})[\s")\];,|\t]*$`
)

var (
	unitLine = regexp.MustCompile(`(?i)^[\s#%*"';,|]*(?:(?:force|load|tension|kraft|fuerza|carga|forza|force de traction)[ _-]*)?` +
		unitWord + `(?: of (?:the )?(?:force|load|tension))?` + unitValue)
	namedFirst = regexp.MustCompile(`(?i)^[\s#%*"';,|]*(\S[^:=;\t]*?)[ _-]+` + unitWord + unitValue)
	namedLast  = regexp.MustCompile(`(?i)^[\s#%*"';,|]*` + unitWord + `(?: (?:of|for|von|der|de|di|da) | *[(\["]| )(?:the )?([^:=;\t]*?)[)\]"]?` + unitValue)
	byNumber   = regexp.MustCompile(`(?i)^(?:column|col|spalte|colonne|columna|coluna|colonna)\.? *([0-9]{1,4})$`)
)

// lineOfUnit is a line above the table that states a unit.
type lineOfUnit struct {
	column int // from 1, of the column that it names; 0 for none
	unit   string
	by     string // "line 3, \"# unit: kN\","
}

// unitLines are the lines above the table that state a unit of the force or of a
// column.
func (t *table) unitLines() []lineOfUnit {
	var out []lineOfUnit
	for i := 0; i < t.first && i < mostAbove; i++ {
		raw := t.text(i)
		if len(raw) > 200 || t.lines[i].no == t.header {
			continue
		}
		line := text(raw)
		by := fmt.Sprintf("line %d, %q,", t.lines[i].no, strings.TrimSpace(line))
		if column, unit := t.unitOfColumn(line); column > 0 {
			out = append(out, lineOfUnit{column, unit, by})
		} else if m := unitLine.FindStringSubmatch(line); m != nil {
			out = append(out, lineOfUnit{0, m[1], by})
		}
	}
	return out
}

// unitOfColumn is the column, from 1, whose unit a line states by its name or
// number; 0 where it names none, or several are called so.
func (t *table) unitOfColumn(line string) (column int, unit string) {
	for _, form := range []*regexp.Regexp{namedLast, namedFirst} {
		m := form.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		name := strings.Join(strings.Fields(m[1]), " ")
		if n := byNumber.FindStringSubmatch(name); n != nil {
			column, _ = strconv.Atoi(n[1])
		}
		for _, c := range t.columns {
			switch {
			case !strings.EqualFold(c.Name, name) || name == "":
			case column > 0:
				return 0, ""
			default:
				column = c.No
			}
		}
		if column > 0 && column <= len(t.columns) {
			return column, m[2]
		}
		column = 0
	}
	return 0, ""
}

// takeUnits gives the columns that have no unit the one that a line above the
// table states by their name, and tells at what is stated of the force.
func (t *table) takeUnits(at *pick.Source) {
	for _, l := range t.unitLines() {
		switch {
		case l.column > 0:
			if c := &t.columns[l.column-1]; c.Unit == "" {
				c.Unit = l.unit
			}
		case at.StatedUnit == "":
			at.StatedUnit, at.UnitBy = l.unit, l.by
		case at.StatedUnit != l.unit && at.OtherUnitBy == "":
			at.OtherUnitBy = l.by
		}
	}
}
