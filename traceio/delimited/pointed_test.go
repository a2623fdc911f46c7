package delimited_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/delimited"
)

// down is a file of n rows below a header; row writes one.
func down(header string, n int, row func(i int) string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range n {
		b.WriteString(row(i) + "\n")
	}
	return b.String()
}

// withPoints writes a whole number with a point between its thousands.
func withPoints(v int) string {
	if v >= 1000 {
		return fmt.Sprintf("%d.%03d", v/1000, v%1000)
	}
	return fmt.Sprint(v)
}

// refused holds that a file is refused in words that hold all of want.
func refused(t *testing.T, data string, ask trace.Ask, want ...string) {
	t.Helper()
	file, err := delimited.Format{}.Read("a.csv", []byte(data), ask)
	var p *problem.Problem
	if !errors.As(err, &p) {
		t.Fatalf("read as %d drops, error %v; want a refusal", len(file.Parts), err)
	}
	said := p.Where + " " + p.What + " " + strings.Join(p.Hints, " ")
	for _, w := range want {
		if !strings.Contains(said, w) {
			t.Errorf("refused as %q, want it to say %q", said, w)
		}
	}
}

// Whole numbers with a point between thousands are no decimals: the peak of
// these is 1998 N, not 999.
func TestPointsBetweenThousands(t *testing.T) {
	forces := down("Zeit (ms);Kraft (N)", 1000, func(i int) string { return fmt.Sprintf("%d;%s", i, withPoints(2*i)) })
	times := down("Zeit (ms);Kraft (kN)", 1200, func(i int) string { return fmt.Sprintf("%s;%d", withPoints(i), i%7) })
	refused(t, forces, trace.Ask{}, "a.csv:502", `"1.000"`, "1000", "--decimal comma reads 1000", "--decimal point reads 1.000")
	refused(t, times, trace.Ask{}, "a.csv:1002", `"1.000" in column 1`)
	rec, err := readOne("a.csv", []byte(forces), trace.Ask{Decimal: "comma"})
	if err != nil || rec.Force[999] != 1998 {
		t.Errorf("with --decimal comma: %v, want 1998 at the end", err)
	}
	rec, err = readOne("a.csv", []byte(forces), trace.Ask{Decimal: "point"})
	if err != nil || rec.Force[999] != 1.998 {
		t.Errorf("with --decimal point: %v, want 1.998 at the end", err)
	}
}

// Decimals of three digits stay what they are: stamps from 0.000 on without a
// word, a force that is never below 1 with a doubt.
func TestThreeDecimals(t *testing.T) {
	for _, c := range []struct {
		first  float64
		doubts []string
	}{{0, nil}, {2, []string{"--decimal comma"}}} {
		data := down("Time (s);Force (kN)", 3000, func(i int) string { return fmt.Sprintf("%.3f;%.3f", float64(i)/1000, c.first+float64(i)/1000) })
		rec, err := readOne("a.csv", []byte(data), trace.Ask{})
		if err != nil {
			t.Fatal(err)
		}
		if len(rec.Force) != 3000 || rec.Force[2999] != 1000*(float64(int(c.first*1000)+2999)/1000) {
			t.Errorf("%d values, the last %v", len(rec.Force), rec.Force[2999])
		}
		doubts(t, rec.Notes, c.doubts)
	}
}

// Codes of missing samples and words of meters are no force.
func TestNoForce(t *testing.T) {
	for _, code := range []string{"-9999", "-99999", "9.9e37", "1e30"} {
		refused(t, down("Time (s),Force (N)", 40, func(i int) string {
			if i == 20 || i == 25 {
				return fmt.Sprintf("%d,%s", i, code)
			}
			return fmt.Sprintf("%d,%d.5", i, i)
		}), trace.Ask{}, "a.csv:22", "again and again")
	}
	refused(t, down("Time (s),Force (N)", 40, func(i int) string {
		if i == 20 {
			return "20,+OVL"
		}
		return fmt.Sprintf("%d,%d.5", i, i)
	}), trace.Ask{}, "a.csv:22", "over range: the peak is lost")
	// A force that passes by such a number is one.
	rec, err := readOne("a.csv", []byte(down("Time (s),Force (N)", 40, func(i int) string { return fmt.Sprintf("%d,%d", i, 9980+min(i, 19)) })), trace.Ask{})
	if err != nil || rec.Force[39] != 9999 {
		t.Errorf("a force of 9999 N: %v", err)
	}
}
