package sheets

import (
	"fmt"
	"io"
	"time"

	"github.com/xuri/excelize/v2"

	"fallwright.example/study"
	"fallwright.example/timetable"
)

// Workbook writes the tables of the sheets as xlsx, one a sheet, after a sheet that
// says what they belong to. Positions are metres; times are the clock's where the
// drops are made.
func Workbook(w io.Writer, p *study.Planned) error {
	b := book{file: excelize.NewFile()}
	defer b.file.Close()
	b.keep(b.file.SetSheetName("Sheet1", "plan"))
	b.facts(p)
	every := func(timetable.Op) bool { return true }
	for _, t := range []table{cutting(p), specimens(p), order(p), times(p, every), destroy(p)} {
		if len(t.rows) > 0 {
			b.table(t)
		}
	}
	b.keep(b.file.SetDocProps(&excelize.DocProperties{
		Title: p.Plan.Title, Creator: "fallwright", Created: pressed.Format(time.RFC3339), Modified: pressed.Format(time.RFC3339),
	}))
	if b.err == nil {
		b.err = b.file.Write(w)
	}
	if b.err != nil {
		return fmt.Errorf("workbook of study %s: %w", p.Plan.Name, b.err)
	}
	return nil
}

// book is a workbook being written; it keeps the first thing that went wrong.
type book struct {
	file  *excelize.File
	bold  int
	clock int
	metre int
	err   error
}

func (b *book) keep(err error) {
	if b.err == nil {
		b.err = err
	}
}

func (b *book) set(sheet string, column, row int, v any) {
	cell, err := excelize.CoordinatesToCellName(column, row)
	b.keep(err)
	b.keep(b.file.SetCellValue(sheet, cell, v))
}

// style makes a column of one sheet, or a row of heads, look like what it holds.
func (b *book) styles() {
	clock, metre := "yyyy-mm-dd hh:mm:ss", "0.000"
	for _, s := range []struct {
		to *int
		is *excelize.Style
	}{
		{&b.bold, &excelize.Style{Font: &excelize.Font{Bold: true}}},
		{&b.clock, &excelize.Style{CustomNumFmt: &clock}},
		{&b.metre, &excelize.Style{CustomNumFmt: &metre}},
	} {
		id, err := b.file.NewStyle(s.is)
		b.keep(err)
		*s.to = id
	}
}

func (b *book) facts(p *study.Planned) {
	b.styles()
	rows := append([][2]string{{"title", p.Plan.Title}}, facts(p)...)
	if p.Plan.Invented {
		rows = append(rows, [2]string{"remark", invented})
	}
	rows = append(rows, [2]string{"caution", caution})
	for i, f := range rows {
		b.set("plan", 1, i+1, f[0])
		b.set("plan", 2, i+1, f[1])
	}
	b.keep(b.file.SetColWidth("plan", "A", "A", 20))
	b.keep(b.file.SetColWidth("plan", "B", "B", 90))
}

func (b *book) table(t table) {
	_, err := b.file.NewSheet(t.name)
	b.keep(err)
	for i, c := range t.columns {
		b.set(t.name, i+1, 1, c.title)
		name, err := excelize.ColumnNumberToName(i + 1)
		b.keep(err)
		b.keep(b.file.SetColWidth(t.name, name, name, 4+5*c.share))
	}
	b.keep(b.file.SetRowStyle(t.name, 1, 1, b.bold))
	for y, row := range t.rows {
		for x, v := range row {
			b.cell(t.name, x+1, y+2, v)
		}
	}
	b.keep(b.file.SetPanes(t.name, &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}))
}

// cell writes what is there; a time as the clock on the wall shows it.
func (b *book) cell(sheet string, column, row int, v any) {
	at, err := excelize.CoordinatesToCellName(column, row)
	b.keep(err)
	switch v := v.(type) {
	case nil:
	case time.Time:
		wall := time.Date(v.Year(), v.Month(), v.Day(), v.Hour(), v.Minute(), v.Second(), 0, time.UTC)
		b.set(sheet, column, row, wall)
		b.keep(b.file.SetCellStyle(sheet, at, at, b.clock))
	case float64:
		b.set(sheet, column, row, v)
		b.keep(b.file.SetCellStyle(sheet, at, at, b.metre))
	default:
		b.set(sheet, column, row, v)
	}
}
