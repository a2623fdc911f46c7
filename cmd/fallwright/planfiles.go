package main

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/draw"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/report/calendar"
	"fallwright.example/report/sheets"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// writePlan writes what people take to the table and the tower, and the study file
// where it is a new one.
func writePlan(cmd *cobra.Command, p *study.Planned, dir, path string, file []byte) error {
	if err := makeFolder(dir, "nothing was written"); err != nil {
		return err
	}
	name := filepath.Base(path)
	if file != nil && sameFile(path, filepath.Join(dir, name)) {
		return problem.New(problem.Conflict, "--out", "%s would be written over", path).Hint("name another folder").In("nothing was written")
	}
	w := &planFiles{dir: dir}
	if file != nil {
		w.file(name, file)
	}
	w.table("specimens.csv", specimenTable(p))
	if p.Cut != nil {
		w.table("cutting.csv", stepTable(p))
	}
	if p.Plan.Order.Blind {
		w.table("key.csv", keyTable(p))
	}
	for i, h := range p.HowMany {
		if h.Curve != nil {
			w.svg(fmt.Sprintf("how-many-%d.svg", i+1), figure.Power(h.Curve, "", h.Wanted, canvasOf(p, 720, 420)))
		}
	}
	if t := p.Timetable; t != nil {
		w.table("timetable.csv", timeTable(t))
		var b bytes.Buffer
		if err := writeCalendar(&b, p); err != nil {
			return err
		}
		w.file("timetable.ics", b.Bytes())
		var conditions []string
		for _, c := range p.Plan.Conditions {
			conditions = append(conditions, c.Name)
		}
		for i, d := range t.Days {
			if !d.First.IsZero() {
				w.svg(fmt.Sprintf("timetable-day-%d.svg", i+1), figure.Gantt(t, p.Ask, i+1, conditions, canvasOf(p, 1100, 600)))
			}
		}
	}
	w.written("sheets.pdf", p, sheets.PDF)
	w.written("plan.xlsx", p, sheets.Workbook)
	if w.err != nil {
		return w.err
	}
	terminal{cmd.ErrOrStderr()}.line("%s: %s", dir, strings.Join(w.names, ", "))
	if p.Plan.Order.Blind {
		terminal{cmd.ErrOrStderr()}.line("key.csv says which label is of which condition: keep it from whoever drops")
	}
	return nil
}

// writeCalendar writes the timetable for calendars, without conditions where labels
// hide them.
func writeCalendar(w io.Writer, p *study.Planned) error {
	return calendarOf(w, p.Shown(), &p.Plan)
}

func calendarOf(w io.Writer, t *timetable.Table, p *campaign.Plan) error {
	return calendar.Write(w, t, calendar.Calendar{
		Study: p.Name, Title: p.Title, Stamp: time.Now().UTC().Truncate(time.Second), Remark: remarkOf(p), Product: programName(),
	})
}

// sameFile reports whether two paths lead to one file.
func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	y, err2 := os.Stat(b)
	return err == nil && err2 == nil && os.SameFile(x, y)
}

func remarkOf(p *campaign.Plan) string {
	if p.Invented {
		return "invented numbers"
	}
	return ""
}

func canvasOf(p *study.Planned, width, height float64) figure.Canvas {
	return figure.Canvas{Width: width, Height: height, Remark: remarkOf(&p.Plan)}
}

// planFiles writes files and keeps the first thing that went wrong.
type planFiles struct {
	dir   string
	names []string
	err   error
}

func (w *planFiles) file(name string, data []byte) {
	if w.err != nil {
		return
	}
	if err := writeWhole(filepath.Join(w.dir, name), data); err != nil {
		state := "nothing was written"
		if len(w.names) > 0 {
			state = "written: " + strings.Join(w.names, ", ")
		}
		w.err = left(err, state)
		return
	}
	w.names = append(w.names, name)
}

func (w *planFiles) table(name string, rows [][]string) {
	var b bytes.Buffer
	t := csv.NewWriter(&b)
	if err := t.WriteAll(rows); err != nil {
		w.err = err
	}
	w.file(name, b.Bytes())
}

// written is a file that a report writes.
func (w *planFiles) written(name string, p *study.Planned, by func(io.Writer, *study.Planned) error) {
	var b bytes.Buffer
	if err := by(&b, p); err != nil && w.err == nil {
		w.err = err
	}
	w.file(name, b.Bytes())
}

func (w *planFiles) svg(name string, s *figure.Scene) {
	w.file(name, []byte(standing(s.SVG())))
}

// specimenTable is what is cut from where, in the order of the plan.
func specimenTable(p *study.Planned) [][]string {
	out := [][]string{{"label", "lot", "rope", "from_m", "to_m", "condition", "spare", "place", "day", "knots"}}
	for _, s := range p.Plan.Specimens {
		condition := s.Condition
		if p.Plan.Order.Blind {
			condition = ""
		}
		spare := ""
		if s.Spare {
			spare = "yes"
		}
		from, to := "", ""
		if s.To > s.From {
			from, to = fmt.Sprintf("%.3f", s.From), fmt.Sprintf("%.3f", s.To)
		}
		out = append(out, []string{s.Label, s.Lot, s.RopeID(), from, to, condition, spare, numberOrNone(s.Place), numberOrNone(s.Day), s.Knots})
	}
	return out
}

// stepTable is the list to tick.
func stepTable(p *study.Planned) [][]string {
	out := [][]string{{"done", "rope", "label", "at_m", "do", "tool"}}
	for _, s := range p.Steps {
		at := ""
		if s.At > 0 {
			at = fmt.Sprintf("%.3f", s.At)
		}
		out = append(out, []string{"", s.Rope, s.Tag, at, s.Do, s.Tool})
	}
	for _, s := range draw.Order(&p.Plan) {
		out = append(out, []string{"", s.RopeID(), s.Label, "", "after use: destroy", "cutter"})
	}
	return out
}

// keyTable opens hidden labels.
func keyTable(p *study.Planned) [][]string {
	out := [][]string{{"label", "condition"}}
	for _, s := range p.Plan.Specimens {
		out = append(out, []string{s.Label, s.Condition})
	}
	return out
}

// timeTable is every step with its time.
func timeTable(t *timetable.Table) [][]string {
	out := [][]string{{"start", "end", "do", "specimen", "fall", "tower", "place", "people", "done"}}
	for _, o := range t.Ops {
		out = append(out, []string{
			o.Start.Format("2006-01-02 15:04:05"), o.End.Format("2006-01-02 15:04:05"), string(o.Kind), o.Specimen, numberOrNone(o.Fall),
			o.Tower, o.Place, strings.Join(o.People, ", "), "",
		})
	}
	return out
}
