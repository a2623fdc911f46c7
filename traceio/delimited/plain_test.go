package delimited

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// layouts of rows that may be plain: what stands above them, and a row.
var plainLayouts = []struct {
	head string
	ask  trace.Ask
	row  func(time, force float64) string
}{
	{"t [s],F [N]\n", trace.Ask{}, func(t, f float64) string { return fmt.Sprintf("%.4f,%.2f", t, f) }},
	{"F [kN];t [ms]\r\n", trace.Ask{}, func(t, f float64) string { return strings.ReplaceAll(fmt.Sprintf("%.3f;%.1f\r", f, 1e3*t), ".", ",") }},
	{"no\tt [s]\tF [N]\tx [mm]\tnote\n", trace.Ask{Stretch: "none"}, func(t, f float64) string { return fmt.Sprintf("7\t%.5f\t%.0f\t%.1f\tok", t, f, t) }},
	{"t [s],F [N],\n", trace.Ask{}, func(t, f float64) string { return fmt.Sprintf("%.4f,%.2e,", t, f) }},
	{"F [N]\n", trace.Ask{Rate: 1000}, func(_, f float64) string { return fmt.Sprintf("%.1f", f) }},
	{"a,F [N],t [s]\n", trace.Ask{}, func(t, f float64) string { return fmt.Sprintf("-3,%g,%.12f", f, t) }},
	{"t [s];F [N];x [mm]\n", trace.Ask{}, func(t, f float64) string { return fmt.Sprintf("%.4f;%.2f;%.1f", t, f, t) }},
	{"t [s],F [N]\n", trace.Ask{}, func(t, f float64) string { return fmt.Sprintf("%.5f,%.3f", t-0.15, f/9) }},
	{"t [ms];F [N]\r\n", trace.Ask{}, func(t, f float64) string { return strings.ReplaceAll(fmt.Sprintf("%.2f;%.3f\r", 1e3*t, f), ".", ",") }},
	{"t [s]|F [N]\n", trace.Ask{}, func(t, f float64) string { return fmt.Sprintf("%.6f|%.6f", 9.8+t, f/999) }},
}

// faults that a row may have, and what they make of it.
var plainFaults = []func(row string) string{
	func(row string) string { return row + "\n" },                            // a blank line
	func(row string) string { return row[:len(row)/2] },                      // cut off
	func(row string) string { return "# pause" },                             // a remark
	func(row string) string { return "Run 2\n" + row },                       // another drop
	func(row string) string { return "\"" + strings.Trim(row, "\r") + "\"" }, // quoted
	func(row string) string { return row + row },                             // too wide
	func(row string) string { return strings.Replace(row, "0", "NaN", 1) },
	func(row string) string { return strings.Replace(row, "1", "1e", 1) },
	func(row string) string { return strings.Replace(row, ".", ",", 1) },
	func(row string) string { return " " + row },
	func(row string) string { return row + "\n" + row }, // a stamp twice
	func(row string) string { return strings.Replace(row, "1", "123456789012345678", 1) },
	func(row string) string { return strings.Replace(row, "5", "", 1) },
	func(row string) string { return "-" + row },
	func(row string) string { return strings.TrimSuffix(row, "\r") },
	func(row string) string { return row + "\r" },
	func(row string) string { return strings.TrimSuffix(row, "\r") + "5" }, // a decimal more
	func(row string) string { return strings.Replace(row, "1", "-", 1) },
	func(row string) string { return strings.Replace(row, "1", ".", 1) },
	func(row string) string { return strings.ReplaceAll(row, ".", "/") },
	func(row string) string { return strings.ReplaceAll(row, ",", "-") },
	func(row string) string { return strings.NewReplacer("|", "x", ";", "x", "\t", "x").Replace(row) },
	func(row string) string { return strings.Replace(row, ",", "x", 1) },
}

