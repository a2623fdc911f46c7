package planfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// SpecimenTable is a table of specimens that were cut already, as text.
type SpecimenTable struct {
	Name string // of the file, in refusals
	Rows []SpecimenRow
}

// SpecimenRow is one of them.
type SpecimenRow struct {
	Row   string            // "line 7"
	Cells map[string]string // by key of [[specimen]]; a key without a cell or with an empty one is left out
}

// SpecimenKeys lists the keys of [[specimen]] in the order of the reference.
func SpecimenKeys() []string {
	p, _ := partNamed("specimen")
	return p.names()
}

// Attach writes the specimens of a table below a study file, one [[specimen]] a row,
// and reads what comes of it. That is a study file like any other, and it is the
// plan: the same file and table make the same bytes. What is wrong with a specimen
// is refused with the row of the table, everything else as by Parse.
func Attach(name string, study []byte, t SpecimenTable) (campaign.Plan, []byte, error) {
	if len(t.Rows) == 0 {
		return campaign.Plan{}, nil, problem.New(problem.Invalid, t.Name, "the table has no specimen").Hint("give it a row for each piece, below a header: %s", strings.Join(SpecimenKeys(), ", "))
	}
	var b strings.Builder
	b.Write(study)
	if len(study) > 0 && study[len(study)-1] != '\n' {
		b.WriteByte('\n')
	}
	fmt.Fprintf(&b, "\n# Specimens of the table %s.\n", visible(t.Name))
	first := make([]int, len(t.Rows)) // line of each row's part
	for i, row := range t.Rows {
		first[i] = strings.Count(b.String(), "\n") + 1
		b.WriteString(row.part())
	}
	whole := []byte(b.String())
	plan, err := Parse(name, whole)
	if err == nil {
		return plan, whole, nil
	}
	for _, p := range problem.All(err) {
		colon := strings.LastIndexByte(p.Where, ':')
		line, atErr := strconv.Atoi(p.Where[colon+1:])
		i, exact := slices.BinarySearch(first, line)
		if !exact {
			i--
		}
		if atErr == nil && p.Where[:max(colon, 0)] == name && i >= 0 {
			p.Where, p.Quote = t.Name+", "+t.Rows[i].Row, ""
		}
	}
	return campaign.Plan{}, nil, err
}

// part is a row as it stands in a study file.
func (r SpecimenRow) part() string {
	out := "[[specimen]]\n"
	p, _ := partNamed("specimen")
	for _, k := range p.keys {
		text, there := r.Cells[k.name]
		switch {
		case !there || text == "" && !k.need:
		case strings.HasPrefix(k.example, `"`):
			out += k.name + " = " + tomlText(text) + "\n"
		case bareValue(text):
			out += k.name + " = " + text + "\n"
		default:
			out += k.name + " = " + tomlText(text) + "\n" // which is refused as no such value
		}
	}
	return out
}

// bareValue reports whether a text is a whole number or a flag.
func bareValue(text string) bool {
	n, err := strconv.Atoi(text)
	return text == "true" || text == "false" || err == nil && strconv.Itoa(n) == text
}

// tomlText is a text in quotes, as TOML has them.
func tomlText(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case unicode.IsControl(r):
			fmt.Fprintf(&b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
