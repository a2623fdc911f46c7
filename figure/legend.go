package figure

import (
	"fmt"
	"sort"
	"strings"
)

const sample = 30.0 // px of the stroke that stands before a legend's words

// legend writes the conditions in rows from the top of the picture, each with
// its stroke and mark, and returns where the rows end.
func legend(s *Scene, names []string) float64 {
	x, y := 2.0, 4.0
	for i, name := range names {
		if name == "" {
			continue
		}
		lines := wrap(name, s.Width-sample-16)
		var w float64
		for _, l := range lines {
			w = max(w, textWidth(l))
		}
		if x > 2 && x+sample+labelGap+w > s.Width {
			x, y = 2, y+lineHeight
		}
		mid := y + 7
		s.add(Line{Points: []Point{{x, mid}, {x + sample, mid}}, Ink: Ink(i), Width: 2, Dash: DashOf(i)},
			Dot{X: x + sample/2, Y: mid, Shape: ShapeOf(i), Size: 4.5, Ink: Ink(i)})
		for j, l := range lines {
			if j > 0 {
				y += lineHeight
			}
			s.add(Text{X: x + sample + labelGap, Y: y + 11.5, Body: l, Ink: Plain})
		}
		x += sample + labelGap + w + 18
	}
	return y + lineHeight
}

// Swatch is the stroke and mark of the i-th condition as a small picture for
// use beside its name; it is hidden from readers who are told the name.
func Swatch(i int) string {
	return fmt.Sprintf(`<svg class="fig key" viewBox="0 0 %g 14" aria-hidden="true">%s%s</svg>`, sample,
		Line{Points: []Point{{0, 7}, {sample, 7}}, Ink: Ink(i), Width: 2, Dash: DashOf(i)}.element(),
		Dot{X: sample / 2, Y: 7, Shape: ShapeOf(i), Size: 4.5, Ink: Ink(i)}.element())
}

// Stroke is a line as a small picture for use before the words that say what it
// is.
func Stroke(ink Ink, dash []float64) string {
	return fmt.Sprintf(`<svg class="fig" viewBox="0 0 %g 14" aria-hidden="true">%s</svg>`, sample,
		Line{Points: []Point{{0, 7}, {sample, 7}}, Ink: ink, Width: 2, Dash: dash}.element())
}

// wrap breaks text at spaces so that each line fits; a longer word is cut.
func wrap(text string, width float64) []string {
	most := max(1, int(width/textWidth("x")))
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		for r := []rune(word); ; {
			rest := []rune(nil)
			if len(r) > most {
				r, rest = r[:most], r[most:]
			}
			if n := len([]rune(line)); n > 0 && n+1+len(r) > most {
				lines, line = append(lines, line), ""
			}
			if line != "" {
				line += " "
			}
			line += string(r)
			if rest == nil {
				break
			}
			r = rest
		}
	}
	return append(lines, line)
}

// spread moves places apart so that neighbours are at least gap from each
// other and all lie between low and high, with the least sum of squared moves:
// after taking i·gap off the i-th place, "gap apart" reads "not decreasing",
// and the best such sequence pools neighbours that are out of order into their
// mean (the pool-adjacent-violators rule). The order of the places is kept;
// the gap shrinks when they could not fit.
func spread(places []float64, gap, low, high float64) []float64 {
	n := len(places)
	if n == 0 {
		return nil
	}
	if n > 1 {
		gap = min(gap, (high-low)/float64(n-1))
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return places[order[a]] < places[order[b]] })

	type pool struct {
		mean float64
		n    int
	}
	var pools []pool
	for i, k := range order {
		p := pool{places[k] - float64(i)*gap, 1}
		for len(pools) > 0 && pools[len(pools)-1].mean > p.mean {
			q := pools[len(pools)-1]
			p = pool{(p.mean*float64(p.n) + q.mean*float64(q.n)) / float64(p.n+q.n), p.n + q.n}
			pools = pools[:len(pools)-1]
		}
		pools = append(pools, p)
	}

	out := make([]float64, n)
	i := 0
	for _, p := range pools {
		at := max(low, min(high-float64(n-1)*gap, p.mean))
		for range p.n {
			out[order[i]] = at + float64(i)*gap
			i++
		}
	}
	return out
}
