package delimited

import (
	"math"
	"strconv"
)

// exact are the powers of ten that a float64 holds without rounding.
var exact = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// number reads the decimal number that begins at b[i], with mark ('.' or ',')
// before its decimals, and returns it with the index of the byte after it. ok
// is false where no finite decimal number begins; words such as NaN are none.
//
// The value is that of strconv.ParseFloat to the last bit. Where the digits
// make a whole number m up to 2^53 and the power of ten is within 10^22, both
// are exact in a float64, so that m*10^e or m/10^e is rounded once, as it
// should be [Clinger1990]. All else is left to strconv.
func number(b []byte, i int, mark byte) (v float64, next int, ok bool) {
	from := i
	negative := false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		negative = b[i] == '-'
		i++
	}
	var m uint64
	first := i
	for i < len(b) && b[i]-'0' <= 9 {
		m = m*10 + uint64(b[i]-'0')
		i++
	}
	count, exp := i-first, 0
	if i < len(b) && b[i] == mark {
		i++
		first = i
		for i < len(b) && b[i]-'0' <= 9 {
			m = m*10 + uint64(b[i]-'0')
			i++
		}
		exp = first - i
		count -= exp
	}
	if count == 0 {
		return 0, i, false
	}
	if i < len(b) && b[i]|0x20 == 'e' {
		e, after, ok := exponent(b, i+1)
		if !ok {
			return 0, i, false
		}
		exp, i = exp+e, after
	}
	// 19 digits cannot overflow a uint64.
	if count > 19 || m > 1<<53 || exp < -22 || exp > 22 {
		v, ok := parse(b[from:i], mark)
		return v, i, ok
	}
	v = float64(m)
	if exp < 0 {
		v /= exact[-exp]
	} else {
		v *= exact[exp]
	}
	if negative {
		v = -v
	}
	return v, i, true
}

// exponent reads the whole number that begins at b[i]. What is past any
// float64's range stays past it.
func exponent(b []byte, i int) (e, next int, ok bool) {
	negative := false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		negative = b[i] == '-'
		i++
	}
	first := i
	for i < len(b) && b[i]-'0' <= 9 {
		if e < 1e6 {
			e = e*10 + int(b[i]-'0')
		}
		i++
	}
	if negative {
		e = -e
	}
	return e, i, i > first
}

// parse hands a number that number has found well formed to strconv.
func parse(b []byte, mark byte) (float64, bool) {
	if mark == '.' {
		v, err := strconv.ParseFloat(string(b), 64)
		return v, err == nil && !math.IsInf(v, 0)
	}
	var short [64]byte
	c := append(short[:0], b...)
	for i := range c {
		if c[i] == mark {
			c[i] = '.'
		}
	}
	v, err := strconv.ParseFloat(string(c), 64)
	return v, err == nil && !math.IsInf(v, 0)
}
