package delimited_test

import (
	"fmt"
	"strings"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// part is a drop that a file has to give.
type part struct {
	name          string
	times, forces []float64
}

// several are files with several drops, or with what could be taken for such.
var several = []struct {
	name, data string
	ask        trace.Ask
	parts      []part
	how        string   // of the fact on drops
	doubts     []string // of each drop
}{
	{
		name: "side by side, named in front", how: "2 groups of columns",
		data:  "Run 1: Time (s),Run 1: Force (N),Run 2: Time (s),Run 2: Force (N)\n0,1,0.5,7\n1,2,1.5,8\n2,3,,\n",
		parts: []part{{"Run 1", []float64{0, 1, 2}, []float64{1, 2, 3}}, {"Run 2", []float64{0.5, 1.5}, []float64{7, 8}}},
	},
	{
		name: "side by side, the same titles", how: "2 groups of columns",
		data:  "Time (s),Force (N),Time (s),Force (N)\n0,1,0.5,7\n1,2,1.5,8\n",
		parts: []part{{"1", []float64{0, 1}, []float64{1, 2}}, {"2", []float64{0.5, 1.5}, []float64{7, 8}}},
	},
	{
		name: "side by side, numbered behind, the force before the time", how: "2 groups of columns",
		data:  "Kraft 1 (N);Zeit 1 (s);Kraft 2 (N);Zeit 2 (s)\n1;0,5;7;0\n2;1,5;8;1\n",
		parts: []part{{"1", []float64{0.5, 1.5}, []float64{1, 2}}, {"2", []float64{0, 1}, []float64{7, 8}}},
	},
	{
		name: "side by side, numbered as copies, with a counter", how: "2 groups of columns",
		data:  "Sample,Time (s),Force (N),Time (s).1,Force (N).1\n1,0,1,0,7\n2,1,2,1,8\n",
		parts: []part{{"1", []float64{0, 1}, []float64{1, 2}}, {"2", []float64{0, 1}, []float64{7, 8}}},
	},
	{
		name: "side by side, one of them asked for", ask: trace.Ask{Part: "run B"},
		data:  "Run A Time (s),Run A Force (N),Run B Time (s),Run B Force (N)\n0,1,0.5,7\n1,2,1.5,8\n",
		parts: []part{{"Run B", []float64{0.5, 1.5}, []float64{7, 8}}},
	},
	{
		name: "side by side, one column asked for", ask: trace.Ask{Force: "4"},
		data:  "Time (s),Force (N),Time (s),Force (N)\n0,1,0.5,7\n1,2,1.5,8\n",
		parts: []part{{"", []float64{0.5, 1.5}, []float64{7, 8}}},
	},
	{
		name: "side by side, one cell of two asked for in each", ask: trace.Ask{Force: "upper"}, how: "2 groups of columns",
		data:  "A: t (s),A: upper (N),A: lower (N),B: t (s),B: upper (N),B: lower (N)\n0,1,9,0,7,9\n1,2,9,1,8,9\n",
		parts: []part{{"A", []float64{0, 1}, []float64{1, 2}}, {"B", []float64{0, 1}, []float64{7, 8}}},
	},
	{
		name: "the header once more", how: "the header once more",
		data:  "Time (s),Force (N)\n0,1\n1,2\nTime (s),Force (N)\n0.5,7\n1,8\n",
		parts: []part{{"1", []float64{0, 1}, []float64{1, 2}}, {"2", []float64{0.5, 1}, []float64{7, 8}}},
	},
	{
		name: "the header and its units once more, with key lines above", how: "a line that names it",
		data:  "Lauf;1\nMasse;80;kg\n\nZeit;Kraft\n(s);(kN)\n0,0;1\n0,5;2\n\nLauf;2\nMasse;75;kg\n\nZeit;Kraft\n(s);(kN)\n0,0;7\n0,5;8\n1,0;9\n",
		parts: []part{{"Lauf 1", []float64{0, 0.5}, []float64{1000, 2000}}, {"Lauf 2", []float64{0, 0.5, 1}, []float64{7000, 8000, 9000}}},
	},
	{
		name: "a line that names the run", how: "a line that names it",
		data:  "# Run 7\n# t (s)  F (N)\n0 1\n1 2\n# ------\n# Run 8\n2 7\n3 8\n# Run 9 of 9\n\n4 5\n5 6\n",
		parts: []part{{"Run 7", []float64{0, 1}, []float64{1, 2}}, {"Run 8", []float64{2, 3}, []float64{7, 8}}, {"Run 9 of 9", []float64{4, 5}, []float64{5, 6}}},
	},
	{
		name: "a blank line, and time starts over", how: "a blank line, and time that starts over",
		data:  "Time (s),Force (N)\n0,1\n1,2\n\n0,7\n1,8\n2,9\n",
		parts: []part{{"1", []float64{0, 1}, []float64{1, 2}}, {"2", []float64{0, 1, 2}, []float64{7, 8, 9}}},
	},
	{
		name:  "a blank line, and time goes on",
		data:  "Time (s),Force (N)\n0,1\n1,2\n\n2,7\n3,8\n",
		parts: []part{{"", []float64{0, 1, 2, 3}, []float64{1, 2, 7, 8}}},
	},
	{
		name:  "the header at the head of each page, time goes on",
		data:  "Time (s),Force (N)\n0,1\n1,2\n2,3\nTime (s),Force (N)\n3,7\n4,8\n5,9\n",
		parts: []part{{"", []float64{0, 1, 2, 3, 4, 5}, []float64{1, 2, 3, 7, 8, 9}}},
	},
	{
		name: "the header once more, after a pause", how: "the header once more",
		data:  "Time (s),Force (N)\n0,1\n1,2\n2,3\nTime (s),Force (N)\n5,7\n6,8\n7,9\n",
		parts: []part{{"1", []float64{0, 1, 2}, []float64{1, 2, 3}}, {"2", []float64{5, 6, 7}, []float64{7, 8, 9}}},
	},
	{
		name: "the header once more, after a column that ends early", how: "the header once more",
		data:  "t (s);F (N);x (mm)\n0;1;1\n1;2;1\n2;;1\n3;;1\nt (s);F (N);x (mm)\n0;7;1\n1;8;1\n",
		parts: []part{{"1", []float64{0, 1}, []float64{1, 2}}, {"2", []float64{0, 1}, []float64{7, 8}}},
	},
	{
		name: "the header once more, and no time", ask: trace.Ask{Rate: 10}, how: "the header once more",
		data:  "Force (N)\n1\n2\nForce (N)\n7\n8\n9\n",
		parts: []part{{"1", []float64{0, 0.1}, []float64{1, 2}}, {"2", []float64{0, 0.1, 0.2}, []float64{7, 8, 9}}},
	},
	{
		name: "time jumps back to its start", how: "time that starts over",
		data:  "t (s),F (N)\n0,1\n1,2\n2,3\n3,4\n0,7\n1,8\n2,9\n3,6\n0,5\n1,5\n2,5\n3,5\n4,5\n5,5\n",
		parts: []part{{"1", []float64{0, 1, 2, 3}, []float64{1, 2, 3, 4}}, {"2", []float64{0, 1, 2, 3}, []float64{7, 8, 9, 6}}, {"3", []float64{0, 1, 2, 3, 4, 5}, []float64{5, 5, 5, 5, 5, 5}}},
	},
	{
		name: "the second of them by number", ask: trace.Ask{Part: "2"},
		data:  "t (s),F (N)\n0,1\n1,2\n2,3\n0,7\n1,8\n2,9\n",
		parts: []part{{"2", []float64{0, 1, 2}, []float64{7, 8, 9}}},
	},
	{
		name: "the only one by number", ask: trace.Ask{Part: "1"},
		data:  "t (s),F (N)\n0,1\n1,2\n2,3\n",
		parts: []part{{"", []float64{0, 1, 2}, []float64{1, 2, 3}}},
	},
}

func TestSeveralDrops(t *testing.T) {
	checked := 0
	for _, c := range several {
		file, err := delimited.Format{}.Read("a.csv", []byte(c.data), c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(file.Parts) != len(c.parts) {
			t.Errorf("%s: %d drops, want %d", c.name, len(file.Parts), len(c.parts))
			continue
		}
		for i, want := range c.parts {
			got := file.Parts[i]
			if got.Part != want.name {
				t.Errorf("%s: drop %d is called %q, want %q", c.name, i+1, got.Part, want.name)
			}
			equal(t, c.name+": time", got.Time, want.times)
			equal(t, c.name+": force", got.Force, want.forces)
			checked++
		}
		fact := factOf(file, "drops")
		if c.ask.Part == "" && fact.Is != fmt.Sprint(len(c.parts)) || !strings.Contains(fact.Why, c.how) {
			t.Errorf("%s: fact %+v", c.name, fact)
		}
	}
	if checked < 30 {
		t.Fatalf("%d drops were checked", checked)
	}
}

func factOf(file *trace.File, what string) trace.Fact {
	for _, f := range file.Layout.Facts {
		if f.What == what {
			return f
		}
	}
	return trace.Fact{}
}

// stamped is a file of twenty samples a millisecond apart, the force their
// number, with other stamps where given.
func stamped(stamps map[int]string) string {
	var b strings.Builder
	b.WriteString("Time (ms),Force (N)\n")
	for i := range 20 {
		stamp, ok := stamps[i]
		if !ok {
			stamp = fmt.Sprint(i)
		}
		fmt.Fprintf(&b, "%s,%d\n", stamp, i)
	}
	return b.String()
}

// A few stamps a little out of order are mended, and said.
func TestFewStampsAreMended(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		name   string
		stamps map[int]string
		forces string // in the order they come out
		doubts []string
	}{
		{"two exchanged", map[int]string{4: "5", 5: "4"}, "0 1 2 3 5 4 6 7 8 9 10 11 12 13 14 15 16 17 18 19", []string{"1 stamp of column 1 \"Time (ms)\" lay behind the one before, the first on line 7"}},
		{"one late", map[int]string{6: "4.5"}, "0 1 2 3 4 6 5 7 8 9 10 11 12 13 14 15 16 17 18 19", []string{"1 stamp of column 1 \"Time (ms)\" lay behind the one before, the first on line 8"}},
		{"two exchanged twice", map[int]string{4: "5", 5: "4", 15: "16", 16: "15"}, "0 1 2 3 5 4 6 7 8 9 10 11 12 13 14 16 15 17 18 19", []string{"2 stamps of column 1 \"Time (ms)\" lay behind the one before, the first on line 7"}},
		{"twice the same", map[int]string{9: "8"}, "0 1 2 3 4 5 6 7 8 10 11 12 13 14 15 16 17 18 19", []string{"1 stamp of column 1 \"Time (ms)\" stood there twice, the first on line 11"}},
		{"back to one that was there", map[int]string{9: "7"}, "0 1 2 3 4 5 6 7 8 10 11 12 13 14 15 16 17 18 19", []string{"1 stamp of column 1 \"Time (ms)\" stood there twice, the first on line 11"}},
	} {
		rec, err := readOne("a.csv", []byte(stamped(c.stamps)), trace.Ask{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var got []string
		for _, f := range rec.Force {
			got = append(got, fmt.Sprint(f))
		}
		if s := strings.Join(got, " "); s != c.forces {
			t.Errorf("%s: forces %s", c.name, s)
		}
		for i := 1; i < len(rec.Time); i++ {
			if !(rec.Time[i] > rec.Time[i-1]) {
				t.Errorf("%s: time does not rise at %d", c.name, i)
			}
		}
		doubts(t, rec.Notes, c.doubts)
		checked++
	}
	if checked != 5 {
		t.Fatalf("%d cases were checked", checked)
	}
}

// Stretch and gate go with their samples.
func TestMendingMovesWholeSamples(t *testing.T) {
	data := "t (ms);F (N);Weg (mm);Gate (V)\n"
	for i := range 30 {
		at := i
		switch i {
		case 10:
			at = 11
		case 11:
			at = 10
		case 20:
			at = 19
		}
		data += fmt.Sprintf("%d;%d;%d;%d\n", at, i, 1000*i, 100+i)
	}
	rec, err := readOne("a.csv", []byte(data), trace.Ask{Gate: "gate"})
	if err != nil || len(rec.Force) != 29 || len(rec.Stretch) != 29 || len(rec.Gate) != 29 {
		t.Fatalf("%+v, %v", rec, err)
	}
	for i, f := range rec.Force {
		if rec.Stretch[i] != f || rec.Gate[i] != 100+f {
			t.Errorf("sample %d: force %g, stretch %g, gate %g", i, f, rec.Stretch[i], rec.Gate[i])
		}
	}
	if rec.Force[10] != 11 || rec.Force[11] != 10 || rec.Force[20] != 21 {
		t.Errorf("forces %v", rec.Force)
	}
}

// Stamps that stand still in equal numbers give a rate; others are refused.
func TestCoarseStamps(t *testing.T) {
	file := func(counts ...int) []byte {
		b := []byte("Clock;F (N)\n")
		n := 0
		for s, count := range counts {
			for range count {
				b = fmt.Appendf(b, "23:59:%02d;%d\n", 57+s, n)
				n++
			}
		}
		return []byte(strings.NewReplacer("23:59:60", "00:00:00", "23:59:61", "00:00:01").Replace(string(b)))
	}
	for _, counts := range [][]int{{20, 20, 20, 20}, {7, 20, 20, 20, 3}, {1, 2, 2, 1}} {
		got, err := delimited.Format{}.Read("a.csv", file(counts...), trace.Ask{})
		if err != nil {
			t.Errorf("%v: %v", counts, err)
			continue
		}
		rec := got.Parts[0]
		want := float64(counts[1])
		if fmt.Sprint(rec.Time[1]) != fmt.Sprint(1/want) || len(doubtsOf(rec)) != 1 || !strings.Contains(doubtsOf(rec)[0], fmt.Sprintf("time counts from %g Hz", want)) {
			t.Errorf("%v: second sample at %g s, notes %q", counts, rec.Time[1], rec.Notes)
		}
		if f := factOf(got, "rate"); f.Is != fmt.Sprintf("%g Hz", want) {
			t.Errorf("%v: fact %+v", counts, f)
		}
	}
	for _, counts := range [][]int{{20, 20}, {20, 20, 20}, {20, 20, 19, 20}, {21, 20, 20, 20}, {20, 20, 20, 21}} {
		_, err := readOne("a.csv", file(counts...), trace.Ask{})
		refusedWith(t, fmt.Sprint(counts), err, "a.csv:3", "stands still at 23:59:57", "--rate HZ")
	}
}

// counted is n samples a second apart.
func counted(n int) string {
	s := "t (s);F (N)\n"
	for i := range n {
		s += fmt.Sprintf("%d;%d\n", i, i)
	}
	return s
}

func TestDropsThatAreRefused(t *testing.T) {
	many := "t (s);F (N)\n" + strings.Repeat("0;1\n1;2\n\n", 1001)
	for _, c := range []struct{ name, data, where, what, hint string }{
		{"a drop of one sample", "t (s);F (N)\n0;1\n1;2\n2;3\n\n0;5\n", "a.csv:6", "the drop that begins here has 1 sample", "--rate HZ"},
		{"a header with nothing below", "t (s);F (N)\n0;1\n1;2\nt (s);F (N)\n", "a.csv:4", `"t (s);F (N)" stands after the table`, "delete"},
		{"another header", "t (s);F (N)\n0;1\n1;2\nt (s);F (kN)\n0;1\n1;2\n", "a.csv:4", "in the middle of the table", "a file of its own"},
		{"key lines without a header", "t (s);F (N)\n0;1\n1;2\nMass;heavy\n0;1\n1;2\n", "a.csv:4", "in the middle of the table", "a file of its own"},
		{"a row cut off before the next drop", "t (s);F (N);x (mm)\n0;1;1\n1;2;1\n2;3\nt (s);F (N);x (mm)\n0;1;1\n1;2;1\n", "a.csv:4", "the line ends after 2 of 3 cells", "export it again"},
		{"more drops than there can be", many, "a.csv:3002", "more than 1000 drops", "--rate HZ"},
		{"a stamp far back", stamped(map[int]string{9: "2"}), "a.csv:11", "goes back from 8 ms to 2 ms", "--rate HZ"},
		{"time from end to start", "t (s);F (N)\n3;1\n2;2\n1;3\n0;4\n", "a.csv:3", "goes back from 3 s to 2 s, and 3 of 4 stamps", "--rate HZ"},
		{"six doubled stamps", stamped(map[int]string{2: "1", 4: "3", 6: "5", 8: "7", 10: "9", 12: "11"}), "a.csv:4", "stands still at 1 ms, and 6 of 20 stamps", "--rate HZ"},
		{"six of many", strings.NewReplacer("\n2;", "\n1;", "\n12;", "\n11;", "\n22;", "\n21;", "\n32;", "\n31;", "\n42;", "\n41;", "\n52;", "\n51;").Replace(counted(100)), "a.csv:4", "6 of 100 stamps", "--rate HZ"},
		{"a word in the second drop", "t (s);F (N)\n0;1\n1;2\n\n# Run 2\n# ---\nt (s);F (N)\n0;1\n1;x\n", "a.csv:9", `"x" in column 2`, "correct"},
	} {
		_, err := readOne("a.csv", []byte(c.data), trace.Ask{})
		refusedWith(t, c.name, err, c.where, c.what, c.hint)
	}
	_, err := readOne("a.csv", []byte(several[0].data), trace.Ask{Part: "Run 3"})
	refusedWith(t, "no such drop", err, "a.csv:1", `--part "Run 3": the file holds 2 drops: 1 "Run 1", 2 "Run 2"`, "--part 1")
	_, err = readOne("a.csv", []byte(several[0].data), trace.Ask{Part: "3"})
	refusedWith(t, "no such number", err, "a.csv:1", `--part "3": the file holds 2 drops`, "--part 1")
}
