package traceio

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"strings"
	"testing"
)

// A file of text is unpacked once; one that packs as no text does is counted
// before it is kept.
func TestUnpackedOnce(t *testing.T) {
	var text strings.Builder
	for i := range 5000 {
		fmt.Fprintf(&text, "%d;%d\n", i, i*i%7919)
	}
	for what, c := range map[string]struct {
		plain string
		opens int
	}{
		"text":  {text.String(), 1},
		"zeros": {strings.Repeat("0\n", 1<<20), 2},
	} {
		var b bytes.Buffer
		w := gzip.NewWriter(&b)
		if _, err := io.WriteString(w, c.plain); err != nil {
			t.Fatal(err)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		opens := 0
		out, err := drain("fall.csv", "gzip", b.Bytes(), func(r io.Reader) (io.Reader, func(), error) {
			opens++
			return openGzip(r)
		})
		if err != nil || string(out) != c.plain || opens != c.opens {
			t.Errorf("%s: %d bytes in %d goes, %v; want %d", what, len(out), opens, err, c.opens)
		}
	}
}
