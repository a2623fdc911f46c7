package traceio

import (
	"bytes"
	"unicode/utf16"
	"unicode/utf8"
)

// UTF16 reports whether data is text in UTF-16, by its byte order mark or by a
// NUL in every other byte of its head, and whether the high byte comes first.
func UTF16(data []byte) (high, marked, ok bool) {
	if len(data) < 2 {
		return false, false, false
	}
	switch {
	case data[0] == 0xff && data[1] == 0xfe:
		return false, true, true
	case data[0] == 0xfe && data[1] == 0xff:
		return true, true, true
	}
	// Latin letters and digits have a NUL in every other byte; samples of a
	// binary file have control characters in the others.
	head := data[:min(len(data), 8192)&^1]
	if bytes.IndexByte(head, 0) < 0 {
		return false, false, false
	}
	var nul, odd [2]int
	for i, b := range head {
		switch {
		case b == 0:
			nul[i%2]++
		case b < ' ' && b != '\t' && b != '\n' && b != '\r' && b != '\f':
			odd[i%2]++
		}
	}
	for low := range 2 {
		if nul[low] == 0 && nul[1-low] > len(head)/4 && 20*odd[low] <= len(head)/2 {
			return low == 1, false, true
		}
	}
	return false, false, false
}

// FromUTF16 brings text in UTF-16 to UTF-8, without its byte order mark. Half a
// character at the end, as in a file cut off, is left out.
func FromUTF16(data []byte, high bool) []byte {
	at := func(i int) rune {
		if high {
			return rune(data[i])<<8 | rune(data[i+1])
		}
		return rune(data[i+1])<<8 | rune(data[i])
	}
	out := make([]byte, 0, len(data)/2+len(data)/16)
	for i := 0; i+1 < len(data); i += 2 {
		r := at(i)
		if i == 0 && r == 0xfeff {
			continue
		}
		if r < utf8.RuneSelf {
			out = append(out, byte(r))
			continue
		}
		if utf16.IsSurrogate(r) {
			if pair := rune(utf8.RuneError); i+3 < len(data) {
				if pair = utf16.DecodeRune(r, at(i+2)); pair != utf8.RuneError {
					i += 2
				}
				r = pair
			} else {
				r = pair
			}
		}
		out = utf8.AppendRune(out, r)
	}
	return out
}
