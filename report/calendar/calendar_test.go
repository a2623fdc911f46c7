package calendar

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"fallwright.example/timetable"
	"pgregory.net/rapid"
)

const minute = time.Minute

// oneSoaked is an invented bench with one dry and one soaked specimen.
func oneSoaked(t rapid.TB, name, condition string) *timetable.Table {
	t.Helper()
	open := time.Date(2027, 5, 10, 8, 0, 0, 0, time.FixedZone("two hours east", 7200))
	each := timetable.Effort{Takes: minute}
	job := timetable.Job{Name: "M-01", Condition: "dry", Falls: 2, Rest: timetable.About(3*minute, minute)}
	wet := timetable.Job{
		Name: name, Condition: condition, Falls: 2, Rest: timetable.About(3*minute, minute), Drain: timetable.About(5*minute, 2*minute),
		Before: []timetable.Prep{{Do: timetable.Soak, In: "sea bath", For: timetable.About(10*minute, minute)}},
	}
	table, err := timetable.Build(context.Background(), timetable.Ask{
		Days:   []timetable.Day{{Open: open, Close: open.Add(4 * time.Hour)}},
		Towers: []timetable.Tower{{Name: "tower"}}, People: []timetable.Person{{Name: "Ada"}}, Places: []timetable.Place{{Name: "sea bath", Holds: 2}},
		Work: timetable.Work{PutIn: each, TakeOut: each, Hang: each, Drop: each, TakeDown: each},
		Jobs: []timetable.Job{job, wet}, Steps: 1,
		Reference: &timetable.Reference{Specimen: "R-1", Falls: 1, Opens: true, Closes: true},
	})
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func written(t rapid.TB, table *timetable.Table, c Calendar) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, table, c); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// unfolded reads content lines as [RFC5545] 3.1 says: a line ends with CRLF, and
// CRLF before a space or a tab is no end.
func unfolded(t rapid.TB, file string) []string {
	t.Helper()
	if !strings.HasSuffix(file, "\r\n") {
		t.Fatal("the last line does not end")
	}
	for _, l := range strings.Split(strings.TrimSuffix(file, "\r\n"), "\r\n") {
		if len(l) > 75 || strings.ContainsAny(l, "\r\n") || !utf8.ValidString(l) {
			t.Fatalf("%d octets, or a bare line end, or half a character: %q", len(l), l)
		}
	}
	whole := strings.NewReplacer("\r\n ", "", "\r\n\t", "").Replace(file)
	return strings.Split(strings.TrimSuffix(whole, "\r\n"), "\r\n")
}

func values(lines []string, name string) (out []string) {
	for _, l := range lines {
		if v, ok := strings.CutPrefix(l, name+":"); ok {
			out = append(out, v)
		}
	}
	return out
}

func TestWrite(t *testing.T) {
	table := oneSoaked(t, "M-02", "soaked")
	c := Calendar{Study: "skerry", Title: "Skerry Head", Stamp: time.Date(2027, 5, 1, 9, 30, 0, 0, time.UTC), Remark: "invented numbers", Product: "fallwright"}
	file := written(t, table, c)
	lines := unfolded(t, file)
	if lines[0] != "BEGIN:VCALENDAR" || lines[1] != "VERSION:2.0" || lines[len(lines)-1] != "END:VCALENDAR" {
		t.Errorf("the frame is %q ... %q", lines[:2], lines[len(lines)-1])
	}
	// Two check drops, two series, one soak; each exactly once has what the standard
	// asks of an event (3.6.1: UID and DTSTAMP, and DTSTART).
	const events = 5
	for _, name := range []string{"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"} {
		if got := values(lines, name); len(got) != events {
			t.Errorf("%d of %s, want %d", len(got), name, events)
		}
	}
	uids := map[string]bool{}
	for _, u := range values(lines, "UID") {
		uids[u] = true
	}
	if len(uids) != events || !uids["skerry/M-02-falls@fallwright"] || !uids["skerry/M-02-sea bath@fallwright"] {
		t.Errorf("identities are %v", uids)
	}
	if got := values(lines, "DTSTAMP")[0]; got != "20270501T093000Z" {
		t.Errorf("stamped %s", got)
	}
	if got := values(lines, "DTSTART")[0]; got != "20270510T060000Z" { // eight, two hours east of Greenwich
		t.Errorf("the first begins %s", got)
	}
	if again := written(t, table, c); again != file {
		t.Error("the same timetable was written in two ways")
	}
}

// Whatever the names, lines are folded and escaped so that a reader who follows
// the standard has every name back, and none breaks out of its line.
func TestAnyNames(t *testing.T) {
	looked := 0
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.StringMatching(`[^\p{Cc}\p{Cs}]{1,60}`).Draw(t, "name")
		condition := rapid.String().Draw(t, "condition")
		if name == "M-01" || name == "R-1" {
			t.Skip("taken")
		}
		lines := unfolded(t, written(t, oneSoaked(t, name, condition), Calendar{Study: "s", Title: condition, Product: "p"}))
		back := strings.NewReplacer(`\\`, `\`, `\;`, ";", `\,`, ",", `\n`, "\n")
		found := 0
		for _, s := range values(lines, "SUMMARY") {
			if strings.HasPrefix(back.Replace(s), name+", falls") {
				found++
			}
		}
		if found != 1 {
			t.Fatalf("%q is found %d times in %q", name, found, lines)
		}
		if n := len(values(lines, "BEGIN")); n != 6 {
			t.Fatalf("%d components", n)
		}
		looked++
	})
	if looked < 50 {
		t.Fatalf("%d looked at", looked)
	}
}

// Source of the rules: RFC 5545, 3.1 (folding) and 3.3.11 (TEXT), its own example
// of the second among them.
func TestTextAndFolding(t *testing.T) {
	if got := text("Project XYZ Final Review\nConference Room - 3B\nCome Prepared."); got != `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.` {
		t.Errorf("text gives %q", got)
	}
	if got := text("a;b,c\\d\r\ne\x07"); got != `a\;b\,c\\d\ne` {
		t.Errorf("text gives %q", got)
	}
	for n := range 200 {
		var b bytes.Buffer
		l := &lines{w: &b}
		value := strings.Repeat("ö", n) + strings.Repeat("x", n%3)
		l.put("X", value)
		if got := unfolded(t, b.String()); len(got) != 1 || got[0] != "X:"+value {
			t.Fatalf("%d: folded and unfolded it is %q", n, got)
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteSaysErrors(t *testing.T) {
	if err := Write(full{}, oneSoaked(t, "M-02", "soaked"), Calendar{}); fmt.Sprint(err) != "disk full" {
		t.Errorf("got %v", err)
	}
}