func plainTable(rng *rand.Rand, layout, faults int, long bool) []byte {
	l := plainLayouts[layout]
	var b strings.Builder
	b.WriteString(l.head)
	rows := 300 + rng.IntN(300)
	if long {
		rows += waySamples // past the samples between two ways
	}
	at := map[int]int{}
	for range faults {
		at[rng.IntN(rows)] = rng.IntN(len(plainFaults))
	}
	start := 0
	if rng.IntN(5) == 0 {
		start = rng.IntN(rows) // where time starts over
	}
	for i := range rows {
		step := i
		if i >= start {
			step -= start
		}
		row := l.row(float64(step)*1e-3, 4000*math.Sin(float64(i)/100)+rng.NormFloat64())
		if step == 0 && i > 0 && rows%2 == 0 {
			row = "\n" + row
		}
		if k, ok := at[i]; ok {
			row = plainFaults[k](row)
		}
		b.WriteString(row)
		if i < rows-1 || rng.IntN(2) == 0 {
			b.WriteByte('\n')
		}
	}
	return []byte(b.String())
}

// Whether rows are read one by one, many at a time or on all cores, the drops and
// the refusals are the same to the letter.
func TestPlainRowsReadAsOneByOne(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	read, refused, parted := 0, 0, 0
	for n := range 400 {
		layout := n % len(plainLayouts)
		data := plainTable(rng, layout, rng.IntN(4)*rng.IntN(2), n%100 == 71)
		ask := plainLayouts[layout].ask
		want, wantErr := Format{}.read("a.csv", data, ask, 0)
		for _, chunk := range []int{1 << 30, 1000, 17} {
			got, err := Format{}.read("a.csv", data, ask, chunk)
			if !sameRefusal(err, wantErr) {
				t.Fatalf("table %d, chunks of %d: %v\none by one: %v", n, chunk, err, wantErr)
			}
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("table %d, chunks of %d: another file than one by one", n, chunk)
			}
		}
		switch {
		case wantErr != nil:
			refused++
		case len(want.Parts) > 1:
			parted++
		default:
			read++
		}
	}
	if read < 40 || refused < 20 || parted < 8 {
		t.Fatalf("%d read, %d refused, %d in several drops: too few of a kind", read, refused, parted)
	}
}

func sameRefusal(a, b error) bool {
	var p, q *problem.Problem
	if !errors.As(a, &p) || !errors.As(b, &q) {
		return a == nil && b == nil
	}
	return reflect.DeepEqual(p, q)
}

// Source: strconv.ParseFloat, which rounds correctly. The numbers of a column
// have as many decimals as the one before, as a rule, and now and then not.
func TestShapeReadsLikeStrconv(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 7))
	var b []byte
	var want []float64
	decimals := 3
	for range 100_000 {
		if rng.IntN(50) == 0 {
			decimals = rng.IntN(10)
		}
		v := rng.NormFloat64() * math.Pow(10, float64(rng.IntN(10)-2))
		format := byte('f')
		if rng.IntN(100) == 0 {
			format = 'e'
		}
		s := strconv.FormatFloat(v, format, decimals, 64)
		f, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		want = append(want, f)
		b = append(append(b, s...), ';')
	}
	var s shape
	i := 0
	for k, w := range want {
		v, next, ok := s.number(b, i, '.')
		if !ok || math.Float64bits(v) != math.Float64bits(w) || b[next] != ';' {
			t.Fatalf("number %d, %q: %v (%v), strconv has %v", k, b[i:min(len(b), i+30)], v, ok, w)
		}
		i = next + 1
	}
	if i != len(b) {
		t.Fatalf("%d bytes were read of %d", i, len(b))
	}
}

// A row that ends by a line feed alone, among others that have a return before
// it, keeps its last digit.
func TestLastDigitIsNoReturn(t *testing.T) {
	var b strings.Builder
	b.WriteString("t [s];F [N]\r\n")
	for i := range 100 {
		end := "\r\n"
		if i == 50 {
			end = "7\n" // a decimal where the others have their return
		}
		fmt.Fprintf(&b, "%.3f;%.2f%s", float64(i)/1000, float64(i)/7, end)
	}
	file, err := Format{}.Read("a.csv", []byte(b.String()), trace.Ask{})
	if err != nil {
		t.Fatal(err)
	}
	if got := file.Parts[0].Force[50]; got != 7.147 {
		t.Errorf("the force of row 51 is %v, the file has 7.147", got)
	}
}
