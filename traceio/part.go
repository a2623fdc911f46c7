package traceio

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Wanted returns the drops of a file that are asked for: all of them, or the one
// that --part names, by its own name in any case or by its number from 1. where
// is the place that a refusal names, in the file called name.
func Wanted(name, where string, parts []*trace.Recording, part string) ([]*trace.Recording, error) {
	const shown = 12
	ask := strings.TrimSpace(part)
	if ask == "" {
		return parts, nil
	}
	for _, p := range parts {
		if p.Part != "" && strings.EqualFold(p.Part, ask) {
			return []*trace.Recording{p}, nil
		}
	}
	if n, err := strconv.Atoi(ask); err == nil && n >= 1 && n <= len(parts) {
		return parts[n-1 : n], nil
	}
	var names []string
	for i, p := range parts {
		if i == shown {
			names = append(names, fmt.Sprintf("and %d more", len(parts)-shown))
			break
		}
		names = append(names, strings.TrimSuffix(fmt.Sprintf("%d %q", i+1, Shorten(p.Part)), ` ""`))
	}
	return nil, problem.New(problem.NotFound, where, "--part %q: the file holds %s: %s", Shorten(ask), Count(len(parts), "drop"), strings.Join(names, ", ")).
		Hint("choose one by name or number, as --part 1").In("nothing was read from " + name)
}
