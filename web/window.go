package web

import (
	"math"
	"net/url"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
	pagetrace "fallwright.example/web/page/trace"
	"fallwright.example/web/say"
)

// window is the part of a trace that is looked at, in seconds on the recorder's
// clock.
type window struct{ From, To float64 }

func (w window) length() float64 { return w.To - w.From }

// whole is the window of the whole signal; ok is false when it has no length.
func whole(s *trace.Signal) (window, bool) {
	if s == nil || len(s.Time) < 2 {
		return window{}, false
	}
	return window{s.Time[0], s.Time[len(s.Time)-1]}, true
}

// shortest is eight samples: closer than that there is nothing to see.
func shortest(s *trace.Signal) float64 {
	return 8 * sampleStep(s)
}

func sampleStep(s *trace.Signal) float64 {
	n := len(s.Time)
	return (s.Time[n-1] - s.Time[0]) / float64(n-1)
}

// readWindow takes from= and to= of an address; without them it is the whole.
// What reaches over the ends of the trace is cut to them.
func readWindow(q url.Values, s *trace.Signal) (window, error) {
	all, ok := whole(s)
	if !ok {
		return window{}, problem.New(problem.Unreadable, "trace", "it has fewer than two samples, so there is nothing to draw")
	}
	w := all
	for name, to := range map[string]*float64{"from": &w.From, "to": &w.To} {
		if text := q.Get(name); text != "" {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				return window{}, problem.New(problem.Invalid, name, "%q is not a time in seconds", text)
			}
			*to = v
		}
	}
	if !(w.To > w.From) {
		return window{}, problem.New(problem.Invalid, "from, to", "the window from %s to %s has no length", say.Seconds(w.From), say.Seconds(w.To)).
			Hint("the trace runs from %s to %s", say.Seconds(all.From), say.Seconds(all.To))
	}
	if w.To < all.From || w.From > all.To {
		return window{}, problem.New(problem.Invalid, "from, to", "the window from %s to %s lies outside the trace", say.Seconds(w.From), say.Seconds(w.To)).
			Hint("the trace runs from %s to %s", say.Seconds(all.From), say.Seconds(all.To))
	}
	return window{max(w.From, all.From), min(w.To, all.To)}, nil
}

// within moves w into all and keeps it at least as long as least.
func (w window) within(all window, least float64) window {
	length := min(max(w.length(), least), all.length())
	from := min(max((w.From+w.To-length)/2, all.From), all.To-length)
	return window{from, from + length}
}

func (w window) scaled(k float64) window {
	centre, half := (w.From+w.To)/2, k*w.length()/2
	return window{centre - half, centre + half}
}

func (w window) moved(share float64) window {
	by := share * w.length()
	return window{w.From + by, w.To + by}
}

func (w window) query() string {
	return "?from=" + seconds(w.From) + "&to=" + seconds(w.To)
}

// seconds writes a time to the nanosecond, as addresses carry it.
func seconds(t float64) string {
	return strconv.FormatFloat(math.Round(t*1e9)/1e9, 'f', -1, 64)
}

// zoomLinks are the ways on from a window. A link that would lead nowhere new
// has no address.
// kept is what the address carries besides the window.
func zoomLinks(path, kept string, t *study.TraceView, w window) []pagetrace.Link {
	all, _ := whole(t.Signal)
	least := shortest(t.Signal)
	link := func(name, text string, to window) pagetrace.Link {
		to = to.within(all, least)
		l := pagetrace.Link{Name: name, Text: text}
		switch {
		case seconds(to.From) == seconds(w.From) && seconds(to.To) == seconds(w.To):
		case to == all:
			l.Href = address(path, kept)
		default:
			l.Href = address(path, to.query()[1:], kept)
		}
		return l
	}
	links := []pagetrace.Link{link("whole", "whole", all)}
	if r := t.Row.Reading; r != nil && len(r.Contacts) > 0 {
		c := r.Contacts[0]
		links = append(links, link("contact", "first contact", window{c.Start, c.End}.scaled(1.3)))
	}
	return append(links,
		link("in", "closer", w.scaled(0.5)), link("out", "wider", w.scaled(2)),
		link("left", "earlier", w.moved(-0.5)), link("right", "later", w.moved(0.5)))
}

// address joins a path with parts of a query; empty ones are left out.
func address(path string, parts ...string) string {
	sign := "?"
	for _, p := range parts {
		if p != "" {
			path += sign + p
			sign = "&"
		}
	}
	return path
}
