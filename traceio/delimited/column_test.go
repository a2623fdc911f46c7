package delimited_test

import (
	"fmt"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// A column that says which drop a row belongs to parts them, also where time
// goes on; one that counts rows, or was measured, does not.
func TestColumnOfDrops(t *testing.T) {
	for _, c := range []struct {
		header string
		row    func(i int) string
		ask    trace.Ask
		parts  []string
	}{
		{"Drop,Time (s),Force (N)", func(i int) string { return fmt.Sprintf("%d,%d,%d.5", 7+i/20, i, i) }, trace.Ask{}, []string{"7", "8", "9"}},
		{"Time (s),Force (N),Specimen", func(i int) string { return fmt.Sprintf("%d,%d.5,M-%02d", i, i, i/30) }, trace.Ask{}, []string{"M-00", "M-01"}},
		{"Versuch Nr;Kraft (N)", func(i int) string { return fmt.Sprintf("%d;%d,5", 1+i/30, i) }, trace.Ask{Rate: 100}, []string{"1", "2"}},
		{"Run,Time (s),Force (N)", func(i int) string { return fmt.Sprintf("%d,%d,%d.5", i/30, i%30, i) }, trace.Ask{}, []string{"Run 0", "Run 1"}},
		{"Test,Time (s),Force (N)", func(i int) string { return fmt.Sprintf("%d,%d,%d.5", i, i, i) }, trace.Ask{}, []string{""}},
		{"Test,Time (s),Force (N)", func(i int) string { return fmt.Sprintf("1,%d,%d.5", i, i) }, trace.Ask{}, []string{""}},
	} {
		file, err := delimited.Format{}.Read("a.csv", []byte(down(c.header, 60, c.row)), c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.header, err)
			continue
		}
		var got []string
		samples := 0
		for _, p := range file.Parts {
			got = append(got, p.Part)
			samples += len(p.Force)
		}
		if fmt.Sprint(got) != fmt.Sprint(c.parts) || samples != 60 {
			t.Errorf("%s: drops %q of %d samples, want %q of 60", c.header, got, samples, c.parts)
		}
	}
	refused(t, down("Drop,Time (s),Force (N)", 60, func(i int) string { return fmt.Sprintf("%d,%d,%d.5", i/10%3, i, i) }), trace.Ask{}, "the drops are mixed")
}

// Thousandths of a clock in a column of their own are neither time nor drops.
func TestPartsOfASecond(t *testing.T) {
	refused(t, down("Time,ms,Force (N)", 90, func(i int) string { return fmt.Sprintf("14:03:%02d,%d,%d.5", i/30, i%30*33, i) }), trace.Ask{}, "parts of a second", "--rate")
}

// A line in the table parts it only when it says which run begins, or time
// starts over.
func TestLineInTheTable(t *testing.T) {
	with := func(line string, at int) string {
		return down("Time (s),Force (N)", 60, func(i int) string {
			row := fmt.Sprintf("%.3f,%d.5", float64(i%at)/1000, i)
			if i == 30 {
				return line + "\n" + row
			}
			return row
		})
	}
	for _, line := range []string{"*** TRIGGER ***", "Event 1", "Drop"} {
		refused(t, with(line, 60), trace.Ask{}, "a.csv:32", "in the middle of the table")
	}
	for _, data := range []string{with("*** TRIGGER ***", 30), with("Run 2", 60), with("Lauf B", 60)} {
		file, err := delimited.Format{}.Read("a.csv", []byte(data), trace.Ask{})
		if err != nil || len(file.Parts) != 2 {
			t.Errorf("%d drops, %v; want 2", len(file.Parts), err)
		}
	}
}

// Rows from the newest to the oldest are not for a rate.
func TestNewestFirst(t *testing.T) {
	refused(t, down("Time (s),Force (N)", 60, func(i int) string { return fmt.Sprintf("%d,%d.5", 60-i, i) }), trace.Ask{}, "from the newest to the oldest", "backwards")
}
