package delimited_test

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// style is one way to write a table.
type style struct {
	delim  string
	mark   string // before the decimals
	end    string // of a line
	header string // with the units; T, X and F are the columns
	lead   string // what stands above
	quotes bool
	spare  bool // an empty cell after the last
}

// styles are all combinations that leave no two readings open.
func styles() []style {
	var out []style
	for _, delim := range []string{",", ";", "\t", "  "} {
		for _, mark := range []string{".", ","} {
			for _, end := range []string{"\n", "\r\n"} {
				for _, header := range []string{"T (s)|X (mm)|F (kN)", "T [s]|X [mm]|F [kN]", "T_s|X_mm|F_kN", "T|X|F\n(s)|(mm)|(kN)", "#T(s)|X(mm)|F(kN)"} {
					for _, lead := range []string{"", "\xef\xbb\xbf", "one line of 3 May\n\nmass|80|kg\n"} {
						for _, quotes := range []bool{false, true} {
							s := style{delim: delim, mark: mark, end: end, header: header, lead: lead, quotes: quotes}
							if mark == "," && delim == "," && !quotes {
								continue
							}
							out = append(out, s)
							if delim != "  " {
								s.spare = true
								out = append(out, s)
							}
						}
					}
				}
			}
		}
	}
	return out
}

// write writes rows in the style; the cells of x between time and force are
// blank now and then, where the style has a place for blanks.
func (s style) write(times, forces []string) []byte {
	var b strings.Builder
	line := func(cells ...string) {
		for i, c := range cells {
			if i > 0 {
				b.WriteString(s.delim)
			}
			if s.quotes {
				c = strconv.Quote(c)
			}
			b.WriteString(c)
		}
		if s.spare {
			b.WriteString(s.delim)
		}
		b.WriteString(s.end)
	}
	titles := strings.NewReplacer("T", "Zeit", "F", "Kraft", "X", "Weg", "|", s.delim, "\n", s.end)
	b.WriteString(titles.Replace(s.lead))
	b.WriteString(titles.Replace(s.header) + s.end)
	for i := range times {
		x := "1.5"
		if i%3 == 1 && s.delim != "  " {
			x = ""
		}
		mark := func(v string) string { return strings.Replace(v, ".", s.mark, 1) }
		line(mark(times[i]), mark(x), mark(forces[i]))
	}
	return []byte(b.String())
}

// samples makes times that rise and any forces, as text and as what strconv
// makes of the text.
func samples(r *rand.Rand, n int) (times, forces []string, t, f []float64) {
	now := 0.0
	for range n {
		now += 0.001 + r.Float64()/100
		times = append(times, strconv.FormatFloat(now, 'f', 7, 64))
		forces = append(forces, strconv.FormatFloat(r.NormFloat64()*9, 'g', 1+r.IntN(17), 64))
	}
	for i := range times {
		a, _ := strconv.ParseFloat(times[i], 64)
		b, _ := strconv.ParseFloat(forces[i], 64)
		t, f = append(t, a), append(f, b*1000)
	}
	return times, forces, t, f
}

// The same numbers come out of every dialect, to the bit. Source of the
// numbers: Go's strconv, times 1000 for kN.
func TestEveryStyleGivesTheSameNumbers(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	checked := 0
	for _, s := range styles() {
		times, forces, wantT, wantF := samples(r, 25)
		data := s.write(times, forces)
		rec, err := readOne("a.csv", data, trace.Ask{})
		if err != nil {
			t.Errorf("%+v: %v\n%s", s, err, data[:min(len(data), 300)])
			continue
		}
		if rec.Unit != "kN" || !strings.HasPrefix(rec.ForceColumn, "Kraft") || !strings.HasPrefix(rec.TimeColumn, "Zeit") || len(doubtsOf(rec)) != 0 || (rec.Stretch != nil) != (s.delim == "  ") {
			t.Errorf("%+v: %q %q %q %q", s, rec.Unit, rec.ForceColumn, rec.TimeColumn, rec.Notes)
		}
		equal(t, fmt.Sprintf("%+v time", s), rec.Time, wantT)
		equal(t, fmt.Sprintf("%+v force", s), rec.Force, wantF)
		checked++
	}
	if checked < 300 {
		t.Fatalf("only %d styles were checked", checked)
	}
	t.Logf("%d styles", checked)
}

