package sheets

import (
	"strings"
	"unicode/utf8"
)

// wrap breaks text into lines no wider than wide; a word that is wider by itself is
// broken where it must be. There is one line at the least.
func wrap(width func(string) float64, text string, wide float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && width(line+" "+word) <= wide {
			line += " " + word
			continue
		}
		if line != "" {
			out = append(out, line)
		}
		for width(word) > wide && utf8.RuneCountInString(word) > 1 {
			n := fitting(width, word, wide)
			out, word = append(out, word[:n]), word[n:]
		}
		line = word
	}
	return append(out, line)
}

// fitting is how many bytes of a word fit, one character at the least.
func fitting(width func(string) float64, word string, wide float64) int {
	n := 0
	for i, r := range word {
		end := i + utf8.RuneLen(r)
		if i > 0 && width(word[:end]) > wide {
			break
		}
		n = end
	}
	return n
}

// fit cuts text that is too wide, and says so.
func fit(width func(string) float64, text string, wide float64) string {
	if width(text) <= wide {
		return text
	}
	for text != "" && width(text+"…") > wide {
		_, n := utf8.DecodeLastRuneInString(text)
		text = text[:len(text)-n]
	}
	return text + "…"
}
