package figure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Style is the style sheet of every Scene: colours come from the page's own
// variables, so that a picture follows light and dark, with values to fall back
// on where there is no page. The ground is the variable --sheet.
const Style = `.fig{display:block;width:100%;height:auto}
.fig text{font-family:var(--ui,sans-serif);font-variant-numeric:tabular-nums lining-nums}
.fig .ink{color:var(--ink,#18212b)}.fig .soft{color:var(--soft,#566373)}.fig .rule{color:var(--rule,#dcd8cd)}
.fig .sea{color:var(--sea,#0b5f7a)}.fig .wash{color:var(--sea-soft,#d9eaee)}.fig .warn{color:var(--warn,#9a3b00)}
.fig .c0{color:var(--c0,#2b3644)}.fig .c1{color:var(--c1,#1a82d4)}.fig .c2{color:var(--c2,#96330c)}
.fig .c3{color:var(--c3,#1d6b4e)}.fig .c4{color:var(--c4,#c25a9c)}.fig .c5{color:var(--c5,#a38200)}
.fig .dot{stroke:var(--sheet,#fff)}
`

// SVG writes the scene as one svg element. The same scene gives the same
// bytes; numbers are rounded to a hundredth of a px.
func (s *Scene) SVG() string {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="fig" viewBox="0 0 %s %s" role="img" font-size="%d" font-family="sans-serif">`,
		px(s.Width), px(s.Height), fontSize)
	fmt.Fprintf(&b, "\n<title>%s</title>\n<desc>%s</desc>\n", escape(s.Title), escape(s.Desc))
	for _, m := range s.Marks {
		b.WriteString(element(m))
		b.WriteByte('\n')
	}
	b.WriteString("</svg>\n")
	return b.String()
}

func element(m Mark) string {
	switch m := m.(type) {
	case Line:
		return m.element()
	case Dot:
		return m.element()
	case Bar:
		return m.element()
	case Band:
		return fmt.Sprintf(`<rect class="%s" fill="currentColor" x="%s" y="%s" width="%s" height="%s"/>`,
			m.Ink.class(), px(m.Left), px(m.Top), px(m.Width()), px(m.Height()))
	case Text:
		return m.element()
	}
	panic(fmt.Sprintf("figure: no way to draw a %T", m))
}

func (l Line) element() string {
	extra := ""
	if len(l.Dash) > 0 {
		parts := make([]string, len(l.Dash))
		for i, d := range l.Dash {
			parts[i] = px(d)
		}
		extra += fmt.Sprintf(` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	if l.Faint {
		extra += ` opacity=".35"`
	}
	extra += of(l.Of)
	return fmt.Sprintf(`<path class="%s" fill="none" stroke="currentColor" stroke-width="%s" stroke-linejoin="round"%s d="%s"/>`,
		l.Ink.class(), px(l.Width), extra, path(l.Points))
}

// A Dot's outline in the ground's colour keeps dots apart where they touch.
func (d Dot) element() string {
	const form = `class="dot %s" fill="currentColor" stroke="#fff"`
	class := fmt.Sprintf(form, d.Ink.class()) + of(d.Of)
	if d.Shape == Circle {
		return fmt.Sprintf(`<circle %s cx="%s" cy="%s" r="%s"/>`, class, px(d.X), px(d.Y), px(d.Size))
	}
	return fmt.Sprintf(`<path %s d="%sZ"/>`, class, path(d.Shape.outline(d.X, d.Y, d.Size)))
}

func (b Bar) element() string {
	d := path([]Point{b.A, b.B})
	if b.Cap > 0 {
		across := func(p Point) string {
			dx, dy := b.B.X-b.A.X, b.B.Y-b.A.Y
			n := math.Hypot(dx, dy)
			if n == 0 {
				dx, dy, n = 0, 1, 1
			}
			dx, dy = dx/n*b.Cap, dy/n*b.Cap
			return path([]Point{{p.X - dy, p.Y + dx}, {p.X + dy, p.Y - dx}})
		}
		d += across(b.A) + across(b.B)
	}
	return fmt.Sprintf(`<path class="%s" fill="none" stroke="currentColor" stroke-width="%s" d="%s"/>`,
		b.Ink.class(), px(b.Width), d)
}

func (t Text) element() string {
	extra := ""
	if t.Anchor != Start {
		extra += fmt.Sprintf(` text-anchor="%s"`, [...]string{"start", "middle", "end"}[t.Anchor])
	}
	if t.Bold {
		extra += ` font-weight="600"`
	}
	extra += of(t.Of)
	return fmt.Sprintf(`<text class="%s" fill="currentColor" x="%s" y="%s"%s>%s</text>`,
		t.Ink.class(), px(t.X), px(t.Y), extra, escape(t.Body))
}

// of names what a mark belongs to.
func of(name string) string {
	if name == "" {
		return ""
	}
	return fmt.Sprintf(` data-of="%s"`, escape(name))
}

func path(points []Point) string {
	var b strings.Builder
	for i, p := range points {
		switch i {
		case 0:
			b.WriteByte('M')
		case 1:
			b.WriteByte('L')
		default:
			b.WriteByte(' ')
		}
		b.WriteString(px(p.X) + " " + px(p.Y))
	}
	return b.String()
}

// px writes a length, rounded to a hundredth. A length that is not finite is a
// fault of the chart that made it, and no picture is better than a wrong one.
func px(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("figure: a length that is not finite")
	}
	r := math.Round(v*100) / 100
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

var markup = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escape makes text safe between tags and in attributes. Control characters,
// which no XML text may hold, become U+FFFD.
func escape(s string) string {
	clean := strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' {
			return '\uFFFD'
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return markup.Replace(clean)
}
