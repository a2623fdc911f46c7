package delimited

import (
	"bytes"
	"fmt"
	"testing"
)

// What is looked for in the chunks of a long file is what is in the whole.
func TestChunksOfALongFileAreTheWhole(t *testing.T) {
	for _, size := range []int{0, 1, 1000, 4 * chunkBytes, 4*chunkBytes + 1, 5*chunkBytes - 1} {
		data := bytes.Repeat([]byte("1234567\n"), size/8+1)[:size]
		if got, want := newlines(data), bytes.Count(data, []byte("\n")); got != want {
			t.Errorf("%d bytes: %d line feeds, want %d", size, got, want)
		}
		if holds(data, 0) {
			t.Errorf("%d bytes hold a byte that is not there", size)
		}
		for _, at := range []int{0, chunkBytes - 1, chunkBytes, size - 1} {
			if at < 0 || at >= size {
				continue
			}
			was := data[at]
			data[at] = 0
			if !holds(data, 0) {
				t.Errorf("%d bytes: the one at %d was not found", size, at)
			}
			data[at] = was
		}
	}
}

// Rows like those that most files have are all read by pairs, but for the last few
// that are too near the end to look beyond them: to fall back on reading them one
// by one would give the same numbers, in many times the time.
func TestPairsReadPlainRows(t *testing.T) {
	for _, end := range []string{"\n", "\r\n"} {
		var b bytes.Buffer
		b.WriteString("time,force" + end)
		const rows = 500
		for i := range rows {
			fmt.Fprintf(&b, "%.6f,%.3f%s", float64(i)*1e-4, float64(i%97-40)*31.25, end)
		}
		data := b.Bytes()
		p := plain{delim: ',', mark: '.', hi: 1, paired: true}
		times, forces := make([]float64, rows), make([]float64, rows)
		var shapes [2]shape
		head := len("time,force" + end)
		// The first row tells what numbers look like.
		if _, _, ok := shapes[0].number(data, head, '.'); !ok {
			t.Fatal("the time of the first row was not read")
		}
		if _, _, ok := shapes[1].number(data, head+9, '.'); !ok {
			t.Fatal("the force of the first row was not read")
		}
		n, next, falls := p.pairs(data, head, len(data), &shapes, -1, times, forces)
		if n < rows-4 || falls || data[next-1] != '\n' {
			t.Errorf("%q: %d of %d rows, up to %d of %d; falls %t", end, n, rows, next, len(data), falls)
		}
		for i := range n {
			if times[i] != float64(i)/1e4 || forces[i] != float64(i%97-40)*31.25 {
				t.Fatalf("row %d: %v, %v", i, times[i], forces[i])
			}
		}
		// A digit in place of the carriage return is no end of a row.
		if end == "\r\n" {
			odd := bytes.LastIndexByte(data[:len(data)/2], '\r')
			before := bytes.Count(data[head:odd], []byte("\n"))
			data[odd] = '5'
			if n, _, _ := p.pairs(data, head, len(data), &shapes, -1, times, forces); n != before {
				t.Errorf("%d rows were read, the one after %d ends with a digit more", n, before)
			}
		}
	}
}

// A typographic minus becomes a plain one.
func TestTypographicMinusIsAMinus(t *testing.T) {
	if got, _ := decode([]byte("0,\u22122\n")); string(got) != "0,-2\n" {
		t.Errorf("%q, want a minus", got)
	}
}
