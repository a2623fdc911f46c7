package delimited

import (
	"fmt"
	"regexp"
	"strings"
)

// unitLine is a line above the table that states the unit of the force: "# unit:
// kN", "Einheit;N". The words are common usage, no source.
var unitLine = regexp.MustCompile(`(?i)^[\s#%*"';,|]*(?:(?:force|load|tension|kraft|fuerza|carga|forza|force de traction)[ _-]*)?` +
	`(?:units?|einheit|unit[eé]|unidad|unidade|unit[aà])(?: of (?:the )?(?:force|load|tension))?[\s"]*[:=;,\t]+[\s"(\[]*([^\s";,|\t()\[\]]{1,16})[\s")\];,|\t]*$`)

// statedUnit is the unit that a line above the table states and what states it;
// "" where none does or several differ.
func (t *table) statedUnit() (unit, by string) {
	for i := 0; i < t.first && i < mostAbove; i++ {
		raw := t.text(i)
		if len(raw) > 200 || t.lines[i].no == t.header {
			continue
		}
		m := unitLine.FindStringSubmatch(text(raw))
		switch {
		case m == nil:
		case unit != "" && m[1] != unit:
			return "", ""
		case unit == "":
			unit, by = m[1], fmt.Sprintf("line %d, %q,", t.lines[i].no, strings.TrimSpace(text(raw)))
		}
	}
	return unit, by
}
