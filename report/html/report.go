// Package html writes the report of a study: one HTML file that needs nothing
// else, reads on a phone and prints on A4.
package html

import (
	"bytes"
	"context"
	_ "embed"
	"errors"
	"io"

	"fallwright.example/figure"
	"fallwright.example/study"
)

// tokens.css is the web app's, to the byte (a test holds it), so that report
// and pages look alike without one adapter reaching into another.
//
//go:embed tokens.css
var tokens string

//go:embed report.css
var style string

// Write writes the report whole, or nothing when it cannot be made. The same
// Report gives the same bytes.
func Write(w io.Writer, r study.Report) error {
	if r.Overview.Study == nil {
		return errors.New("a report needs a study")
	}
	var b bytes.Buffer
	if err := document(newPage(r)).Render(context.Background(), &b); err != nil {
		return err
	}
	_, err := w.Write(b.Bytes())
	return err
}

// sheet is everything that the page's style element holds.
func (p *page) sheet() string {
	css := tokens + figure.Style + style
	if p.plan.Invented {
		css += inventedRunner
	}
	return css
}

// inventedRunner puts the mark in the margin of every printed page.
const inventedRunner = `@page{@top-center{content:"INVENTED NUMBERS: a demonstration, no rope was dropped";font:600 8.5pt "Source Sans 3",sans-serif;color:#9a3b00}}
`
