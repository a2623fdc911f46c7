package sheets

import (
	"fmt"
	"slices"

	"fallwright.example/cutlist"
	"fallwright.example/study"
)

// warning ends every label.
var warning = []string{"test specimen, not for climbing", "after use: destroy"}

// labels are the texts of all specimens, spares too.
func labels(p *study.Planned) []cutlist.Label {
	if p.Cut != nil {
		return p.Cut.Labels()
	}
	var out []cutlist.Label
	for _, s := range p.Plan.Specimens {
		lines := []string{s.Lot}
		if !p.Plan.Order.Blind {
			lines = []string{s.RopeID()}
			if s.To > s.From {
				lines = append(lines, fmt.Sprintf("%.2f to %.2f m", s.From, s.To))
			}
			lines = append(lines, conditionOf(&p.Plan, s))
		}
		out = append(out, cutlist.Label{Title: s.Label, Lines: append(lines, warning...)})
	}
	return out
}

// A page of labels, and what is inside one. Twelve specimens a page.
const (
	across, down        = 3, 8
	labelWide           = 64.0
	labelHigh           = 32.0
	labelLeft           = (paperWide - across*labelWide) / 2
	labelTop            = 20.0
	labelPad, codeWide  = 2.5, 21.0 // the code with its quiet zone
	textWide            = labelWide - codeWide - 2*labelPad
	titleMost, textMost = 17.0, 8.0
	textLeast           = 4.0
	titleLines          = 3
)

// labels prints each label twice, for the two ends, with lines to cut along.
func (s *paper) labels(list []cutlist.Label) {
	for i, l := range list {
		for end := range 2 {
			n := 2*i + end
			if n%(across*down) == 0 {
				s.page()
				s.font("", small)
				s.put(labelLeft, 17, "two labels for each specimen, one for each end; cut along the lines")
				s.cutLines()
			}
			n %= across * down
			s.label(labelLeft+float64(n%across)*labelWide, labelTop+float64(n/across)*labelHigh, l)
		}
	}
}

func (s *paper) cutLines() {
	const beyond = 3.0
	s.pdf.SetLineWidth(0.1)
	s.pdf.SetDashPattern([]float64{1.5, 1.5}, 0)
	for i := range across + 1 {
		x := labelLeft + float64(i)*labelWide
		s.pdf.Line(x, labelTop-beyond/2, x, labelTop+down*labelHigh+beyond/2)
	}
	for i := range down + 1 {
		y := labelTop + float64(i)*labelHigh
		s.pdf.Line(labelLeft-beyond, y, labelLeft+across*labelWide+beyond, y)
	}
	s.pdf.SetDashPattern(nil, 0)
}

// label prints one label with its upper left corner at x, y.
func (s *paper) label(x, y float64, l cutlist.Label) {
	s.code(x+labelPad/2, y+(labelHigh-codeWide)/2, codeWide, l.Title)
	x += labelPad + codeWide
	title := titleMost
	for s.font("B", title); title > textMost && s.width(l.Title) > textWide; s.font("B", title) {
		title--
	}
	heads := wrap(s.width, l.Title, textWide)
	if len(heads) > titleLines { // the code holds it whole
		heads = append(heads[:titleLines-1], fit(s.width, heads[titleLines-1]+"…", textWide))
	}
	size, lines := s.shrunk(l.Lines, labelHigh-2*labelPad-float64(len(heads))*title*point*leading)
	at := y + labelPad
	s.font("B", title)
	for _, line := range heads {
		at += title * point * leading
		s.put(x, at-title*point*(leading-1), line)
	}
	for _, line := range lines {
		s.font("", size)
		if slices.Contains(warning, line) {
			s.font("B", size)
		}
		at += size * point * leading
		s.put(x, at-size*point*(leading-1), line)
	}
}

// shrunk wraps lines in the largest type in which all of them fit. What does not
// fit in the least is left out before the warning, which always stands.
func (s *paper) shrunk(lines []string, high float64) (size float64, out []string) {
	for size = textMost; ; size -= 0.5 {
		out = nil
		s.font("B", size) // no narrower than what is printed
		for _, l := range lines {
			out = append(out, wrap(s.width, l, textWide)...)
		}
		fits := int(high / (size * point * leading))
		if len(out) <= fits {
			return size, out
		}
		if size <= textLeast {
			var end []string
			for _, l := range warning {
				end = append(end, wrap(s.width, l, textWide)...)
			}
			keep := max(0, fits-len(end))
			return size, append(out[:min(keep, len(out)-len(end))], end...)
		}
	}
}
