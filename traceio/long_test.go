package traceio_test

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// A long file that is not held gives what it gives when it is.
func TestLongFilesReadAsHeld(t *testing.T) {
	var b strings.Builder
	b.WriteString("t [s],F [N]\n")
	for i := range 150_000 {
		fmt.Fprintf(&b, "%.5f,%.3f\n", float64(i)/1e4, float64(i*7%911)*3.125-40)
	}
	plain := b.String()
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := io.WriteString(z, plain); err != nil || z.Close() != nil {
		t.Fatal(err)
	}
	formats := make([]traceio.Format, 0, len(every))
	for _, f := range every {
		formats = append(formats, f)
	}
	readers := traceio.New(formats...)
	for name, data := range map[string]string{
		"plain": plain, "with a remark": strings.Replace(plain, "\n9.00000", "\n# here\n9.00000", 1), "packed": packed.String(),
		"two drops": plain + plain, "no text": strings.Repeat("\x00\x01\x02", 1<<19), "short": plain[:500], "none": "", "cut off": plain[:len(plain)-10],
	} {
		want, wantErr := readers.Read("a.csv", []byte(data), trace.Ask{})
		got, err := readers.ReadLong("a.csv", strings.NewReader(data), int64(len(data)), trace.Ask{})
		if !reflect.DeepEqual(err, wantErr) || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v; held: %v", name, err, wantErr)
		}
	}
	if _, err := readers.ReadLong("a.csv", strings.NewReader(plain[:90]), int64(len(plain)), trace.Ask{}); !errors.Is(err, io.EOF) {
		t.Errorf("a file shorter than it was: %v", err)
	}
	_, err := readers.ReadLong("a.csv", strings.NewReader(plain), traceio.MostBytes+1, trace.Ask{})
	if problem.KindOf(err) != problem.Unreadable {
		t.Errorf("3 GiB: %v", err)
	}
}
