package parquet

import (
	"encoding/binary"
	"math"
	"math/big"

	"fallwright.example/traceio/pick"
)

// holds is what a column holds, to go by its type.
func (e element) holds() pick.Holds {
	switch {
	case e.physical == tInt96 && e.logical == plain:
		return pick.Stamps
	case e.logical == other:
		return pick.Words
	case e.logical == millis || e.logical == micros || e.logical == nanos:
		if e.physical == tInt32 || e.physical == tInt64 {
			return pick.Stamps
		}
	case e.physical == tInt32, e.physical == tInt64:
		return pick.Numbers
	case e.physical == tFloat || e.physical == tDouble:
		return pick.Numbers
	case e.logical == decimal && (e.physical == tBytes || e.physical == tFixed && e.length > 0 && e.length <= longestDecimal):
		return pick.Numbers
	}
	return pick.Words
}

// longestDecimal is our own limit on the bytes of a decimal.
const longestDecimal = 64

// decoderOf makes the decoder of a column that holds numbers or stamps.
func (s *source) decoderOf(e element, rows int64) *decoder {
	d := &decoder{source: s, element: e, values: make([]float64, 0, rows)}
	switch e.physical {
	case tInt32, tFloat:
		d.width = 4
	case tInt64, tDouble:
		d.width = 8
	case tInt96:
		d.width = 12
	case tFixed:
		d.width = e.length
	}
	d.convert = e.number()
	return d
}

// number returns what turns the bytes of a value into a number. A stamp becomes
// seconds since the first that was converted, because seconds since 1970 in a
// float64 are told apart by no less than 2e-7 s.
func (e element) number() func(b []byte) float64 {
	le := binary.LittleEndian
	whole := func(b []byte) int64 { return int64(int32(le.Uint32(b))) }
	if e.physical == tInt64 {
		whole = func(b []byte) int64 { return int64(le.Uint64(b)) }
	}
	switch {
	case e.physical == tFloat:
		return func(b []byte) float64 { return float64(math.Float32frombits(le.Uint32(b))) }
	case e.physical == tDouble:
		return func(b []byte) float64 { return math.Float64frombits(le.Uint64(b)) }
	case e.physical == tInt96:
		// Nanoseconds of a day, and the Julian day; the older kind of moment.
		return since(func(b []byte) int64 { return int64(le.Uint64(b)) + int64(le.Uint32(b[8:]))*86_400_000_000_000 }, 1e9)
	case e.logical == millis:
		return since(whole, 1e3)
	case e.logical == micros:
		return since(whole, 1e6)
	case e.logical == nanos:
		return since(whole, 1e9)
	case e.logical == decimal && (e.physical == tInt32 || e.physical == tInt64):
		return func(b []byte) float64 { return decimals(big.NewInt(whole(b)), e.scale) }
	case e.logical == decimal:
		return func(b []byte) float64 { return decimals(twos(b), e.scale) }
	case e.logical == unsigned && e.physical == tInt32:
		return func(b []byte) float64 { return float64(le.Uint32(b)) }
	case e.logical == unsigned:
		return func(b []byte) float64 { return float64(le.Uint64(b)) }
	}
	return func(b []byte) float64 { return float64(whole(b)) }
}

// since counts from the first value that it sees, exactly, and divides once.
func since(whole func(b []byte) int64, perSecond float64) func(b []byte) float64 {
	begun := false
	var first int64
	return func(b []byte) float64 {
		v := whole(b)
		if !begun {
			begun, first = true, v
		}
		d := v - first
		if (v < 0) != (first < 0) && (d < 0) != (v < 0) {
			return (float64(v) - float64(first)) / perSecond // more than an int64 holds
		}
		return float64(d) / perSecond
	}
}

// decimals is a whole number over ten to the scale, rounded once.
func decimals(v *big.Int, scale int) float64 {
	const exact = 22 // 10^22 is the largest power of ten that a float64 holds
	if scale >= 0 && scale <= exact && v.IsInt64() && v.Int64() > -1<<53 && v.Int64() < 1<<53 {
		return float64(v.Int64()) / math.Pow10(scale)
	}
	if scale < 0 || scale > 1000 {
		return none
	}
	f, _ := new(big.Rat).SetFrac(v, new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale)), nil)).Float64()
	return f
}

// twos is a whole number in two's complement, the highest byte first.
func twos(b []byte) *big.Int {
	v := new(big.Int)
	if len(b) > longestDecimal {
		return v
	}
	v.SetBytes(b)
	if len(b) > 0 && b[0]&0x80 != 0 {
		v.Sub(v, new(big.Int).Lsh(big.NewInt(1), uint(8*len(b))))
	}
	return v
}
