package html

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Source: WCAG 2.2, "contrast ratio" and "relative luminance", and success
// criteria 1.4.3 (text, 4.5 to 1) and 1.4.11 (graphics, 3 to 1); from memory.
// Condition colours are held to 3.3, so that thin strokes have some to spare.
func TestContrast(t *testing.T) {
	if r := contrast("#000000", "#ffffff"); math.Abs(r-21) > 1e-9 {
		t.Fatalf("black on white has %g, by definition 21", r)
	}
	day, night, ok := strings.Cut(tokens, "@media screen and (prefers-color-scheme:dark)")
	if !ok {
		t.Fatal("no dark colours in tokens.css, or not for the screen alone")
	}
	looked := 0
	for name, css := range map[string]string{"day": day, "night": night} {
		colour := map[string]string{}
		for _, m := range regexp.MustCompile(`--([a-z0-9-]+):(#[0-9a-f]{6})`).FindAllStringSubmatch(css, -1) {
			colour[m[1]] = m[2]
		}
		hold := func(ink, ground string, least float64) {
			looked++
			if r := contrast(colour[ink], colour[ground]); !(r >= least) {
				t.Errorf("%s: %s on %s has %.2f, want %g", name, ink, ground, r, least)
			}
		}
		for _, ground := range []string{"paper", "sheet"} {
			for _, ink := range []string{"ink", "soft", "sea", "warn", "ok"} {
				hold(ink, ground, 4.5)
			}
			for _, ink := range []string{"c0", "c1", "c2", "c3", "c4", "c5"} {
				hold(ink, ground, 3.3)
			}
		}
		hold("warn", "warn-soft", 4.5)
		hold("soft", "sea-soft", 4.5)
		hold("ink", "sea-soft", 4.5)
	}
	if looked != 50 {
		t.Errorf("%d pairs were looked at", looked)
	}
}

func contrast(a, b string) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func luminance(hex string) float64 {
	if len(hex) != 7 {
		return math.NaN()
	}
	var sum float64
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			return math.NaN()
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}
