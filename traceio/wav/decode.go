package wav

import (
	"encoding/binary"
	"fmt"
	"math"

	"fallwright.example/problem"
)

// decode returns the samples of channel c, from 0, without unit: whole numbers
// of n bits over 2^(n-1), so that they lie from -1 to just below 1; numbers with
// fewer bits than their bytes hold stand at the top of them; 8 bits are counted
// from 128. Each is exact, but for whole numbers nothing is rounded either.
func (s *source) decode(p *parts, c int) ([]float64, error) {
	frame := p.bytes * p.channels
	out := make([]float64, len(p.data)/frame)
	at := p.data[c*p.bytes:]
	read := sampleOf(p.tag, p.bytes)
	for i := range out {
		v := read(at[i*frame:])
		if math.IsNaN(v - v) {
			return nil, s.refuse(problem.Unreadable, fmt.Sprintf(", frame %d", i+1), "channel %d has %g there, which is no sample", c+1, v).
				Hint("export the recording again without gaps")
		}
		out[i] = v
	}
	return out, nil
}

// sampleOf returns the function that reads one sample at the head of b.
func sampleOf(tag uint16, bytes int) func(b []byte) float64 {
	le := binary.LittleEndian
	switch {
	case tag == tagFloat && bytes == 4:
		return func(b []byte) float64 { return float64(math.Float32frombits(le.Uint32(b))) }
	case tag == tagFloat:
		return func(b []byte) float64 { return math.Float64frombits(le.Uint64(b)) }
	case bytes == 1:
		return func(b []byte) float64 { return (float64(b[0]) - 128) / (1 << 7) }
	case bytes == 2:
		return func(b []byte) float64 { return float64(int16(le.Uint16(b))) / (1 << 15) }
	case bytes == 3:
		return func(b []byte) float64 { return float64(int8(b[2]))/(1<<7) + float64(le.Uint16(b))/(1<<23) }
	}
	return func(b []byte) float64 { return float64(int32(le.Uint32(b))) / (1 << 31) }
}
