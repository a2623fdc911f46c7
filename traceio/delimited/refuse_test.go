package delimited_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// table is a sound trace of twenty rows; the header is line 1, row i is line
// i+2. lines replaces rows.
func table(lines map[int]string) string {
	var b strings.Builder
	b.WriteString("Time (s),Force (N)\n")
	for i := range 20 {
		line, ok := lines[i]
		if !ok {
			line = fmt.Sprintf("%.3f,%.1f\n", float64(i)/1000, float64(i)*1.5)
		}
		b.WriteString(line)
	}
	return b.String()
}

// refusal is a file that has to be refused, and in which words.
type refusal struct {
	name string
	data string
	ask  trace.Ask
	line int
	what string // the whole of What
	hint string // a part of one hint
}

var refusals = []refusal{
	// damage
	{
		name: "a word", data: table(map[int]string{9: "0.009,abc\n"}), line: 11,
		what: `"abc" in column 2 "Force (N)" is no number`, hint: "correct or delete the line",
	},
	{
		name: "a word in the first row", data: table(map[int]string{0: "0.000,abc\n"}), line: 2,
		what: `"abc" in column 2 "Force (N)" is no number`, hint: "correct",
	},
	{
		name: "a word in the second row", data: table(map[int]string{1: "0.001,abc\n"}), line: 3,
		what: `"abc" in column 2 "Force (N)" is no number`, hint: "correct",
	},
	{
		name: "NaN", data: table(map[int]string{9: "0.009,NaN\n"}), line: 11,
		what: `"NaN" in column 2 "Force (N)" is no number: a sample is missing or was out of range`, hint: "cut the file",
	},
	{
		name: "infinity", data: table(map[int]string{9: "0.009,-Inf\n"}), line: 11,
		what: `"-Inf" in column 2 "Force (N)" is no number: a sample is missing or was out of range`, hint: "cut the file",
	},
	{
		name: "NaN as time", data: table(map[int]string{9: "nan,5\n"}), line: 11,
		what: `"nan" in column 1 "Time (s)" is no number: a sample is missing or was out of range`, hint: "cut the file",
	},
	{
		name: "too large", data: table(map[int]string{9: "0.009,1e999\n"}), line: 11,
		what: `"1e999" in column 2 "Force (N)" is past the largest number there can be`, hint: "correct the number",
	},
	{
		name: "two points", data: table(map[int]string{9: "0.009,1.2.3\n"}), line: 11,
		what: `"1.2.3" in column 2 "Force (N)" is no number`, hint: "correct the number",
	},
	{
		name: "cut off in the middle", data: table(map[int]string{9: "0.009\n"}), line: 11,
		what: `the line ends after 1 of 2 cells: "0.009"`, hint: "export it again",
	},
	{
		name: "cut off in the first row", data: table(map[int]string{0: "0.000\n"}), line: 2,
		what: `the line ends after 1 of 2 cells: "0.000"`, hint: "export it again",
	},
	{
		name: "cut off at the end", data: table(map[int]string{19: "0.01"}), line: 21,
		what: `the line ends after 1 of 2 cells: "0.01"`, hint: "export it again",
	},
	{
		name: "cut off behind the comma", data: table(map[int]string{19: "0.019,"}), line: 21,
		what: `the line ends after 1 of 2 cells: "0.019,"`, hint: "export it again",
	},
	{
		name: "cut off behind the force", data: "Time (s),Force (N),x (mm)\n0,1,2\n1,2,3\n2,3,4\n3,4\n", line: 5,
		what: `the line ends after 2 of 3 cells: "3,4"`, hint: "export it again",
	},
	{
		name: "cut off behind the force, in the middle", data: "Time (s),Force (N),x (mm)\n0,1,2\n1,2,3\n2,3\n3,4,5\n", line: 4,
		what: `the line ends after 2 of 3 cells: "2,3"`, hint: "export it again",
	},
	{
		name: "a quoted cell for three", data: "Time (s),Note,Force (N),x (mm)\n0,a,1,5\n1,b,2,5\n2,\"c,7,d\"\n3,e,4,5\n", line: 4,
		what: `the line ends after 2 of 4 cells: "2,\"c,7,d\""`, hint: "export it again",
	},
	{
		name: "too wide", data: table(map[int]string{9: "0,009,1,5\n"}), line: 11,
		what: "the line has 4 cells, the table 2 columns", hint: "decimal commas",
	},
	{
		name: "too wide in the first row", data: table(map[int]string{0: "0,000,1,5\n"}), line: 2,
		what: "the line has 4 cells, the table 2 columns", hint: "decimal commas",
	},
	{
		name: "too wide where a blank cell was usual", data: "t (s),F (N)\n0.0,1,\n0.1,2,\n0,2,3\n", line: 4,
		what: "the line has 3 cells, the table 2 columns", hint: "decimal commas",
	},
	{
		name: "words behind a row parted by spaces", data: "Time(s) Force(N)\n0 1\n1 2\n2 3 the cable was lost\n3 4\n4 5\n", line: 4,
		what: "the line has 6 cells, the table 2 columns", hint: "correct the line",
	},
	{
		name: "thousands of columns", data: strings.Repeat("1;", 5000) + "\n" + strings.Repeat("2;", 5000) + "\n", line: 1,
		what: "the table has more than 4096 columns, which is our own limit", hint: "export the force and the time alone",
	},
	{
		name: "blank", data: table(map[int]string{9: "0.009,\n"}), line: 11,
		what: `column 2 "Force (N)" is blank here and goes on at line 12`, hint: "a value in every row",
	},
	{
		name: "blank time", data: table(map[int]string{9: ",5.5\n"}), line: 11,
		what: `column 1 "Time (s)" is blank beside a force of "5.5"`, hint: "--rate HZ",
	},
	{
		name: "time goes back", data: table(map[int]string{9: "0.0005,5.5\n"}), line: 11,
		what: `column 1 "Time (s)" goes back from 0.008 s to 0.0005 s`, hint: "second recording",
	},
	{
		name: "text below", data: table(nil) + "\nEnd of test\n", line: 23,
		what: `"End of test" stands after the table, whose last row is line 21`, hint: "delete",
	},
	{
		name: "words for the second row, columns given", data: table(map[int]string{1: "oops,abc\n"}), ask: trace.Ask{Force: "2", Time: "1"}, line: 3,
		what: `"oops,abc" stands in the middle of the table, which goes on at line 4`, hint: "delete the line",
	},
	{
		name: "a mean below", data: "No,Time (s),Force (N)\n1,0.1,5\n2,0.2,6\n3,0.3,7\nMean,0.4,6\n", line: 5,
		what: `"Mean" in column 1 stands where the rows above have a number, so the row may be no sample`, hint: "cut the file above it",
	},
	{
		name: "one row", data: "Time (s),Force (N)\n0.0,1.5\n", line: 2,
		what: `column 2 "Force (N)" has 1 value; a trace has 2 at least`, hint: "export",
	},
	{
		name: "a header alone", data: "Time (s),Force (N)\n", line: 1,
		what: `"Time (s),Force (N)" heads a table, but 0 rows follow it; a trace has 2 at least`, hint: "export",
	},
	{
		name: "a column never filled", data: "Time (s),Force (N),Load 2 (N)\n0.1,5,\n0.2,6,\n", ask: trace.Ask{Force: "3"}, line: 2,
		what: `column 3 "Load 2 (N)" has 0 values; a trace has 2 at least`, hint: `1 "Time (s)", 2 "Force (N)"`,
	},
	{
		name: "prose", data: "Dear all,\n\nthe drop on the third went well, 2 falls.\n", line: 1,
		what: `no table of numbers was found; the file begins with "Dear all,"`, hint: "one row of numbers for each sample",
	},
	{
		name: "long prose", data: "\n\n" + strings.Repeat("on and on ", 40) + "\n", line: 3,
		what: "no table of numbers was found; the file begins with \"on and on on and on on and on on and on on and\u2026\"", hint: "one row",
	},

	// two readings
	{
		name: "one column or two", data: "633,21\n628,46\n", line: 1,
		what: `"633,21" can be read as 2 numbers, or as 1 number with a decimal comma`, hint: "decimal points",
	},
	{
		name: "one column or two, with a rate", data: "633,21\n628,46\n", ask: trace.Ask{Rate: 100}, line: 1,
		what: `"633,21" can be read as 2 numbers, or as 1 number with a decimal comma`, hint: "put a line above",
	},
	{
		name: "title and unit or two titles", data: "Force, kN\n1,234\n1,235\n", ask: trace.Ask{Rate: 100}, line: 2,
		what: `"1,234" can be read as 2 numbers, or as 1 number with a decimal comma`, hint: "decimal points",
	},
	{
		name: "commas for both", data: "Time (s),Force (N)\n0,0,1,5\n0,1,2,5\n", line: 2,
		what: `"0,0,1,5" has 4 cells under 2 titles: decimal commas cannot be told from commas between cells`, hint: "semicolons",
	},
	{
		name: "thousands or decimals", data: "t (s);F (N)\n0;1,234\n1;2,345\n", line: 2,
		what: `"1,234" can be read as 1.234, with a decimal comma, or as 1234, with a comma between thousands, and no other cell tells which`, hint: "decimal point",
	},
	{
		name: "points and commas", data: "t (s);F (N)\n0.5;1,234\n1.5;2,345\n", line: 2,
		what: `"1,234" has a comma and "0.5" (line 2) has a point: one of them may part thousands, the other decimals`, hint: "same decimal mark",
	},
	{
		name: "commas and points", data: "t (s);F (N)\n0,5;1.234\n1,5;2.345\n", line: 2,
		what: `"0,5" has a comma and "1.234" (line 2) has a point: one of them may part thousands, the other decimals`, hint: "--decimal point or --decimal comma",
	},
	{
		name: "two digits behind a blank", data: "t (s);F (N)\n0;1 234,5\n1;12 34,5\n2;7,5\n", line: 3,
		what: `"12 34,5" in column 2 "F (N)" is no number`, hint: "correct or delete the line",
	},
	{
		name: "counter or time", data: "1,5.5\n2,6.5\n3,7.5\n", line: 1,
		what: "column 1 counts 1 by 1, so it may number the samples or be time in seconds; nothing in the file tells which", hint: "--time 1 --force 2",
	},

	// columns
	{
		name: "several forces", data: "Time (s),Force A (N),Force B (N)\n0,1,2\n1,2,3\n", line: 1,
		what: `2 columns could be the force: 2 "Force A (N)", 3 "Force B (N)"`, hint: "--force 2, --force 3",
	},
	{
		name: "several by name", data: "Time (s),Force A,Kraft B\n0,1,2\n1,2,3\n", line: 1,
		what: `2 columns could be the force: 2 "Force A", 3 "Kraft B"`, hint: "--force 2, --force 3",
	},
	{
		name: "several fit", data: "Time (s),Force A (N),Force B (N)\n0,1,2\n1,2,3\n", ask: trace.Ask{Force: "force"}, line: 1,
		what: `--force "force" fits 2 columns: 2 "Force A (N)", 3 "Force B (N)"`, hint: "--force 2, --force 3",
	},
	{
		name: "no such name", data: table(nil), ask: trace.Ask{Force: "thrust"}, line: 1,
		what: `--force "thrust": no column has that name`, hint: `1 "Time (s)", 2 "Force (N)"`,
	},
	{
		name: "no such number", data: table(nil), ask: trace.Ask{Force: "3"}, line: 1,
		what: "--force 3: the table has 2 columns", hint: `1 "Time (s)", 2 "Force (N)"`,
	},
	{
		name: "no such time", data: table(nil), ask: trace.Ask{Time: "0"}, line: 1,
		what: "--time 0: the table has 2 columns", hint: "choose one",
	},
	{
		name: "the same column", data: table(nil), ask: trace.Ask{Time: "2"}, line: 1,
		what: `column 2 "Force (N)" cannot be both the force and the time`, hint: "two columns",
	},
	{
		name: "accelerations", data: "Time (s),Acceleration x (m/s^2),Acceleration y (m/s^2)\n0,1,2\n1,2,3\n", line: 1,
		what: `no column says that it is a force: 1 "Time (s)", 2 "Acceleration x (m/s^2)", 3 "Acceleration y (m/s^2)"`, hint: "--force COLUMN --unit N",
	},
	{
		name: "acceleration alone", data: "# time(s), acceleration(g)\n0 1\n1 2\n", line: 1,
		what: `no column says that it is a force: 1 "time(s)", 2 "acceleration(g)"`, hint: "--force COLUMN --unit N",
	},
	{
		name: "channels", data: "Time (s)\tChannel 0\tChannel 1\n0\t1\t2\n1\t2\t3\n", line: 1,
		what: `no column says that it is a force: 1 "Time (s)", 2 "Channel 0", 3 "Channel 1"`, hint: "--force 2 --unit N",
	},
	{
		name: "a position", data: "t,x\n0,1.5\n1,2.5\n", line: 1,
		what: `no column says that it is a force: 1 "t", 2 "x"`, hint: "--force COLUMN --unit N",
	},
	{
		name: "a deflection alone", data: "Deflection\n-213\n-564\n", ask: trace.Ask{Rate: 10}, line: 1,
		what: `no column says that it is a force: 1 "Deflection"`, hint: "--force 1 --unit N",
	},
	{
		name: "no header, three columns", data: "0.1,5.5,1\n0.2,6.5,2\n", line: 1,
		what: "the file does not name its columns: 1 (0.1, \u2026), 2 (5.5, \u2026), 3 (1, \u2026)", hint: "--time COLUMN",
	},
	{
		name: "a title over two columns", data: "some title\n0.1,5.5\n0.2,6.5\n", line: 1,
		what: `"some title" stands above the table and does not name its 2 columns`, hint: "--force 2 --time 1",
	},

	// units
	{
		name: "volts", data: "Time (s),Force (V)\n0,1\n1,2\n", line: 1,
		what: `column 2 "Force (V)" is in "V", which is no unit of force that is read (N, mN, daN, kN, lbf, kgf)`, hint: "--unit N",
	},
	{
		name: "kilograms", data: "Time (s),Load (kg)\n0,1\n1,2\n", line: 1,
		what: `column 2 "Load (kg)" is in "kg", which is no unit of force that is read (N, mN, daN, kN, lbf, kgf)`, hint: "--unit kgf",
	},
	{
		name: "pounds", data: "Time (s),Load_lb\n0,1\n1,2\n", line: 1,
		what: `column 2 "Load_lb" is in "lb", which is no unit of force that is read (N, mN, daN, kN, lbf, kgf)`, hint: "--unit lbf",
	},
	{
		name: "hours", data: "Time (h),Load (N)\n0,1\n1,2\n", line: 1,
		what: `column 1 "Time (h)" is in "h", which is no unit of time that is read (s, ms, us, min)`, hint: "--rate HZ",
	},
	{
		name: "no such unit", data: table(nil), ask: trace.Ask{Unit: "lb"},
		what: `"lb" is not one of the units of force: N, mN, daN, kN, lbf, kgf`, hint: "--unit kN",
	},

	{
		name: "more newtons than there can be", data: "Time (s),Force (kN)\n0,1\n1,1e308\n", line: 2,
		what: `a force in column 2 "Force (kN)" is larger than a number can be in newtons`, hint: "check the unit",
	},

	// time
	{
		name: "a capital T", data: "T,Force (N)\n20,1\n21,2\n", line: 1,
		what: "no column is known to be time, and a trace needs time or a rate", hint: `--time COLUMN, one of 1 "T"`,
	},
	{
		name: "a title over two columns, the force given", data: "some title\n0.1,5.5\n0.2,6.5\n", ask: trace.Ask{Force: "2"}, line: 2,
		what: "no column is known to be time, and a trace needs time or a rate", hint: "--time COLUMN",
	},
	{
		name: "times alike in seconds", data: "Time (ms),Force (N)\n0,1\n1.99,2\n1.9900000000000002,3\n", line: 2,
		what: "the times are too large or too close together to be told apart in seconds", hint: "--rate HZ",
	},
	{
		name: "a rate too low", data: "1.5\n2.5\n", ask: trace.Ask{Rate: 5e-324}, line: 1,
		what: "the times are too large or too close together to be told apart in seconds", hint: "--rate HZ",
	},
	{
		name: "no time", data: "633.21\n628.46\n", line: 1,
		what: "no column is known to be time, and a trace needs time or a rate", hint: "--rate HZ",
	},
	{
		name: "numbered samples", data: "#Sample\tGRFv\n1\t0\n2\t5\n", line: 1,
		what: `no column is known to be time (column 1 "Sample" numbers the samples), and a trace needs time or a rate`, hint: "--rate HZ",
	},
	{
		name: "no such rate", data: table(nil), ask: trace.Ask{Rate: -5},
		what: "-5 Hz is no sample rate: it has to be above zero", hint: "--rate 1000",
	},
}

