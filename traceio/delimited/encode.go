package delimited

import (
	"bytes"
	"regexp"
	"unicode/utf8"

	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// decode brings the bytes of a file to lines that end in LF and characters in
// UTF-8, or leaves them as they are where they are that or Latin-1.
func decode(data []byte) ([]byte, trace.Fact) {
	fact := trace.Fact{What: "encoding"}
	high, marked, wide := traceio.UTF16(data)
	switch {
	case wide:
		fact.Is, fact.Why = "UTF-16", "every other byte is 0"
		if marked {
			fact.Why = "a byte order mark says so"
		}
		data = traceio.FromUTF16(data, high)
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		fact.Is, fact.Why = "UTF-8", "a byte order mark says so"
		data = data[3:]
	case validHead(data):
		fact.Is, fact.Why = "UTF-8", "its beginning is such"
	default:
		fact.Is, fact.Why = "Latin-1", "its beginning is no UTF-8"
	}
	data = bytes.TrimRight(data, "\x00\x1a") // a Ctrl-Z of DOS, or blocks that were never filled
	if holds(data, 0) {
		data = bytes.ReplaceAll(data, []byte{0}, []byte(" ")) // of a name that was not filled
	}
	if minus := []byte("\u2212"); holds(data, minus[0]) && bytes.Contains(data, minus) {
		data = bytes.ReplaceAll(data, minus, []byte("-"))
	}
	if head := data[:min(len(data), firstHead)]; doubles(head) && fortran.Match(head) {
		data = fortran.ReplaceAll(data, []byte("${1}E$2"))
	}
	if bytes.IndexByte(data, '\n') < 0 && bytes.IndexByte(data, '\r') >= 0 {
		fact.Is += ", lines ended by CR"
		data = bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))
	}
	return data, fact
}

// fortran is a number with the exponent of a double, "0.25D+01".
var fortran = regexp.MustCompile(`(\.[0-9]*)[Dd]([-+][0-9]{2})`)

// doubles reports whether data may hold such a number: the pattern is slow where
// there is none.
func doubles(data []byte) bool {
	for _, e := range []string{"D+", "D-", "d+", "d-"} {
		if bytes.Contains(data, []byte(e)) {
			return true
		}
	}
	return false
}

// validHead reports whether the first 64 KiB are UTF-8; a character cut in two
// at their end does not count.
func validHead(data []byte) bool {
	if len(data) <= firstHead {
		return utf8.Valid(data)
	}
	head := data[:firstHead]
	for n := range utf8.UTFMax {
		if utf8.Valid(head[:len(head)-n]) {
			return true
		}
	}
	return false
}

// text turns bytes of the file into a string: UTF-8, or else Latin-1, in which
// every byte is a character of its own number.
func text(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}
