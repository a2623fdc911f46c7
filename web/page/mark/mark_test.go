package mark

import (
	"strings"
	"testing"
)

// Every condition has one outline, and no two of the first 36 look the same.
func TestOutlines(t *testing.T) {
	seen := map[string]int{}
	for i := range outlines {
		o := outline(i)
		if !strings.HasPrefix(o, "<path ") && !strings.HasPrefix(o, "<circle ") || strings.Count(o, "<") != 1 || !strings.HasSuffix(o, "/>") {
			t.Errorf("condition %d is drawn as %q", i, o)
		}
		if other, ok := seen[o]; ok {
			t.Errorf("conditions %d and %d share %q", other, i, o)
		}
		seen[o] = i
	}
}