func TestRefusals(t *testing.T) {
	names := map[string]bool{}
	for _, c := range refusals {
		if names[c.name] {
			t.Errorf("two cases are called %q", c.name)
		}
		names[c.name] = true
		rec, err := readOne("a.csv", []byte(c.data), c.ask)
		var p *problem.Problem
		if !errors.As(err, &p) || rec != nil {
			t.Errorf("%s: got %v, %v", c.name, rec, err)
			continue
		}
		if want := fmt.Sprintf("a.csv:%d", c.line); c.line > 0 && p.Where != want {
			t.Errorf("%s: at %s, want %s", c.name, p.Where, want)
		}
		if p.What != c.what {
			t.Errorf("%s:\n got %s\nwant %s", c.name, p.What, c.what)
		}
		if hints := strings.Join(p.Hints, "\n"); !strings.Contains(hints, c.hint) {
			t.Errorf("%s: hints\n%s\nwant %q", c.name, hints, c.hint)
		}
	}
	if len(names) < 50 {
		t.Fatalf("only %d refusals were looked at", len(names))
	}
}

// The cell at fault is underlined where it stands, also in a long row.
func TestQuote(t *testing.T) {
	wide := "Time (s),Force (N)" + strings.Repeat(",x (mm)", 40) + "\n"
	row := func(v, f string) string { return v + "," + f + strings.Repeat(",1234", 40) + "\n" }
	_, err := readOne("a.csv", []byte(wide+row("0.1", "1")+row("0.2", "2")+row("0.3", "né")), trace.Ask{})
	var p *problem.Problem
	if !errors.As(err, &p) {
		t.Fatal(err)
	}
	want := "0.3,né,1234,1234,1234,1234,1234,1234,1234,1234\n    ^^"
	if p.Quote != want {
		t.Errorf("got\n%s\nwant\n%s", p.Quote, want)
	}
}
