package sheets

import (
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func letters(text string) float64 { return float64(utf8.RuneCountInString(text)) }

// Lines are no wider than there is room, and hold every letter of the text in its
// order.
func TestWrap(t *testing.T) {
	broken := 0
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("abä€ \t")), 0, 60, -1).Draw(t, "text")
		wide := rapid.IntRange(1, 12).Draw(t, "wide")
		lines := wrap(letters, text, float64(wide))
		for _, l := range lines {
			if letters(l) > float64(wide) {
				t.Fatalf("%q is wider than %d", l, wide)
			}
		}
		bare := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if bare(strings.Join(lines, " ")) != bare(text) {
			t.Fatalf("%q became %q", text, lines)
		}
		if len(lines) > 1 {
			broken++
		}
		if f := fit(letters, text, float64(wide)); letters(f) > float64(wide) || letters(text) <= float64(wide) && f != text {
			t.Fatalf("%q was cut to %q", text, f)
		}
	})
	if broken == 0 {
		t.Error("nothing was broken: the draw is blind")
	}
}
