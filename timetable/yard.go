package timetable

import (
	"slices"
	"time"
)

// A yard is an Ask in seconds from the first day's opening, with the lines of
// everything that can be taken.
type yard struct {
	ask   *Ask
	zero  time.Time
	days  []stretch
	can   map[Kind][]int
	empty state // nothing is taken but what is closed
	from  int64 // nothing starts before

	past   map[string][]Op // what was done, by job or check drop
	broken []Fault         // by what was done
}

// state is what is taken so far.
type state struct {
	people, towers []line
	places         [][]line
	first          []int64 // by day, the last first fall of those in order
}

func newYard(a *Ask, from int64) *yard {
	y := &yard{ask: a, zero: a.Days[0].Open, from: from, can: map[Kind][]int{}}
	var open []stretch // days without breaks
	for _, d := range a.Days {
		day := stretch{y.at(d.Open), y.at(d.Close)}
		y.days = append(y.days, day)
		open = append(open, without([]stretch{day}, y.spans(d.Breaks))...)
	}
	past := []stretch{{-forever, from}}
	for i, p := range a.People {
		y.empty.people = append(y.empty.people, closed(without(without(open, y.spans(p.Away)), past)))
		for _, k := range Duties() {
			if len(p.Does) == 0 || slices.Contains(p.Does, k) {
				y.can[k] = append(y.can[k], i)
			}
		}
	}
	for range a.Towers {
		y.empty.towers = append(y.empty.towers, closed(without(y.days, past)))
	}
	for _, p := range a.Places {
		y.empty.places = append(y.empty.places, make([]line, p.Holds))
	}
	for i := range y.empty.places {
		for k := range y.empty.places[i] {
			y.empty.places[i][k] = closed([]stretch{{from, forever}})
		}
	}
	y.empty.first = make([]int64, len(y.days))
	for i := range y.empty.first {
		y.empty.first[i] = -forever
	}
	return y
}

func seconds(d time.Duration) int64 { return int64(d / time.Second) }

func (y *yard) at(t time.Time) int64 { return seconds(t.Sub(y.zero)) }

func (y *yard) time(s int64) time.Time { return y.zero.Add(time.Duration(s) * time.Second) }

func (y *yard) spans(spans []Span) []stretch {
	out := make([]stretch, len(spans))
	for i, s := range spans {
		out[i] = stretch{y.at(s.From), y.at(s.To)}
	}
	return out
}

// without takes holes out of stretches.
func without(all, holes []stretch) []stretch {
	for _, h := range holes {
		var next []stretch
		for _, s := range all {
			if left := (stretch{s.from, min(s.to, h.from)}); left.to > left.from {
				next = append(next, left)
			}
			if right := (stretch{max(s.from, h.to), s.to}); right.to > right.from {
				next = append(next, right)
			}
		}
		all = next
	}
	return all
}

// day is the day that a time belongs to, -1 for none.
func (y *yard) day(t int64) int {
	for i, d := range y.days {
		if t >= d.from && t <= d.to {
			return i
		}
	}
	return -1
}

// open is how much of the days has gone by at a time, breaks included.
func (y *yard) open(t int64) int64 {
	var sum int64
	for _, d := range y.days {
		if t > d.from {
			sum += min(t, d.to) - d.from
		}
	}
	return sum
}

func (y *yard) placeOf(name string) int {
	return slices.IndexFunc(y.ask.Places, func(p Place) bool { return p.Name == name })
}

func (y *yard) towerOf(name string) int {
	return slices.IndexFunc(y.ask.Towers, func(t Tower) bool { return t.Name == name })
}

// towersOf is where jobs of one specimen can be dropped: all on the same tower.
func (y *yard) towersOf(jobs []int) []int {
	for _, j := range jobs {
		if t := y.ask.Jobs[j].Tower; t != "" {
			return []int{y.towerOf(t)}
		}
	}
	all := make([]int, len(y.ask.Towers))
	for i := range all {
		all[i] = i
	}
	return all
}

// families groups jobs with those that follow them, in order of the first.
func families(jobs []Job) [][]int {
	at := map[string]int{}
	for i, j := range jobs {
		at[j.Name] = i
	}
	root := func(i int) int {
		for jobs[i].Follows != "" {
			i = at[jobs[i].Follows]
		}
		return i
	}
	members := map[int][]int{}
	for i := range jobs {
		members[root(i)] = append(members[root(i)], i)
	}
	var out [][]int
	for i := range jobs {
		m := members[i]
		if m == nil {
			continue
		}
		deep := func(i int) (n int) {
			for ; jobs[i].Follows != ""; n++ {
				i = at[jobs[i].Follows]
			}
			return n
		}
		slices.SortStableFunc(m, func(a, b int) int { return deep(a) - deep(b) })
		out = append(out, m)
	}
	return out
}

// of is the effort of a kind.
func (w *Work) of(k Kind) Effort {
	switch k {
	case Weigh:
		return w.Weigh
	case PutIn:
		return w.PutIn
	case TakeOut:
		return w.TakeOut
	case Hang:
		return w.Hang
	case Drop:
		return w.Drop
	case TakeOff:
		return w.TakeOff
	case PutBack:
		return w.PutBack
	}
	return w.TakeDown
}

// copyTo makes another state the same as this one, in its own memory.
func (s *state) copyTo(o *state) {
	o.people, o.towers = copyLines(o.people, s.people), copyLines(o.towers, s.towers)
	if len(o.places) != len(s.places) {
		o.places = make([][]line, len(s.places))
	}
	for i := range s.places {
		o.places[i] = copyLines(o.places[i], s.places[i])
	}
	o.first = append(o.first[:0], s.first...)
}

func copyLines(to, from []line) []line {
	if len(to) != len(from) {
		to = make([]line, len(from))
	}
	for i := range from {
		to[i].busy = append(to[i].busy[:0], from[i].busy...)
	}
	return to
}
