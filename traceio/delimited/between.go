package delimited

import (
	"bytes"
	"math"
	"regexp"
	"strings"
	"unicode"

	"fallwright.example/traceio"
)

// brk is a place in the rows where another drop may begin.
type brk struct {
	at   int    // the first sample after it
	no   int    // its line
	how  how    // what stands there
	name string // that a line there gives the drop
}

// how is by what a drop may be known to begin.
type how int

const (
	byLine   how = iota // a line that names a run
	byHeader            // the header, once more
	byBlank             // a blank line, and time starts over
	byTime              // time starts over
	byColumn            // a column that names the drop has another value
)

func (h how) String() string {
	return [...]string{"a line that names it", "the header once more", "a blank line, and time that starts over", "time that starts over", "another value in the column that names the drop"}[h]
}

// mostBetween is how many lines may stand between two drops.
const mostBetween = 64

// naming is a line that names a run, and nothing more: "# Run 2", "Sweep;3",
// "Lauf 4 von 7". The words are common usage, no source.
var naming = regexp.MustCompile(`(?i)^(?:run|sweep|drop|test|trial|fall|segment|record|recording|event|trigger|series|block|` +
	`lauf|versuch|messung|sturz|essai|chute|mesure|prueba|ensayo|caida|caída|ensaio|queda|prova|caduta|meting|proef|próba|pomiar|zkouška)` +
	`(?:[ _-]?(?:no|nr|n°|number|nummer|id))?\.?[ :#=_-]*[\pL\pN._-]{0,24}(?: ?(?:of|/|von|de|di|van|z) ?\d+)?$`)

// nameOf is the name that a line gives a drop, or "".
func (c cutter) nameOf(line []byte) string {
	if len(line) > 200 {
		return ""
	}
	var words []string
	for _, cell := range c.split(nil, bytes.TrimLeft(line, "#%*=-<[ \t")) {
		if w := strings.Trim(text(cell), "=-*>] \t"); w != "" {
			words = append(words, w)
		}
	}
	name := traceio.Clean(strings.Join(words, " "))
	if !naming.MatchString(name) {
		return ""
	}
	return strings.Join(strings.Fields(name), " ")
}

// between looks at a line without a sample and those after it, up to the next
// row: a header once more, with whatever stands above it, or lines that name a
// run, with comments and blanks about them, are what stands between two drops.
// It notes the break and has the lines passed over. ok is false for any other
// lines.
func (r *rows) between(row, rest []byte) (ok bool, err error) {
	if len(r.forces) == 0 {
		return false, nil
	}
	if r.comments(row) && r.comments(rest) {
		r.skip, r.below = len(rest), r.no // what stands below the table
		return true, nil
	}
	b := brk{at: len(r.forces), no: r.no}
	headed, foreign := false, false
	passed, size := 0, 0
	line := row
	for {
		if r.isHeader(line) {
			headed = true
		} else if name := r.nameOf(line); name != "" {
			b.name = name
		} else if !r.filler(line) {
			foreign = true
		}
		if passed++; passed > mostBetween || len(rest) == size {
			return false, nil // no row comes after them
		}
		next, _, found := bytes.Cut(rest[size:], []byte("\n"))
		if line = bytes.TrimSuffix(next, []byte("\r")); r.isRow(line) {
			break
		}
		if size += len(next); found {
			size++
		}
	}
	switch {
	case headed && b.name == "":
		b.how = byHeader
	case b.name != "" && (headed || !foreign) && (told(b.name) || r.anew(line)):
	default:
		return false, nil
	}
	r.breaks = append(r.breaks, b)
	r.skip = size
	r.no += passed - 1
	return true, r.endOfDrop()
}

// marking are words of lines that also mark a moment within a drop.
var marking = regexp.MustCompile(`(?i)^(?:event|trigger|record|recording|block|segment)`)

// told reports whether a line that names a run says which: by a number or a
// single letter. "*** TRIGGER ***" may stand in the middle of one.
func told(name string) bool {
	words := strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	one := len(words) > 1 && len([]rune(words[len(words)-1])) == 1
	return !marking.MatchString(name) && (one || strings.ContainsFunc(name, unicode.IsDigit))
}

// anew reports whether time starts over with a row.
func (r *rows) anew(row []byte) bool {
	if r.t < 0 {
		return false
	}
	cells := r.split(nil, row)
	last := r.times[len(r.times)-1]
	if s, ok := readStamp(cells[r.t]); ok {
		return s.seconds < math.Mod(last, secondsADay)
	}
	v, ok := r.finite(cells[r.t])
	return ok && v <= last
}

// comments reports whether lines are comments or blank, all of them. A row behind
// a comment sign is for people to say what it is.
func (r *rows) comments(lines []byte) bool {
	for line := range bytes.Lines(lines) {
		line = bytes.TrimSpace(line)
		if len(line) > 0 && (!comment(line) || r.isRow(bytes.TrimLeft(line, "#% "))) {
			return false
		}
	}
	return true
}

// isHeader reports whether a line is the header of the table, once more.
func (r *rows) isHeader(line []byte) bool {
	return r.header > 0 && bytes.Equal(bytes.TrimSpace(line), bytes.TrimSpace(r.text(r.lineAt(r.header))))
}

// filler reports whether a line between two drops says nothing: blank, drawn, a
// comment, or one that stood between the header and the rows the first time.
func (r *rows) filler(line []byte) bool {
	line = bytes.TrimSpace(line)
	if len(line) == 0 || ruled(line) || comment(line) {
		return true
	}
	for i := r.first - 1; r.header > 0 && i >= 0 && r.lines[i].no > r.header; i-- {
		if bytes.Equal(line, bytes.TrimSpace(r.text(i))) {
			return true
		}
	}
	return false
}

// lineAt is the line of the head with a number.
func (h head) lineAt(no int) int { return no - 1 }

// isRow reports whether a line is a row of the table: the force, and the time
// where there is one, are there and well formed.
func (r *rows) isRow(line []byte) bool {
	if len(line) > longestLine {
		return false
	}
	cells := trimBlanks(r.split(nil, line))
	if len(cells) > r.wide() || r.last >= len(cells) {
		return false
	}
	if _, ok := r.finite(cells[r.f]); !ok {
		return false
	}
	if r.t < 0 {
		return true
	}
	if _, ok := readStamp(cells[r.t]); ok {
		return true
	}
	_, ok := r.finite(cells[r.t])
	return ok
}

// endOfDrop lets rows without a value, or without their last cells, stand that
// lasted to the end of a drop, unless the last was cut off.
func (r *rows) endOfDrop() error {
	if err := r.cutOff(); err != nil {
		return err
	}
	r.ended, r.short, r.blank = pending{}, pending{}, false
	return nil
}

// firstName is the name that a line above the table gives the first drop.
func (t *table) firstName() string {
	for i := t.first - 1; i >= max(0, t.first-mostBetween); i-- {
		if name := t.nameOf(t.text(i)); name != "" {
			return name
		}
	}
	return ""
}
