package problem

import "testing"

// Strokes counted by hand.
func TestNearest(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"margin", "margin", 0},
		{"margn", "margin", 1},
		{"marginn", "margin", 1},
		{"mergin", "margin", 1},
		{"wiht", "with", 1},
		{"", "abc", 3},
		{"abc", "", 3},
		{"kitten", "sitting", 3},
		{"größe", "grösse", 2},
	} {
		if got := strokes(c.a, c.b); got != c.want {
			t.Errorf("%q to %q takes %d, want %d", c.a, c.b, got, c.want)
		}
	}
	for name, want := range map[string]string{"Margin": "margin", "free-length": "free_length", "fre_lenght": "free_length", "colour": "", "x": ""} {
		if got, _ := Nearest(name, []string{"margin", "free_length", "falls"}); got != want {
			t.Errorf("nearest to %q is %q, want %q", name, got, want)
		}
	}
}
