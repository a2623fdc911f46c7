package delimited

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/trace"
)

// Whatever a file is read from and wherever the pieces are cut, what is read without
// holding it is what is read row by row; and a plain file never has to be held.
func TestStreamReadsAsRowByRow(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	paired := []int{0, 7, 8, 9}
	read, plain, left := 0, 0, 0
	for n := range 400 {
		faults := rng.IntN(3) * rng.IntN(2)
		layout := paired[n%len(paired)]
		data := plainTable(rng, layout, faults, false)
		ask := plainLayouts[layout].ask
		want, wantErr := Format{}.read("a.csv", data, ask, 0)
		head := int64(1500 + rng.IntN(2000))
		for _, from := range []io.ReaderAt{held(data), bytes.NewReader(data)} {
			got, ok := Format{}.stream("a.csv", from, int64(len(data)), ask, head, 20+rng.IntN(3000))
			switch {
			case !ok && faults == 0 && wantErr == nil && len(want.Parts) == 1 && rising(want.Parts[0].Time):
				t.Fatalf("table %d of layout %d: plain, and not read", n, layout)
			case !ok:
				left++
				continue
			case wantErr != nil:
				t.Fatalf("table %d: read, though it is refused: %v", n, wantErr)
			case !reflect.DeepEqual(got, want):
				t.Fatalf("table %d of layout %d: another file than row by row", n, layout)
			}
			if read++; faults == 0 {
				plain++
			}
		}
	}
	if plain < 100 || left < 50 {
		t.Fatalf("%d were read, %d of them plain, %d left: too few of a kind", read, plain, left)
	}
}

// A piece that ends at any byte of a row, or holds none, cuts no row.
func TestPiecesEndAnywhere(t *testing.T) {
	for _, end := range []string{"\n", "\r\n"} {
		var b strings.Builder
		b.WriteString("t [s],F [N]" + end)
		const rows = 400
		for i := range rows {
			fmt.Fprintf(&b, "%.4f,%.3f%s", float64(i)/1e3, float64(i*i%7919-900)/8, end)
		}
		for _, data := range []string{b.String(), strings.TrimSuffix(b.String(), end), b.String() + end, b.String() + "# done" + end} {
			want, err := Format{}.read("a.csv", []byte(data), trace.Ask{}, 0)
			if err != nil {
				t.Fatal(err)
			}
			read, sizes, below := 0, 0, len(data) > b.Len()
			for size := 5; size < 120; size++ {
				got, ok := Format{}.stream("a.csv", strings.NewReader(data), int64(len(data)), trace.Ask{}, 2000, size)
				sizes++
				if below && !ok {
					continue // what stands below is not all in the last piece
				}
				read++
				if !ok || !reflect.DeepEqual(got, want) {
					t.Fatalf("pieces of %d bytes, %d bytes ending in %q: read %t, or another file", size, len(data), data[len(data)-3:], ok)
				}
			}
			if 2*read < sizes {
				t.Errorf("read in %d of %d sizes of pieces, with %d bytes", read, sizes, len(data))
			}
		}
	}
}

// What shows only in the whole of a file is not decided on its head.
func TestStreamLeavesWhatIsNotPlain(t *testing.T) {
	var b strings.Builder
	for i := range 300 {
		fmt.Fprintf(&b, "%.4f,%.2f\n", float64(i)/1e3, float64(i%97)+1.25)
	}
	rows := b.String()
	whole := strings.ReplaceAll(rows, ".25\n", ".000\n")
	for name, data := range map[string]string{
		"codes of missing samples":  "t [s],F [N]\n" + rows + "0.4001,9999\n0.4002,9999\n0.4003,1.000\n",
		"time that goes back":       "t [s],F [N]\n" + rows + rows,
		"a column never filled":     "t [s],F [N],x [mm]\n" + rows,
		"thousands or decimals":     "t [s],F [N]\n" + whole,
		"Latin-1 below":             "t [s],F [N]\n" + rows + "# f\xe4llt\n",
		"NULs below":                "t [s],F [N]\n" + rows + "\x00\x00",
		"a mark of another kind":    "<t [s],F [N]\n" + rows + "# >\n",
		"a stamp that stands still": "t [s],F [N]\n" + rows + "0.2990,1.000\n",
		"a file that is its head":   "t [s],F [N]\n" + rows[:900],
	} {
		if _, ok := (Format{}).stream("a.csv", strings.NewReader(data), int64(len(data)), trace.Ask{}, 1500, 300); ok {
			t.Errorf("%s: read from the head and plain rows", name)
		}
	}
	data := "t [s],F [N]\n" + rows
	if _, ok := (Format{}).stream("a.csv", strings.NewReader(data), int64(len(data)), trace.Ask{}, 1500, 300); !ok {
		t.Error("a plain file was not read")
	}
	if _, ok := (Format{}).stream("a.csv", strings.NewReader(data[:3000]), int64(len(data)), trace.Ask{}, 1500, 300); ok {
		t.Error("a file that is shorter than it was is read")
	}
}

