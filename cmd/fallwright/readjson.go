package main

import (
	"encoding/json"
	"io"
	"reflect"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// readRow is one drop in the JSON of read: every value of its reading under its
// own key. docs/FORMATS.md describes it. A file that could not be read has null
// for all of them.
type readRow struct {
	File string `json:"file"`
	Part string `json:"part,omitempty"`
	trace.Reading
	Samples     *int            `json:"samples"`
	Unit        *string         `json:"unit_read"`
	Class       any             `json:"cfc"` // 60, 180, 600, 1000 or "none"; null when not read
	BouncePeaks []trace.Value   `json:"bounce_peaks_N"`
	Contacts    []trace.Contact `json:"contacts,omitempty"`
	Steps       []trace.Step    `json:"steps"`
	Layout      *previewJSON    `json:"understood,omitempty"`
	Worst       *string         `json:"worst"` // grade of the notes: said, doubtful or missing
	Notes       []string        `json:"notes"`
}

// previewJSON is what was understood of the file.
type previewJSON struct {
	Format  string         `json:"format"`
	Packed  string         `json:"packed,omitempty"`
	Facts   []factJSON     `json:"facts"`
	Columns []trace.Column `json:"columns"`
}

type factJSON struct {
	What string `json:"what"`
	Is   string `json:"is"`
	Why  string `json:"why"`
	Flag string `json:"flag,omitempty"`
}

// jsonOutput prints an array, one object as soon as it is there.
type jsonOutput struct {
	w     io.Writer
	begun bool
}

func (o *jsonOutput) take(d drops) error {
	for _, row := range d.rows {
		lead := ",\n  "
		if !o.begun {
			lead, o.begun = "[\n  ", true
		}
		if _, err := io.WriteString(o.w, lead); err != nil {
			return err
		}
		if _, err := o.w.Write(row); err != nil {
			return err
		}
	}
	return nil
}

// jsonRows are the objects of a file's drops, or of its refusal.
func (a *readAsk) jsonRows(d drops) (rows [][]byte, err error) {
	if d.err != nil {
		row, err := appendJSON(nil, reflect.ValueOf(refusedRow(d)), "  ")
		return [][]byte{row}, err
	}
	for i, r := range d.readings {
		row := rowOf(d.name, d.parts[i], r)
		if a.bounces {
			row.Contacts = r.Contacts
		}
		if a.preview {
			row.Layout = previewOf(d.layout)
		}
		text, err := appendJSON(make([]byte, 0, 32<<10), reflect.ValueOf(row), "  ")
		if err != nil {
			return nil, err
		}
		rows = append(rows, text)
	}
	return rows, nil
}

func (o *jsonOutput) close() error {
	end := "\n]\n"
	if !o.begun {
		end = "[]\n"
	}
	_, err := io.WriteString(o.w, end)
	return err
}

func refusedRow(d drops) readRow {
	row := readRow{File: d.name, Reading: trace.Unread(), Notes: []string{}, Steps: []trace.Step{}}
	for _, p := range problem.All(d.err) {
		row.Notes = append(row.Notes, "not read: "+strings.TrimPrefix(p.Error(), d.name+": "))
	}
	return row
}

func rowOf(name, part string, r *trace.Reading) readRow {
	row := readRow{
		File: name, Part: part, Reading: *r, Samples: &r.Samples, Unit: &r.Unit, Class: "none",
		BouncePeaks: r.BouncePeaks, Steps: r.Steps, Notes: []string{},
	}
	if r.Class != 0 {
		row.Class = r.Class
	}
	worst := string(r.Grade())
	row.Worst = &worst
	for _, n := range r.Notes {
		row.Notes = append(row.Notes, n.Text)
	}
	return row
}

func previewOf(l trace.Layout) *previewJSON {
	p := &previewJSON{Format: l.Format, Packed: l.Packed, Facts: []factJSON{}, Columns: l.Columns}
	for _, f := range l.Facts {
		p.Facts = append(p.Facts, factJSON(f))
	}
	return p
}

func printJSON(cmd *cobra.Command, v any) error {
	enc := json.NewEncoder(cmd.OutOrStdout())
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}
