package figure

import (
	"fmt"

	"fallwright.example/dial"
)

// dialledRow is one line of the picture of dialling in.
type dialledRow struct {
	name   string
	band   dial.Band // N
	at     float64   // N, marked
	shape  Shape
	ink    Ink
	stroke float64
}

// Dialled draws the window as a band, each trial drop's peak over the interval
// that the other trials give it, and what is expected of the next setting: its
// first fall and the last of a series. The height follows from the rows.
func Dialled(q dial.Question, a *dial.Answer, c Canvas) *Scene {
	rows := dialledRows(q, a, c.Width-24)
	s := newScene(c, "Peaks against the window")
	s.Desc = dialledWords(q, rows)
	const step, top = 42.0, 26.0
	s.Frame = Box{8, top, s.Width - 14, top + step*float64(len(rows)) + 8}
	values := []float64{q.Window.Low / 1000, q.Window.High / 1000}
	for _, r := range rows {
		values = append(values, r.band.Low/1000, r.band.High/1000, r.at/1000)
	}
	x, ticks, _ := around(s.Frame.Left, s.Frame.Right, values...)
	low, high := x.At(q.Window.Low/1000), x.At(q.Window.High/1000)
	s.add(Band{Box{low, s.Frame.Top, high, s.Frame.Bottom}, SeaSoft})
	words := "window " + Range(q.Window.Low/1000, q.Window.High/1000, 2) + " kN"
	s.add(Text{X: inside((low+high)/2, words, s.Width), Y: top - 9, Anchor: Middle, Body: words, Ink: Sea, Bold: true})
	alongAxis(s, x, ticks, "peak, kN")
	for i, r := range rows {
		r.draw(s, x, s.Frame.Top+step*float64(i)+18)
	}
	return s.finish(s.Frame.Bottom+2*lineHeight+8, c)
}

// dialledRows leaves a specimen's label out where it does not fit.
func dialledRows(q dial.Question, a *dial.Answer, room float64) []dialledRow {
	var rows []dialledRow
	for i, t := range a.Trials {
		name, read := fmt.Sprintf("trial %d, %s m", i+1, Fixed(t.Drop, 2)), ": read "+KN(t.Peak)+" kN"
		if t.Fall > 1 {
			name += fmt.Sprintf(", fall %d", t.Fall)
		}
		if of := " of " + t.Specimen; t.Specimen != "" && textWidth(name+of+read) < room {
			name += of
		}
		rows = append(rows, dialledRow{name + read, t.Expected, t.Peak, Circle, Plain, 2})
	}
	rows = append(rows, dialledRow{fmt.Sprintf("next, %s m: %s kN", Fixed(a.Next.Drop, 2), KN(a.Peak.Middle)), a.Peak, a.Peak.Middle, Diamond, Sea, 4})
	if q.Falls > 1 {
		rows = append(rows, dialledRow{fmt.Sprintf("fall %d there: %s kN", q.Falls, KN(a.Last.Middle)), a.Last, a.Last.Middle, Diamond, Sea, 4})
	}
	return rows
}

func (r dialledRow) draw(s *Scene, x Scale, y float64) {
	low, high := x.At(r.band.Low/1000), x.At(r.band.High/1000)
	s.add(Text{X: min(max(s.Frame.Left, low), s.Frame.Right-textWidth(r.name)), Y: y - 2, Body: r.name, Ink: Plain})
	y += 12
	ink := r.ink
	if ink == Plain {
		ink = Soft
	}
	s.add(Bar{A: Point{low, y}, B: Point{high, y}, Ink: ink, Width: r.stroke, Cap: 4},
		Dot{X: x.At(r.at / 1000), Y: y, Shape: r.shape, Size: 5.5, Ink: r.ink})
}

func dialledWords(q dial.Question, rows []dialledRow) string {
	words := fmt.Sprintf("The window is %s kN. Intervals hold the peak with a chance of %.0f %%; that of a trial is what the others make of it.",
		Range(q.Window.Low/1000, q.Window.High/1000, 2), 100*q.Level)
	for _, r := range rows {
		words += fmt.Sprintf(" %s, interval %s.", upper(r.name), Range(r.band.Low/1000, r.band.High/1000, 2))
	}
	return words
}
