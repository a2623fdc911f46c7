package delimited

import (
	"bytes"
	"math"
)

// Plain rows are those that quick reads too, and most of a file is nothing else.
// They are read many at a time, in long files on all cores. Any other row ends a
// stretch of them, and walk takes it from there one by one: what is odd in a file
// is found, mended or refused in one place.

// plain is how the plain rows of a table are laid out.
type plain struct {
	delim, mark byte
	lo, hi      int  // wanted columns from 0, in order; lo is -1 where there is one
	swapped     bool // the force stands before the time
	after       int  // delimiters behind the last wanted cell
	padded      bool // the row ends with one
	paired      bool // a row is time and force and nothing else
}

// plainly is the layout of the table's plain rows; ok is false where there are
// none.
func (r *rows) plainly() (p plain, ok bool) {
	p = plain{delim: r.delim, mark: r.mark, lo: r.t, hi: r.f, after: r.usual - 1 - r.last, padded: r.padded}
	if p.swapped = r.t > r.f; p.swapped {
		p.lo, p.hi = r.f, r.t
	}
	p.paired = p.lo == 0 && p.hi == 1 && !p.swapped && p.after == 0
	aside := r.stretch.column.No > 0 || r.gate.column.No > 0
	return p, r.chunk > 0 && !r.careful && !aside && r.until == 0 && r.delim != spaces && r.delim != fixed && p.after >= 0
}

// read reads rows from b[at] on, up to the first that begins at b[to] or later,
// is not plain or has no place in forces. times is as long as forces, or empty
// where the table has none. falls is true where a time is no later than the one
// before.
func (p plain) read(b []byte, at, to int, times, forces []float64) (n, next int, falls bool) {
	var shapes [2]shape
	last := math.Inf(-1)
	for n < len(forces) && at < to {
		if p.paired && n > 0 {
			k, after, fell := p.pairs(b, at, to, &shapes, last, times[n:], forces[n:])
			if at, falls = after, falls || fell; k > 0 {
				n += k
				last = times[n-1]
				continue
			}
		}
		var first, second float64
		i, ok := at, true
		if p.lo >= 0 {
			if p.lo > 0 {
				if i, ok = p.skip(b, i, p.lo); !ok {
					break
				}
			}
			if first, i, ok = shapes[0].number(b, i, p.mark); !ok || i >= len(b) || b[i] != p.delim {
				break
			}
			i++
		}
		if p.hi-p.lo > 1 {
			if i, ok = p.skip(b, i, p.hi-p.lo-1); !ok {
				break
			}
		}
		if second, i, ok = shapes[1].number(b, i, p.mark); !ok || i >= len(b) {
			break
		}
		if i++; p.after > 0 || b[i-1] != '\n' {
			if i, ok = p.end(b, i-1); !ok {
				break
			}
		}
		if i-at > longestLine {
			break
		}
		at = i
		if p.swapped {
			first, second = second, first
		}
		if p.lo >= 0 {
			falls = falls || !(first > last)
			last, times[n] = first, first
		}
		forces[n] = second
		n++
	}
	return n, at, falls
}

// skip passes over cells that are not wanted. A word in the first column is not
// passed over.
func (p plain) skip(b []byte, i, cells int) (next int, ok bool) {
	if i < len(b) && (i == 0 || b[i-1] == '\n') && (b[i] > '9' || b[i] == '#' || b[i] == '%') {
		return 0, false
	}
	for ; cells > 0; cells-- {
		for i < len(b) && b[i] != p.delim && b[i] != '\n' {
			i++
		}
		if i == len(b) || b[i] != p.delim {
			return 0, false
		}
		i++
	}
	return i, true
}

// end is the row after that whose wanted cells end at b[i], and not with a line
// feed.
func (p plain) end(b []byte, i int) (next int, ok bool) {
	if p.after == 0 {
		return i + 2, i+1 < len(b) && b[i] == '\r' && b[i+1] == '\n'
	}
	n := bytes.IndexByte(b[i:], '\n')
	if n < 1 || b[i] != p.delim {
		return 0, false
	}
	rest := bytes.TrimSuffix(b[i:i+n], []byte("\r"))
	if p.padded && rest[len(rest)-1] != p.delim {
		return 0, false
	}
	return i + n + 1, bytes.Count(rest, []byte{p.delim}) == p.after
}

