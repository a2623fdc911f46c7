package sheets

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"fallwright.example/campaign"
	"fallwright.example/study"
)

func opened(t *testing.T, p *study.Planned) *excelize.File {
	t.Helper()
	var b bytes.Buffer
	if err := Workbook(&b, p); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

func TestWorkbook(t *testing.T) {
	p := planned(t, 3, 1, nil)
	f := opened(t, p)
	if got := f.GetSheetList(); !slices.Equal(got, []string{"plan", "cutting", "specimens", "order", "timetable", "destroy"}) {
		t.Errorf("sheets %q", got)
	}
	raw := excelize.Options{RawCellValue: true}
	rows, err := f.GetRows("specimens", raw)
	if err != nil {
		t.Fatal(err)
	}
	looked := 0
	for i, s := range p.Plan.Specimens {
		looked++
		if got, want := rows[i+1][:5], []string{s.Label, s.Lot, fmt.Sprint(s.From), fmt.Sprint(s.To), conditionOf(&p.Plan, s)}; !slices.Equal(got, want) {
			t.Errorf("row %q, want %q", got, want)
		}
	}
	times, _ := f.GetRows("timetable")
	for i, o := range p.Timetable.Ops {
		looked++
		if got, want := times[i+1][1], o.Start.Format("2006-01-02 15:04:05"); got != want {
			t.Errorf("starts at %s, want %s", got, want)
		}
	}
	if kind, err := f.GetCellType("specimens", "C2"); err != nil || kind == excelize.CellTypeSharedString || kind == excelize.CellTypeInlineString {
		t.Errorf("a position is no number: %v %v", kind, err)
	}
	plan, _ := f.GetRows("plan")
	if said := fmt.Sprint(plan); !strings.Contains(said, caution) || !strings.Contains(said, invented) {
		t.Errorf("the first sheet says %s", said)
	}
	if looked < 20 {
		t.Errorf("%d rows looked at", looked)
	}
}

func TestBlindWorkbook(t *testing.T) {
	f := opened(t, planned(t, 3, 1, func(p *campaign.Plan) { p.Order.Blind = true }))
	cells := 0
	for _, sheet := range f.GetSheetList() {
		rows, _ := f.GetRows(sheet)
		for _, row := range rows {
			for _, cell := range row {
				cells++
				if strings.Contains(cell, "Marram dry") || strings.Contains(cell, "Marram soaked") || strings.Contains(cell, "spare,") {
					t.Errorf("%s tells %q", sheet, cell)
				}
			}
		}
	}
	if cells < 100 {
		t.Errorf("%d cells looked at", cells)
	}
}
