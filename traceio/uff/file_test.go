package uff_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/trace"
	"fallwright.example/traceio/uff"
)

func testdata(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func read(t *testing.T, data string, ask trace.Ask) *trace.File {
	t.Helper()
	file, err := uff.Format{}.Read("a.uff", []byte(data), ask)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// one is a set 58 to write.
type one struct {
	id, run                string // ID lines 1 and 2; blank for NONE
	label, unit, xUnit     string // likewise, but xUnit for s
	function, node         int    // 0 stands for 1, a time response; -1 for 0
	kind, n, spacing, axis int    // 0 stands for 2, as many as there are values, 1, 9
	xAxis                  int    // 0 stands for 17, time
	start, step            float64
	values                 string // the lines
}

// set writes it: 15 lines and the values.
func set(o one) string {
	none := func(s string) string {
		if s == "" {
			return "NONE"
		}
		return s
	}
	or := func(v, otherwise int) int {
		if v == 0 {
			return otherwise
		}
		return v
	}
	if o.step == 0 && o.spacing == 0 {
		o.step = 0.001
	}
	function := or(o.function, 1)
	if function < 0 {
		function = 0
	}
	spacing := 1 // even, unless it says 2 for uneven or what else
	switch o.spacing {
	case 0:
	case 2:
		spacing = 0
	default:
		spacing = o.spacing
	}
	var b strings.Builder
	fmt.Fprintf(&b, "    -1\n    58\n%s\n%s\nNONE\nNONE\nNONE\n", none(o.id), none(o.run))
	fmt.Fprintf(&b, "%5d%10d%5d%10d %-10s%10d%4d %-10s%10d%4d\n", function, 0, 0, 0, "NONE", o.node, 3, "NONE", 0, 0)
	fmt.Fprintf(&b, "%10d%10d%10d%13.5E%13.5E%13.5E\n", or(o.kind, 2), o.n, spacing, o.start, o.step, 0.0)
	xUnit := o.xUnit
	if xUnit == "" {
		xUnit = "s"
	}
	fmt.Fprintf(&b, "%10d%5d%5d%5d %-20s %-20s\n", or(o.xAxis, 17), 0, 0, 0, "Time", xUnit)
	fmt.Fprintf(&b, "%10d%5d%5d%5d %-20s %-20s\n", or(o.axis, 9), 0, 0, 0, none(o.label), none(o.unit))
	for range 2 {
		fmt.Fprintf(&b, "%10d%5d%5d%5d %-20s %-20s\n", 0, 0, 0, 0, "NONE", "NONE")
	}
	return b.String() + o.values + "    -1\n"
}

func units164(code int, length, force float64) string {
	return fmt.Sprintf("    -1\n   164\n%10d%-20s%10d\n%25.17E%25.17E%25.17E\n%25.17E\n    -1\n", code, "", 2, length, force, 1.0, 273.15)
}

const three = "  1.00000E+00  2.50000E+00 -5.00000E-01\n"