// Files longer than the part that is looked at first, in which what settles
// the reading, or the damage, lies beyond it.
func TestBeyondTheHead(t *testing.T) {
	const n = 40_000 // rows; about 600 kB
	whole := func(row func(i int) string) string {
		var b strings.Builder
		b.WriteString("t (ms);F (N)\n")
		for i := range n {
			b.WriteString(row(i))
		}
		return b.String()
	}
	plain := func(i int) string { return fmt.Sprintf("%d;%d\n", i, i%100) }
	with := func(at int, line string) string {
		return whole(func(i int) string {
			if i == at {
				return line
			}
			return plain(i)
		})
	}
	read := func(data string) (int, error) {
		rec, err := readOne("a.csv", []byte(data), trace.Ask{})
		if err != nil {
			return 0, err
		}
		return len(rec.Force), nil
	}
	for name, data := range map[string]string{
		"plain":                    whole(plain),
		"a comma late":             with(39_000, "39000;0,5\n"),
		"a long preface":           strings.Repeat("a line of text, 5 of 12\n", 20_000) + "\n" + whole(plain),
		"a preface of numbers":     strings.Repeat("key;5;mm\n", 20_000) + "\n" + whole(plain),
		"no line end at the end":   strings.TrimSuffix(whole(plain), "\n"),
		"a header every five rows": pages(n),
		"blank lines between rows": strings.ReplaceAll(whole(plain), "\n", "\n\n"),
	} {
		if rows, err := read(data); rows != n {
			t.Errorf("%s: %d rows, %v", name, rows, err)
		}
	}
	for name, c := range map[string]struct {
		data string
		line int
		what string
	}{
		"a word":          {with(39_000, "39000;abc\n"), 39_002, "is no number"},
		"a word as time":  {with(39_000, "abc;5\n"), 39_002, "is no number"},
		"words":           {with(39_000, "abc;def\n"), 39_002, "in the middle"},
		"short":           {with(39_000, "39000\n"), 39_002, "the line ends after 1 of 2 cells"},
		"wide":            {with(39_000, "39000;5;6\n"), 39_002, "the line has 3 cells"},
		"blank":           {with(39_000, "39000;\n"), 39_002, "is blank here"},
		"back":            {with(39_000, "38990;5\n"), 39_002, "goes back"},
		"point and comma": {strings.Replace(with(39_000, "39000;0,5\n"), "38999;", "38998.5;", 1), 39_002, "thousands"},
		"thousands":       {with(39_000, "39000;1,234\n"), 39_002, "thousands"},
	} {
		_, err := read(c.data)
		var p *problem.Problem
		if !errors.As(err, &p) || p.Where != fmt.Sprintf("a.csv:%d", c.line) || !strings.Contains(p.What, c.what) {
			t.Errorf("%s: %v, want line %d, %q", name, err, c.line, c.what)
		}
	}
}

// pages are n rows, five on a page under a long header, time going on: 6 MB for
// forty thousand, more than is looked through for a table.
func pages(n int) string {
	var b strings.Builder
	for i := range n {
		if i%5 == 0 {
			b.WriteString("Time (ms);" + strings.Repeat("Force as the cell has it ", 30) + "(N)\n")
		}
		fmt.Fprintf(&b, "%d;%d\n", i, i%100)
	}
	return b.String()
}

// Rows that lack their last cells are in order where they go on to the end, as
// when other columns end earlier; in the middle they are damage.
func TestShortRowsBeyondTheHead(t *testing.T) {
	const n = 20_000
	file := func(short func(i int) bool) []byte {
		b := []byte("t (ms);F (N);x (mm)\n")
		for i := range n {
			b = fmt.Appendf(b, "%d;%d", i, i%100)
			if !short(i) {
				b = append(b, ";5"...)
			}
			b = append(b, '\n')
		}
		return b
	}
	rec, err := readOne("a.csv", file(func(i int) bool { return i >= 19_000 }), trace.Ask{})
	if err != nil || len(rec.Force) != n {
		t.Errorf("short to the end: %v", err)
	}
	_, err = readOne("a.csv", file(func(i int) bool { return i == 19_000 || i == 19_001 }), trace.Ask{})
	var p *problem.Problem
	if !errors.As(err, &p) || p.Where != "a.csv:19002" || !strings.HasPrefix(p.What, "the line ends after 2 of 3 cells") {
		t.Errorf("short in the middle: %v", err)
	}
}

// A line that is damaged never makes the rows above it disappear, whichever
// row it is and whatever was asked.
func TestDamageNeverLosesRows(t *testing.T) {
	checked := 0
	for at := range 20 {
		for _, line := range []string{"abc,def", "0.0001,abc", "abc,0.5", "0,1,2,3", "5", ",", "0.0001,NaN", "----", "# 1,2", "x"} {
			for _, ask := range []trace.Ask{{}, {Force: "2", Time: "1"}, {Force: "2", Rate: 100}} {
				data := table(map[int]string{at: line + "\n"})
				rec, err := readOne("a.csv", []byte(data), ask)
				checked++
				remark := at == 0 && !strings.ContainsAny(line, "0123456789") // words under the header
				if err == nil && (len(rec.Force) != 19 || !remark && line != ",") {
					t.Errorf("line %d %q, %+v: %d rows were read without a word", at+2, line, ask, len(rec.Force))
				}
			}
		}
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

// The recording holds nothing of the bytes it was read from, and reading
// changes none of them.
func TestReadLeavesDataAlone(t *testing.T) {
	data := []byte(table(nil))
	before := bytes.Clone(data)
	if _, err := readOne("a.csv", data, trace.Ask{}); err != nil || !bytes.Equal(before, data) {
		t.Errorf("changed, or %v", err)
	}
}
