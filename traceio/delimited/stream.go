package delimited

import (
	"bytes"
	"errors"
	"io"
	"sync"
	"unicode/utf8"

	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// A file that is nothing but a head and plain rows of a time and a force needs not
// be held to be read, nor looked through for what is odd: its head tells the layout,
// and the rows are read from pieces that stay in the processor's cache. For any
// other the whole is read, so that what is odd in a file is found, mended or refused
// in one place.

const (
	streamHead  = 1 << 20   // that is looked at
	streamPiece = 256 << 10 // read at a time
	streamOver  = 4 << 10   // read beyond a piece, for the end of its last row
)

// errHeld says that a file has to be held to be read.
var errHeld = errors.New("not plain throughout")

// ReadLong is Read of a long file without holding it; ok is false where it has to
// be held, or is refused.
func (f Format) ReadLong(name string, from io.ReaderAt, size int64, ask trace.Ask) (file *trace.File, ok bool) {
	return f.stream(name, from, size, ask, streamHead, streamPiece)
}

func (f Format) stream(name string, from io.ReaderAt, size int64, ask trace.Ask, head int64, piece int) (*trace.File, bool) {
	file := &trace.File{Layout: trace.Layout{Format: f.Name()}}
	raw, err := bytesOf(from, nil, 0, min(size, head))
	if err != nil || traceio.Check(name, ask) != nil {
		return nil, false
	}
	raw = raw[:bytes.LastIndexByte(raw, '\n')+1]
	if start := bytes.TrimSpace(raw); len(start) == 0 || !endsInPair(raw) || bytes.IndexByte([]byte("{[<"), start[0]) >= 0 {
		return nil, false // what begins with these shows at its end
	}
	data, encoding := decode(raw)
	if !bytes.HasSuffix(raw, data) {
		return nil, false // it was brought to another form
	}
	file.Layout.Facts = []trace.Fact{encoding}
	s := source{
		name: name, ask: ask, data: data, layout: &file.Layout, glance: true, chunk: piece,
		rest: &rest{from: from, size: size, lead: int64(len(raw) - len(data)), piece: piece},
	}
	parts, _, err := s.read()
	if err != nil {
		traceio.GiveBack(s.rest.rooms...)
		return nil, false
	}
	file.Parts = parts
	return file, true
}

// endsInPair reports whether the last of some lines seems to be two numbers: a quick
// look.
func endsInPair(lines []byte) bool {
	line := bytes.TrimRight(lines, "\r\n")
	line = line[bytes.LastIndexByte(line, '\n')+1:]
	commas, others := 0, 0
	for _, c := range line {
		switch {
		case c-'0' <= 9 || c == '.' || c == '-' || c == '+' || c|0x20 == 'e':
		case c == ',':
			commas++
		case c == ';' || c == '\t' || c == '|':
			others++
		default:
			return false
		}
	}
	return others == 1 || others == 0 && commas == 1
}

// held is a file that is in memory.
type held []byte

func (h held) ReadAt(room []byte, at int64) (int, error) {
	n := copy(room, h[at:])
	if n < len(room) {
		return n, io.EOF
	}
	return n, nil
}

// bytesOf are some bytes of a file: its own where it is in memory, else read to the
// room.
func bytesOf(from io.ReaderAt, room []byte, at, to int64) ([]byte, error) {
	if h, ok := from.(held); ok {
		return h[at:to:to], nil
	}
	if room == nil {
		room = make([]byte, to-at)
	}
	n, err := from.ReadAt(room[:to-at], at)
	if int64(n) < to-at {
		return nil, err // shorter by now than it was
	}
	return room[:n], nil
}

// rest is a file of which source.data is but the head.
type rest struct {
	from  io.ReaderAt
	size  int64
	lead  int64 // bytes before source.data
	piece int
	rooms [][]float64 // that the rows are read to
	large bool        // a force may be a code of a missing sample
}

// plainAll reports whether all that has to be known of a table stands in its head,
// if the rest of the file is plain rows.
func (r *rows) plainAll(p plain) bool {
	return p.paired && len(r.columns) == 2 && !r.whole
}

// readRest reads all rows from the file, on all cores.
func (r *rows) readRest() error {
	p, ok := r.plainly()
	begin := r.rest.lead + int64(len(r.data)-len(r.body))
	if !ok || !r.plainAll(p) || begin == 0 { // each piece needs the byte before it
		return errHeld
	}
	pieces := int((r.rest.size - begin + int64(r.rest.piece) - 1) / int64(r.rest.piece))
	rows := int64(bytes.Count(r.body, []byte("\n")))
	most := int((r.rest.size-begin)*rows/int64(len(r.body))*9/8) + 16 // if the rows go on about as long
	r.times, r.forces = traceio.Room(most), traceio.Room(most)
	r.rest.rooms = [][]float64{r.times, r.forces}
	read := make([]piece, pieces)
	lines := make([]chan int, pieces+1) // before a piece, as soon as they are known
	for k := range lines {
		lines[k] = make(chan int, 1)
	}
	lines[0] <- 0
	rooms := sync.Pool{New: func() any {
		if _, ok := r.rest.from.(held); ok {
			return new([]byte)
		}
		room := make([]byte, 1+r.rest.piece+streamOver)
		return &room
	}}
	inParallel(pieces, func(k int) {
		room := rooms.Get().(*[]byte)
		defer rooms.Put(room)
		c := &read[k]
		c.load(r.rest, *room, begin, k)
		c.first = <-lines[k]
		lines[k+1] <- c.first + c.rows
		if to := c.first + c.rows; to <= min(cap(r.forces), cap(r.times)) {
			c.read, c.next, c.falls = p.read(c.data, c.from, c.to, r.times[c.first:to], r.forces[c.first:to])
			c.large = traceio.MayMiss(r.forces[c.first : c.first+c.read])
		}
		c.keepTail(k == pieces-1)
	})
	return r.join(read)
}

// piece is the rows that begin in some bytes of a file, and what came of them.
type piece struct {
	data     []byte // with the byte before, and some after
	from, to int    // of its rows
	first    int    // rows before it
	rows     int    // line ends in it
	read     int
	next     int // after the rows read
	falls    bool
	large    bool   // a force may be a code of a missing sample
	odd      bool   // it cannot be cut into rows
	tail     []byte // what is left to be read
}

// load reads piece k of what begins at a byte of a file.
func (c *piece) load(from *rest, room []byte, begin int64, k int) {
	at := begin + int64(k)*int64(from.piece)
	data, err := bytesOf(from.from, room, at-1, min(at+int64(from.piece+streamOver), from.size))
	if err != nil {
		c.odd = true
		return
	}
	c.data = data
	ends := at-1+int64(len(data)) == from.size
	c.from, c.to = rowAfter(data, 0, ends), rowAfter(data, from.piece, ends)
	if c.odd = c.from < 0 || c.to < 0; !c.odd {
		c.next = c.from
		c.rows = bytes.Count(c.data[c.from:c.to], []byte("\n"))
	}
}

// rowAfter is where a row begins behind the first line end from a byte on, or the
// file ends; -1 where there is neither.
func rowAfter(data []byte, at int, ends bool) int {
	n := bytes.IndexByte(data[min(at, len(data)):], '\n')
	switch {
	case n >= 0:
		return at + n + 1
	case ends:
		return len(data)
	}
	return -1
}

// keepTail lets go of the bytes of a piece, but for what is left of the last or has
// no line end.
func (c *piece) keepTail(last bool) {
	if !c.odd && (last || c.read == c.rows) {
		c.tail = bytes.Clone(c.data[c.next:c.to])
	}
	c.data = nil
}

// join puts the pieces together; what is left of the last is read as other rows
// are.
func (r *rows) join(read []piece) error {
	n := 0
	var tail []byte
	for k, c := range read {
		if c.odd || c.falls || len(tail) > 0 && c.from < c.to || c.read < c.rows && k < len(read)-1 {
			return errHeld
		}
		if c.read > 0 && n > 0 && !(r.times[:n+1][n] > r.times[:n][n-1]) {
			return errHeld
		}
		n += c.read
		r.rest.large = r.rest.large || c.large || len(c.tail) > 0
		if len(c.tail) > 0 {
			tail = c.tail
		}
	}
	r.times, r.forces = r.times[:n], r.forces[:n]
	r.no += n
	r.lastRow = r.no
	if bytes.ContainsFunc(tail, func(c rune) bool { return c == 0 || c >= utf8.RuneSelf }) {
		return errHeld
	} else if err := r.walk(tail, 0); err != nil {
		return err
	}
	if r.falls || len(r.breaks) > 0 || r.ended.rows > 0 || r.short.rows > 0 {
		return errHeld
	}
	return nil
}
