package traceio

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// Shorten makes text of a file fit to stand in a sentence: harmless, and 48
// characters at most.
func Shorten(s string) string {
	const most = 48
	s = Clean(strings.TrimSpace(s))
	if r := []rune(s); len(r) > most {
		return strings.TrimSpace(string(r[:most-1])) + "\u2026"
	}
	return s
}

// Clean makes control characters of a file harmless, one for one.
func Clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f || r == utf8.RuneError {
			return ' '
		}
		return r
	}, s)
}

// Count writes a number with its noun: "1 row", "2 rows".
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