// Source: strconv.ParseFloat. Rows of a time and a force with as many decimals and
// whole digits as loggers write, signs and marks of both kinds: the same to the bit,
// and read by pairs.
func TestPairsReadLikeStrconv(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	checked, paired := 0, 0
	for range 1500 {
		first, second := 1+rng.IntN(6), 1+rng.IntN(6)
		mark, delim := byte('.'), byte(',')
		if rng.IntN(2) == 0 {
			mark, delim = ',', ';'
		}
		end := []string{"\n", "\r\n"}[rng.IntN(2)]
		whole := 1 + rng.IntN(7-first)
		var b []byte
		var want [2][]float64
		b = append(b, "time;force  "...)
		b = append(b, end...)
		start := len(b)
		add := func(k int, v float64, decimals int) {
			s := strconv.FormatFloat(v, 'f', decimals, 64)
			f, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			want[k] = append(want[k], f)
			b = append(b, strings.Replace(s, ".", string(mark), 1)...)
		}
		const rows = 400
		low := math.Pow(10, float64(whole-1))
		for i := range rows {
			add(0, low+float64(i)*8*low/rows, first)
			b = append(b, delim)
			add(1, (rng.Float64()-0.5)*math.Pow(10, float64(rng.IntN(8-second))), second)
			b = append(b, end...)
		}
		p := plain{delim: delim, mark: mark, hi: 1, paired: true}
		times, forces := make([]float64, rows), make([]float64, rows)
		n, next, _ := p.read(b, start, len(b), times, forces)
		if n != rows || next != len(b) {
			t.Fatalf("%d of %d rows of %q", n, rows, b[start:start+40])
		}
		for i := range rows {
			if !same(times[i], want[0][i]) || !same(forces[i], want[1][i]) {
				t.Fatalf("%v and %v, strconv has %v and %v", times[i], forces[i], want[0][i], want[1][i])
			}
			checked += 2
		}
		var shapes [2]shape
		shapes[0].number(b, start, mark)
		at := start + bytes.IndexByte(b[start:], delim) + 1
		shapes[1].number(b, at, mark)
		if n, _, _ := p.pairs(b, start, len(b), &shapes, -1, times, forces); n > rows/2 {
			paired++
		}
	}
	if checked < 1_000_000 || paired < 1200 {
		t.Fatalf("%d numbers, %d of 1500 tables by pairs", checked, paired)
	}
}

// What comes below rows that are plain is read, or left to be held, as row by row.
func FuzzStream(f *testing.F) {
	var b strings.Builder
	b.WriteString("t [s],F [N]\n")
	for i := range 120 {
		fmt.Fprintf(&b, "%.4f,%.3f\n", float64(i)/1e3, float64(i%7)*1.125-3)
	}
	for _, below := range []string{"", "\n", "# done\n", "0.5,1", "0.5000,1.125\r\n", "Run 2\n0.0000,1.000\n", "0.5000;1,125\n", "\x00", "0.1200,1e999\n", "0.1200,-12345.678\n"} {
		f.Add(below, uint16(100))
	}
	f.Fuzz(func(t *testing.T, below string, size uint16) {
		data := b.String() + below
		got, ok := Format{}.stream("a.csv", strings.NewReader(data), int64(len(data)), trace.Ask{}, 1600, 10+int(size))
		if !ok {
			return
		}
		want, err := Format{}.read("a.csv", []byte(data), trace.Ask{}, 0)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%q is read, row by row it is not so: %v", below, err)
		}
	})
}

// Marks between thousands stand after every three digits from the right, and nowhere else.
func TestGrouped(t *testing.T) {
	for cell, want := range map[string]bool{
		"1,234": true, "-12,345,678": true, "+999": true, "0,234": false, "1,2345": false, "12,5": false, "1,23": false,
		"1,234,": false, "1234,567": false, ",234": false, "": false, "-": false, "1.234": false, "1,2a4": false, "1,234,5678": false,
	} {
		if got := grouped([]byte(cell), ','); got != want {
			t.Errorf("%q: %t, want %t", cell, got, want)
		}
	}
}
