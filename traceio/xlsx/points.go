package xlsx

import (
	"fmt"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// points is what the cells of one column show of points in numbers that are
// stored as text, each the first that does.
type points struct {
	three cell // "1.234", which may be 1234
	none  cell // "12", without a point
	sure  bool // one can only be decimal
}

func (p *points) seeNumber(c cell) {
	if p.none.kind == blank && strings.Trim(c.text, "+-0123456789") == "" {
		p.none = c
	}
}

func (p *points) seeText(c cell) {
	digits := strings.TrimLeft(strings.TrimSpace(c.text), "+-")
	whole, rest, pointed := strings.Cut(digits, ".")
	switch {
	case !pointed && strings.Trim(digits, "0123456789") == "":
		if p.none.kind == blank {
			p.none = c
		}
	case pointed && len(rest) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && strings.Trim(whole+rest, "0123456789") == "":
		if p.three.kind == blank {
			p.three = c
		}
	default:
		p.sure = true
	}
}

// pointed refuses a column in which every point could as well part thousands
// and other cells have none, and doubts one that has it in every cell.
func (r *reading) pointed() error {
	if r.ask.Decimal != "" {
		return nil
	}
	for _, one := range []*reader{r.force, r.time, r.stretch} {
		if one == nil || one.sure || one.three.kind == blank {
			continue
		}
		c := one.three
		said := traceio.Shorten(strings.TrimSpace(c.text))
		if one.none.kind == blank {
			r.choice.Notes = append(r.choice.Notes, trace.Note{Grade: trace.Doubtful, Text: fmt.Sprintf(
				"every cell of %s has three digits behind its point, as %q in %s: read as decimals; if the point parts thousands, write the numbers without it", one.col, said, strings.TrimPrefix(cellAt(c.row, c.col), ", "))})
			continue
		}
		return r.refuse(problem.Invalid, r.sheet, cellAt(c.row, c.col), "%q in %s can be read as %s, with a decimal point, or as %s, with a point between thousands, as other cells have none (%s)",
			said, one.col, said, strings.ReplaceAll(said, ".", ""), strings.TrimPrefix(cellAt(one.none.row, one.none.col), ", ")).
			Hint("say which: --decimal point where it stands before decimals, --decimal comma where it parts thousands")
	}
	return nil
}

// backwards refuses a time that is not later than the one before.
func (r *reading) backwards(at int, t float64) error {
	times := r.rec.Time
	n := len(times)
	p := r.refuse(problem.Invalid, r.sheet, row(at), "time does not rise: %s there is %g after %g", r.time.col, t, times[n-1])
	switch step := times[n-1] - times[0]; {
	case n == 1 && t < times[0]:
		return p.Hint("if the rows go from the newest to the oldest, sort them by time first; a rate would read the drop backwards")
	case n > 2 && t < times[n-1] && t-times[0] <= step/100+2.5*step/float64(n-1):
		return p.Hint("time starts over there, so the drops seem to lie below each other: put each on a sheet of its own")
	}
	return p.Hint("give the logger's sample rate: --rate HZ")
}
