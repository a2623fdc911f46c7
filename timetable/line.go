package timetable

// forever is later than any time of a plan, in seconds.
const forever = int64(1) << 50

// stretch is from one second up to another.
type stretch struct{ from, to int64 }

// line is when one tower, one place or one person is taken: in order, apart.
type line struct{ busy []stretch }

// after is the index of the first stretch that ends after t. It is asked for more
// than anything else, so it searches by itself.
func (l *line) after(t int64) int {
	low, high := 0, len(l.busy)
	for low < high {
		if mid := (low + high) / 2; l.busy[mid].to > t {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}

// next is the first time from t on at which the line is free for so long.
func (l *line) next(t, long int64) int64 {
	for i := l.after(t); i < len(l.busy); i++ {
		if t+long <= l.busy[i].from {
			return t
		}
		t = max(t, l.busy[i].to)
	}
	return t
}

// gap is the first time from t on from which the line is free until a given
// time, or, past that, free at all.
func (l *line) gap(t, until int64) int64 {
	for i := l.after(t); i < len(l.busy); i++ {
		if until <= l.busy[i].from && t <= l.busy[i].from {
			return t
		}
		t = max(t, l.busy[i].to)
	}
	return t
}

// free tells whether the line is free all the while.
func (l *line) free(from, to int64) bool {
	i := l.after(from)
	return i == len(l.busy) || l.busy[i].from >= to
}

// add takes a stretch that is free.
func (l *line) add(s stretch) {
	if s.to <= s.from {
		return
	}
	i := l.after(s.from)
	l.busy = append(l.busy, stretch{})
	copy(l.busy[i+1:], l.busy[i:])
	l.busy[i] = s
}

// remove gives a stretch back that add took.
func (l *line) remove(s stretch) {
	i := l.after(s.from)
	if i < len(l.busy) && l.busy[i] == s {
		l.busy = append(l.busy[:i], l.busy[i+1:]...)
	}
}

// closed is a line that is taken outside of what is open, which is in order.
func closed(open []stretch) line {
	var l line
	at := -forever
	for _, s := range open {
		if s.from > at {
			l.busy = append(l.busy, stretch{at, s.from})
		}
		at = max(at, s.to)
	}
	l.busy = append(l.busy, stretch{at, forever})
	return l
}
