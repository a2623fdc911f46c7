package web

import (
	"fmt"
	"net/http"
	"strings"

	"github.com/boombuler/barcode/qr"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/web/page/cutlist"
)

// cutList is the page by which ropes are cut.
func (s *server) cutList(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Cut list", "cut")
	if err != nil {
		return answer{}, err
	}
	p, err := s.desk.PlanAtOnce(r.Context(), name)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	v := cutlist.View{Frame: open.frame, Planned: p, Path: studyPath(name), Taken: map[string]int{}, Wet: map[string]bool{}}
	for _, row := range open.overview.Specimens {
		v.Taken[row.Specimen.Label] = row.Taken
	}
	for _, w := range open.overview.Study.Weighings {
		if strings.Contains(w.State, "soak") {
			v.Wet[w.Specimen] = true
		}
	}
	for _, rope := range p.Plan.Ropes {
		v.Ropes = append(v.Ropes, ropeView(p, rope))
	}
	return page(r.Context(), cutlist.Page(v))
}

// ropeView is one rope with its pieces along it.
func ropeView(p *study.Planned, rope campaign.Rope) cutlist.Rope {
	out := cutlist.Rope{Rope: rope, Pieces: p.PiecesOf(rope.ID())}
	if p.Cut != nil {
		for i, u := range p.Cut.Uses {
			if u.Rope == rope.ID() {
				out.Use = &p.Cut.Uses[i]
			}
		}
	}
	out.Picture = drawn(wideFigure, 0, p.Plan.Invented, func(c figure.Canvas) *figure.Scene {
		return figure.Cut(rope, out.Pieces, conditionNames(&p.Plan), p.Plan.Order.Blind, c)
	})
	return out
}

// labels is the sheet of labels.
func (s *server) labels(r *http.Request) (answer, error) {
	name := r.PathValue("name")
	open, err := s.open(r.Context(), name, "Labels", "cut")
	if err != nil {
		return answer{}, err
	}
	p, err := s.desk.PlanAtOnce(r.Context(), name)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	v := cutlist.Sheet{Frame: open.frame, Path: studyPath(name)}
	for _, l := range p.Labels() {
		code, err := codeOf(l.Title)
		if err != nil {
			return answer{}, err
		}
		v.Labels = append(v.Labels, cutlist.Label{Label: l, Code: code})
	}
	return page(r.Context(), cutlist.Labels(v))
}

// codeOf is a text as a QR code, drawn with the four modules of quiet around it that
// ISO/IEC 18004 asks for.
func codeOf(text string) (string, error) {
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return "", fmt.Errorf("code of label %q: %w", text, err)
	}
	size := code.Bounds().Dx()
	var path strings.Builder
	for y := range size {
		for x := range size {
			if shade, _, _, _ := code.At(x, y).RGBA(); shade == 0 {
				fmt.Fprintf(&path, "M%d %dh1v1h-1z", x, y)
			}
		}
	}
	return fmt.Sprintf(`<svg class="code" viewBox="-4 -4 %d %d" aria-hidden="true" shape-rendering="crispEdges"><path fill="currentColor" d="%s"/></svg>`, size+8, size+8, path.String()), nil
}
