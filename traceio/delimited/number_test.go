package delimited

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// same reports whether two numbers are the same to the bit, so that -0 is not 0.
func same(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

func TestSameTellsNearMisses(t *testing.T) {
	negativeZero := math.Copysign(0, -1)
	if same(1, math.Nextafter(1, 2)) || same(0, negativeZero) || same(0, math.NaN()) || !same(2, 2) {
		t.Fatal("the comparator is blind")
	}
}

// decimal writes a random decimal number: some as loggers do, some at the edges
// of the quick way (2^53, 10^22, 19 digits) and of the range.
func decimal(r *rand.Rand) string {
	digits := func(n int) string {
		var s strings.Builder
		for range n {
			s.WriteByte(byte('0' + r.IntN(10)))
		}
		return s.String()
	}
	sign := []string{"", "", "-", "+"}[r.IntN(4)]
	switch r.IntN(6) {
	case 0: // a logger's
		return sign + digits(1+r.IntN(5)) + "." + digits(r.IntN(9))
	case 1: // any float64, in its shortest form
		v := math.Float64frombits(r.Uint64())
		if math.IsNaN(v) || math.IsInf(v, 0) {
			v = 1
		}
		return strconv.FormatFloat(v, []byte("eEfg")[r.IntN(4)], -1, 64)
	case 2: // around 2^53
		return sign + strconv.FormatUint(1<<53+uint64(r.IntN(9))-4, 10) + "e" + strconv.Itoa(r.IntN(60)-30)
	case 3: // long
		return sign + digits(r.IntN(14)) + "." + digits(1+r.IntN(26))
	case 4: // leading zeros
		return sign + "0." + strings.Repeat("0", r.IntN(24)) + digits(1+r.IntN(18))
	}
	return sign + digits(1+r.IntN(17)) + "." + digits(r.IntN(6)) + "E" + []string{"", "+", "-"}[r.IntN(3)] + digits(1+r.IntN(3))
}

// Source: Go's strconv.ParseFloat, which rounds every decimal correctly. The
// two must agree to the bit; there is no tolerance to choose.
func TestNumberEqualsParseFloat(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	quick, slow, refused := 0, 0, 0
	for range 150_000 {
		s := decimal(r)
		want, err := strconv.ParseFloat(s, 64)
		for _, mark := range []byte{'.', ','} {
			cell := "x" + strings.Replace(s, ".", string(mark), 1) + ";7"
			got, next, ok := number([]byte(cell), 1, mark)
			if err != nil { // out of range
				if refused++; ok {
					t.Fatalf("%s: read as %g, strconv says %v", cell, got, err)
				}
				continue
			}
			if !ok || !same(got, want) || next != len(cell)-2 {
				t.Fatalf("%s with %q: got %v (%v) up to %d, want %v", cell, mark, got, ok, next, want)
			}
			if len(s) <= 16 {
				quick++
			} else {
				slow++
			}
		}
	}
	if quick < 25_000 || slow < 25_000 || refused < 500 {
		t.Fatalf("too few of a kind: %d short, %d long, %d out of range", quick, slow, refused)
	}
}

// Numbers at the edges of the quick way: around 2^53, past the 19 digits that a
// uint64 holds for certain (2^64+1 would come out as 1), around 10^22.
func TestNumberAtTheEdges(t *testing.T) {
	checked := 0
	for _, s := range []string{
		"9007199254740991", "9007199254740992", "9007199254740993", "9007199254740995", "-9007199254740993e-5",
		"18446744073709551615", "18446744073709551616", "18446744073709551617", "0.18446744073709551617", "00000000000000000000018446744073709551617",
		"1e22", "1e23", "3e22", "3e23", "1e-22", "1e-23", "7e-23", "4.35", "0.3", "2.5e-324", "4.9e-324", "1.7976931348623157e308", "1e-999",
	} {
		want, err := strconv.ParseFloat(s, 64)
		got, next, ok := number([]byte(s), 0, '.')
		if err != nil || !ok || next != len(s) || !same(got, want) {
			t.Errorf("%s: %v (%v), strconv has %v (%v)", s, got, ok, want, err)
		}
		checked++
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}

func TestNumberStopsAtWhatIsNone(t *testing.T) {
	checked := 0
	for _, s := range []string{"", "-", "+", ".", "-.", "e5", "1e", "1e+", "NaN", "nan", "inf", "-Inf", "abc", "--1", "1e999", "0x"} {
		v, _, ok := number([]byte(s), 0, '.')
		if s == "0x" { // the zero is a number, the x is for the caller to refuse
			if !ok || v != 0 {
				t.Errorf("%q: got %v, %v", s, v, ok)
			}
		} else if ok {
			t.Errorf("%q was read as %v", s, v)
		}
		checked++
	}
	if checked == 0 {
		t.Fatal("nothing was checked")
	}
}