// calm reports whether nothing that stands above bears on the next row.
func (r *rows) calm() bool { return !r.blank && r.ended.rows == 0 && r.short.rows == 0 }

// plain reads the plain rows from body[at] on for which there is room, and
// returns the byte after them.
func (r *rows) plain(p plain, body []byte, at int) int {
	n, most := len(r.forces), cap(r.forces)
	if r.t >= 0 {
		most = min(most, cap(r.times))
	}
	forces, times := r.forces[:most], r.times[:min(most, cap(r.times))]
	c := chunk{from: at, to: len(body), line: n, rows: most - n}
	c.fill(p, body, r.no-n, times, forces)
	r.gather(c, forces, times)
	return c.next
}

// gather takes in the rows of a chunk that is read.
func (r *rows) gather(c chunk, forces, times []float64) {
	n := len(r.forces)
	if c.read > 0 && r.t >= 0 {
		r.falls = r.falls || c.falls || n > 0 && !(times[n] > times[n-1])
	}
	r.ways = append(r.ways, c.ways...)
	r.forces = forces[:n+c.read]
	if r.t >= 0 {
		r.times = times[:n+c.read]
	}
	if c.read > 0 {
		r.no += c.read
		r.lastRow = r.no
	}
}

// chunk is some whole lines of a long file, and what came of them.
type chunk struct {
	from, to   int // bytes of the body
	line, rows int // lines before it, and in it
	read, next int // rows read, and the byte after them
	falls      bool
	ways       []way
}

// together reads the plain rows that a long body begins with on all cores, and
// returns the byte after them. There is room for all lines in r.forces.
func (r *rows) together(p plain, body []byte) int {
	chunks := chunked(body, r.chunk)
	inParallel(len(chunks), func(k int) {
		c := &chunks[k]
		c.rows = bytes.Count(body[c.from:c.to], []byte("\n"))
	})
	lines := 0
	for k := range chunks {
		chunks[k].line = lines
		lines += chunks[k].rows
	}
	if lines > cap(r.forces) {
		return 0
	}
	forces, times := r.forces[:lines], r.times
	if r.t >= 0 {
		times = r.times[:lines]
	}
	inParallel(len(chunks), func(k int) { chunks[k].fill(p, body, r.no, times, forces) })
	at := 0
	for _, c := range chunks {
		r.gather(c, forces, times)
		at = c.next
		if c.next < c.to {
			break
		}
	}
	return at
}

// chunked cuts a body into chunks of so many bytes and more, at line ends.
func chunked(body []byte, size int) []chunk {
	var out []chunk
	for from := 0; from < len(body); {
		to := len(body)
		if from+size < to {
			if n := bytes.IndexByte(body[from+size:], '\n'); n >= 0 {
				to = from + size + n + 1
			}
		}
		out = append(out, chunk{from: from, to: to})
		from = to
	}
	return out
}

// fill reads the rows of a chunk into their places, in stretches that end where
// a way has to be noted.
func (c *chunk) fill(p plain, body []byte, no int, times, forces []float64) {
	c.next = c.from
	for c.read < c.rows {
		from := c.line + c.read
		if from%waySamples == 0 {
			c.ways = append(c.ways, way{c.next, no + from})
		}
		to := min(c.line+c.rows, (from/waySamples+1)*waySamples)
		var t []float64
		if p.lo >= 0 {
			t = times[from:to]
		}
		n, next, falls := p.read(body, c.next, c.to, t, forces[from:to])
		if n > 0 && c.read > 0 && p.lo >= 0 && !(times[from] > times[from-1]) {
			falls = true
		}
		c.read, c.next, c.falls = c.read+n, next, c.falls || falls
		if from+n < to {
			if n == 0 && from%waySamples == 0 {
				c.ways = c.ways[:len(c.ways)-1] // it has no sample
			}
			return
		}
	}
}
