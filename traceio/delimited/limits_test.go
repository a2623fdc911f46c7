package delimited_test

import (
	"bytes"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// hostile are files that nobody means to be read, at a size at which a cost
// out of proportion would show. Each has to be refused in time and memory that
// go with its size.
func hostile() map[string][]byte {
	const size = 4 << 20
	rows := bytes.Repeat([]byte("1;2\n"), 100)
	wide := bytes.Repeat([]byte("1,"), 1_000_000)
	return map[string][]byte{
		"one line":                  bytes.Repeat([]byte("1"), size),
		"one line of cells":         bytes.Repeat([]byte("1,"), size/2),
		"one line of quotes":        bytes.Repeat([]byte(`"`), size),
		"one line of blanks":        append(bytes.Repeat([]byte(" "), size), '1'),
		"a long line below":         append(append([]byte("t (s);F (N)\n"), rows...), bytes.Repeat([]byte("1"), size)...),
		"a long line of cells":      append(append([]byte("t (s);F (N)\n"), rows...), bytes.Repeat([]byte("1;"), size/2)...),
		"a million columns":         append(append(wide, '\n'), append(wide, '\n')...),
		"5000 columns":              bytes.Repeat(append(bytes.Repeat([]byte("1,"), 5000), '\n'), 1000),
		"half a million columns":    bytes.Repeat(append(bytes.Repeat([]byte("1 "), 500_000), '\n'), 20),
		"prose":                     bytes.Repeat([]byte("lorem ipsum, dolor 5 sit\n"), size/25),
		"empty lines":               append(bytes.Repeat([]byte("\n"), size), '1'),
		"lines of one letter":       bytes.Repeat([]byte("a\n"), size/2),
		"lines of one number":       bytes.Repeat([]byte("5\n"), size/2),
		"time that starts over":     bytes.Repeat([]byte("t (s);F (N)\n0;1\n1;2\n2;3\n"), size/24),
		"a header all over":         bytes.Repeat([]byte("t (s);F (N)\n"), size/12),
		"blank cells":               append([]byte("t (s);F (N)\n0;1\n1;2\n"), bytes.Repeat([]byte("1;\n"), size/3)...),
		"stamps that stand":         append([]byte("t (s);F (N)\n"), bytes.Repeat([]byte("1;2\n"), size/4)...),
		"times of day that stand":   append([]byte("t;F (N)\n"), bytes.Repeat([]byte("12:00:00;2\n"), size/11)...),
		"a name in front of a name": bytes.Repeat([]byte("run 1\n"), size/6),
	}
}

func TestHostileFilesAreRefusedInProportion(t *testing.T) {
	if testing.Short() {
		t.Skip("not checked: hostile files of 4 MiB")
	}
	checked := 0
	for name, data := range hostile() {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		start := time.Now()
		_, err := delimited.Format{}.Read("a.csv", data, trace.Ask{})
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		if (err == nil) != (name == "blank cells") { // two samples, and a column that ends early
			t.Errorf("%s: %v", name, err)
		}
		// All that was ever allocated, so that the peak is below it; the head that
		// is looked at has its own limit, whatever the file's size.
		const head = 96 << 20
		if spent := after.TotalAlloc - before.TotalAlloc; spent > 16*uint64(len(data))+head {
			t.Errorf("%s: %d bytes allocated for %d", name, spent, len(data))
		} else {
			t.Logf("%-26s %4d MB of %4d, %v: %v", name, spent>>20, len(data)>>20, took.Round(time.Millisecond), err)
		}
		// Thirty seconds for 4 MiB are far above what a loop over it takes, even on
		// a busy machine, and far below what a square of it would.
		if took > 30*time.Second {
			t.Errorf("%s: took %v", name, took)
		}
		checked++
	}
	if checked < 15 {
		t.Fatalf("%d files were looked at", checked)
	}
}

// The limits are said where they are met.
func TestLimitsAreSaid(t *testing.T) {
	long := strings.Repeat("9", 1<<20)
	for _, c := range []struct{ name, data, where, what string }{
		{"a long line", long + "1\n", "a.csv:1", "the line is longer than 1 MiB, which is our own limit"},
		{"a long line below", "t (s);F (N)\n0;1\n1;2\n2;3\n" + strings.Repeat("0;1\n", 20_000) + long + "1;2\n", "a.csv:20005", "the line is longer than 1 MiB"},
		{"columns", strings.Repeat(strings.Repeat("1,", 4096)+"1\n", 3), "a.csv:1", "the table has more than 4096 columns, which is our own limit"},
		{"no table in reach", strings.Repeat("a\n", 1<<18+5), "a.csv:1", "no table of numbers was found in its first 4 MiB or 262144 lines, where our own limit is"},
	} {
		_, err := readOne("a.csv", []byte(c.data), trace.Ask{Rate: 1})
		refusedWith(t, c.name, err, c.where, c.what, "")
	}
	most := fmt.Sprintf("t (s),F (N)%s\n", strings.Repeat(",x", 4094))
	row := func(i int) string { return fmt.Sprintf("%d,%d%s\n", i, i, strings.Repeat(",5", 4094)) }
	if rec, err := readOne("a.csv", []byte(most+row(0)+row(1)+row(2)), trace.Ask{}); err != nil || len(rec.Force) != 3 {
		t.Errorf("4096 columns: %v", err)
	}
}
