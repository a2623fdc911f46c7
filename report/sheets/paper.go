package sheets

import (
	_ "embed"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"fallwright.example/study"
)

// Source Sans 3.52.0, SIL Open Font License 1.1 (font/LICENSE.md).
var (
	//go:embed font/SourceSans3-Regular.ttf
	regular []byte
	//go:embed font/SourceSans3-Semibold.ttf
	semibold []byte
)

// A4 upright, millimetres.
const (
	paperWide, paperHigh = 210.0, 297.0
	margin               = 15.0
	top, bottom          = 24.0, 20.0
	inner                = paperWide - 2*margin
)

// Sizes of type in points, and what a point is in millimetres.
const (
	small, normal, large = 7.5, 9.5, 17.0
	point                = 25.4 / 72
	leading              = 1.25
)

// paper is a document being printed.
type paper struct {
	pdf   *fpdf.Fpdf
	y     float64 // of the next thing
	study string
	mark  string // above every page
}

// pressed is what a file says of its own making: nothing that depends on when.
var pressed = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

func newPaper(p *study.Planned) *paper {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetCreationDate(pressed)
	pdf.SetModificationDate(pressed)
	pdf.SetCatalogSort(true)
	pdf.SetTitle(p.Plan.Title, true)
	pdf.SetAuthor(p.Plan.By, true)
	pdf.SetCreator("fallwright", true)
	pdf.SetLang("en-GB")
	pdf.AddUTF8FontFromBytes("sans", "", regular)
	pdf.AddUTF8FontFromBytes("sans", "B", semibold)
	pdf.SetMargins(margin, top, margin)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCellMargin(0)
	pdf.AliasNbPages("{pages}")
	s := &paper{pdf: pdf, study: p.Plan.Title}
	if p.Plan.Invented {
		s.mark = invented
	}
	pdf.SetFooterFunc(s.footer)
	return s
}

// page begins a page.
func (s *paper) page() {
	s.pdf.AddPage()
	s.ink()
	s.font("", small)
	s.put(margin, 12, fit(s.width, s.study, inner/2))
	if s.mark != "" {
		s.font("B", small)
		s.put(paperWide-margin-s.width(s.mark), 12, s.mark)
	}
	s.y = top
}

func (s *paper) footer() {
	s.ink()
	s.font("", small)
	s.put(margin, paperHigh-10, caution)
	s.put(paperWide-margin-12, paperHigh-10, fmt.Sprintf("%d / {pages}", s.pdf.PageNo()))
}

func (s *paper) ink() {
	s.pdf.SetTextColor(27, 36, 43)
	s.pdf.SetDrawColor(27, 36, 43)
	s.pdf.SetFillColor(0, 0, 0)
	s.pdf.SetLineWidth(0.2)
}

func (s *paper) font(style string, size float64) { s.pdf.SetFont("sans", style, size) }

// put writes text with its base line at y.
func (s *paper) put(x, y float64, text string) { s.pdf.Text(x, y, plain(text)) }

func (s *paper) width(text string) float64 { return s.pdf.GetStringWidth(plain(text)) }

// plain leaves out what the printer cannot handle: beyond the basic plane, and
// what is no sign at all.
func plain(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r > 0xffff:
			return '\u25a1'
		case r < ' ':
			return ' '
		}
		return r
	}, text)
}

// room begins a new page where less than so much is left.
func (s *paper) room(high float64) {
	if s.y+high > paperHigh-bottom {
		s.page()
	}
}

func (s *paper) heading(text string) {
	s.font("B", large)
	for _, line := range wrap(s.width, text, inner) {
		s.room(large * point * leading)
		s.y += large * point * leading
		s.put(margin, s.y, line)
	}
	s.y += 3
}

// say prints a paragraph.
func (s *paper) say(text string) {
	if text == "" {
		return
	}
	s.font("", normal)
	for _, line := range wrap(s.width, text, inner) {
		s.room(normal * point * leading)
		s.y += normal * point * leading
		s.put(margin, s.y, line)
	}
	s.y += 2.5
}

// fields prints names with their values.
func (s *paper) fields(list [][2]string) {
	const name = 38.0
	for _, f := range list {
		s.font("", normal)
		lines := wrap(s.width, f[1], inner-name)
		for i, line := range lines {
			s.room(normal * point * leading)
			s.y += normal * point * leading
			if i == 0 {
				s.font("B", normal)
				s.put(margin, s.y, f[0])
				s.font("", normal)
			}
			s.put(margin+name, s.y, line)
		}
		s.y += 1
	}
	s.y += 2.5
}

// box is a place to tick, its middle at y.
func (s *paper) box(x, y float64) {
	const side = 3.4
	s.pdf.Rect(x, y-side/2, side, side, "D")
}
