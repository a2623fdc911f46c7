package xlsx_test

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/xlsx"
)

// FuzzRead holds that any sheet, in a workbook with any shared texts and styles,
// and any bytes in place of a workbook, give either sound recordings or a whole
// refusal.
func FuzzRead(f *testing.F) {
	for _, c := range examCases(f) {
		if len(c.Data) < 20_000 {
			f.Add(c.Data, "", c.Ask.Rate, c.Ask.Force, c.Ask.Unit)
		}
	}
	f.Add([]byte(nil), rows(1, titles, "0|1", "0.5|2.5", `<c s="1"><v>46351</v></c>|<c t="s"><v>0</v></c>`), 0.0, "", "")
	f.Add([]byte(nil), `<row r="1"><c r="A1" t="inlineStr"><is><r><t>a</t></r><rPh><t>b</t></rPh></is></c></row><!-- > --><row r="3" a='">'/>`, 1.0, "1", "N")
	f.Fuzz(func(t *testing.T, data []byte, sheet string, rate float64, force, unit string) {
		if sheet != "" {
			data = workbook(t, []string{"a", "1"}, leaf{"Fall", sheet})
		}
		format := xlsx.Format{}
		format.Claims("a.xlsx", data)
		file, err := format.Read("a.xlsx", data, trace.Ask{Rate: rate, Force: force, Unit: unit})
		if err != nil {
			var p *problem.Problem
			if !errors.As(err, &p) || p.Where == "" || p.What == "" || len(p.Hints) == 0 || p.State == "" || p.Kind == 0 || len(file.Parts) > 0 {
				t.Fatalf("half a refusal: %#v", err)
			}
			return
		}
		for _, rec := range file.Parts {
			if len(rec.Time) != len(rec.Force) || len(rec.Time) < 2 || rec.Stretch != nil && len(rec.Stretch) != len(rec.Time) {
				t.Fatalf("%d times, %d forces", len(rec.Time), len(rec.Force))
			}
			for i := range rec.Time {
				if math.IsNaN(rec.Time[i]-rec.Time[i]) || math.IsNaN(rec.Force[i]-rec.Force[i]) {
					t.Fatalf("row %d is not finite", i)
				}
				if i > 0 && rec.Time[i] <= rec.Time[i-1] {
					t.Fatalf("time does not rise at row %d", i)
				}
			}
		}
	})
}

// What a third program writes, excelize 2.11.1, is read back to the bit. It stores
// 15 digits, so the numbers here have 12 at most.
func TestReadsBackWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := excelize.NewFile()
		defer book.Close()
		top := rapid.IntRange(1, 30).Draw(t, "row of the header")
		left := rapid.IntRange(1, 30).Draw(t, "column of the time")
		at := func(r, c int) string {
			name, err := excelize.CoordinatesToCellName(left+c, top+r)
			if err != nil {
				t.Fatal(err)
			}
			return name
		}
		set := func(r, c int, v any) {
			if err := book.SetCellValue("Sheet1", at(r, c), v); err != nil {
				t.Fatal(err)
			}
		}
		set(0, 0, "Time (s)")
		set(0, 1, "Force (N)")
		var times, forces []float64
		now := 0
		for i := range rapid.IntRange(2, 40).Draw(t, "rows") {
			now += rapid.IntRange(1, 1_000_000).Draw(t, "step")
			f := float64(rapid.IntRange(-1e11, 1e11).Draw(t, "force")) / 1e6
			times, forces = append(times, float64(now)/1e6), append(forces, f)
			set(i+1, 0, times[i])
			set(i+1, 1, f)
		}
		var out bytes.Buffer
		if err := book.Write(&out); err != nil {
			t.Fatal(err)
		}
		file, err := xlsx.Format{}.Read("a.xlsx", out.Bytes(), trace.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		rec := file.Parts[0]
		if len(rec.Force) != len(forces) {
			t.Fatalf("%d rows, want %d", len(rec.Force), len(forces))
		}
		for i := range forces {
			if rec.Force[i] != forces[i] || rec.Time[i] != times[i] {
				t.Fatalf("row %d: %v at %v, want %v at %v", i, rec.Force[i], rec.Time[i], forces[i], times[i])
			}
		}
	})
}
