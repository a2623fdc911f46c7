package delimited

import "bytes"

// A clock brings times of day to seconds since the midnight before the first
// of them. With a date, days are counted from the first one's; without, a time
// that falls by more than half a day has passed midnight.
type clock struct {
	begun bool
	day   int     // of the first stamp, where stamps have dates
	last  float64 // s of the last stamp
	past  float64 // s of the midnights passed without a date
}

const secondsADay = 86400

// seconds brings the next stamp to seconds; ok is false where cell is none.
func (c *clock) seconds(cell []byte) (float64, bool) {
	s, ok := readStamp(cell)
	if !ok {
		return 0, false
	}
	if !c.begun {
		c.begun, c.day = true, s.day
	}
	v := s.seconds
	if s.dated {
		v += float64(s.day-c.day) * secondsADay
	} else {
		if v+c.past < c.last-secondsADay/2 {
			c.past += secondsADay
		}
		v += c.past
	}
	c.last = v
	return v, true
}

// stamp is a time of day, perhaps with its date.
type stamp struct {
	seconds float64 // since midnight; of UTC where the stamp states its zone
	day     int     // days since 1 January 1970
	dated   bool
}

// readStamp reads "12:03:04.250", "03:04.250", "12:03:04,25", "12:03:04 PM",
// "2026-03-01T12:03:04.25Z", "2026-03-01 12:03:04+01:00", "1.3.2026 12:03:04".
// In a date with strokes nobody knows the day from the month: it is passed over.
func readStamp(cell []byte) (s stamp, ok bool) {
	if len(cell) < len("1:02.3") || len(cell) > 48 {
		return s, false
	}
	if i := bytes.IndexAny(cell, "T t"); i >= len("1.3.26") && bytes.IndexByte(cell[:i], ':') < 0 {
		if s.day, s.dated, ok = readDate(cell[:i]); !ok {
			return s, false
		}
		cell = bytes.TrimLeft(cell[i+1:], " ")
	}
	v, rest, ok := readTime(cell)
	if !ok {
		v, rest, ok = readMinutes(cell)
	}
	if !ok {
		return s, false
	}
	s.seconds = v
	return s.zone(bytes.TrimSpace(rest))
}

// zone reads what may follow a time: a zone, or AM and PM.
func (s stamp) zone(rest []byte) (stamp, bool) {
	if len(rest) == 0 {
		return s, true
	}
	switch word := string(bytes.ToUpper(rest)); {
	case word == "Z", word == "UTC":
		return s, true
	case word == "AM" && s.seconds < 13*3600:
		if s.seconds >= 12*3600 {
			s.seconds -= 12 * 3600
		}
		return s, true
	case word == "PM" && s.seconds < 13*3600:
		if s.seconds < 12*3600 {
			s.seconds += 12 * 3600
		}
		return s, true
	case rest[0] != '+' && rest[0] != '-':
		return s, false
	}
	h, after, ok := digits(rest[1:], 2)
	if !ok {
		return s, false
	}
	m := 0
	if after = bytes.TrimPrefix(after, []byte(":")); len(after) > 0 {
		if m, after, ok = digits(after, 2); !ok || len(after) > 0 {
			return s, false
		}
	}
	offset := float64(h*3600 + m*60)
	if rest[0] == '-' {
		offset = -offset
	}
	s.seconds -= offset
	return s, true
}

// readTime reads hours, minutes and seconds with their decimals.
func readTime(b []byte) (seconds float64, rest []byte, ok bool) {
	n := min(leading(b), 2)
	h, b, ok := digits(b, n)
	if !ok || h > 24 || len(b) == 0 || b[0] != ':' {
		return 0, nil, false
	}
	m, b, ok := digits(b[1:], 2)
	if !ok || m > 59 || len(b) == 0 || b[0] != ':' {
		return 0, nil, false
	}
	n = leading(b[1:])
	if n != 2 {
		return 0, nil, false
	}
	whole := float64(h*3600 + m*60)
	end := 1 + n
	if end+1 < len(b) && (b[end] == '.' || b[end] == ',' || b[end] == ':') && leading(b[end+1:]) > 0 {
		end += 1 + leading(b[end+1:])
		fraction := bytes.Clone(b[1:end])
		fraction[n] = '.'
		v, next, ok := number(fraction, 0, '.')
		return whole + v, b[end:], ok && next == len(fraction) && v < 61
	}
	v, _, ok := number(b[1:end], 0, '.')
	return whole + v, b[end:], ok && v < 61
}

// readMinutes reads minutes and seconds with their decimals: "03:04.250".
// Without decimals they may as well be hours and minutes.
func readMinutes(b []byte) (seconds float64, rest []byte, ok bool) {
	i := bytes.IndexAny(b, ".,")
	if i < 0 || bytes.Count(b[:i], []byte(":")) != 1 {
		return 0, nil, false
	}
	return readTime(append([]byte("0:"), b...))
}

// readDate reads year, month, day with hyphens or nothing between, or day,
// month, year with points.
func readDate(b []byte) (day int, dated, ok bool) {
	sep := bytes.IndexAny(b, "-./")
	if sep < 0 {
		return 0, false, false
	}
	parts := bytes.Split(b, b[sep:sep+1])
	if len(parts) != 3 {
		return 0, false, false
	}
	var v [3]int
	for i, p := range parts {
		var rest []byte
		if v[i], rest, ok = digits(p, leading(p)); !ok || len(rest) > 0 || len(p) > 4 {
			return 0, false, false
		}
	}
	switch {
	case len(parts[0]) == 4:
		return days(v[0], v[1], v[2]), true, true
	case b[sep] == '.' && len(parts[2]) == 4:
		return days(v[2], v[1], v[0]), true, true
	}
	return 0, false, true
}

// days counts from 1 January 1970 in the Gregorian calendar: years begin in
// March, so that the leap day is the last of them, and 153 days make five
// months.
func days(year, month, day int) int {
	if month <= 2 {
		year, month = year-1, month+12
	}
	return 365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day - 719469
}

// digits reads a whole number of n digits.
func digits(b []byte, n int) (v int, rest []byte, ok bool) {
	if n < 1 || n > 9 || leading(b) < n {
		return 0, nil, false
	}
	for _, c := range b[:n] {
		v = 10*v + int(c-'0')
	}
	return v, b[n:], true
}
