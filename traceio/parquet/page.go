package parquet

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"io"

	"github.com/andybalholm/brotli"
	"github.com/klauspost/compress/snappy"
	"github.com/klauspost/compress/zstd"
	"github.com/pierrec/lz4/v4"

	"fallwright.example/problem"
	"fallwright.example/traceio"
)

// page is the head of one page.
type page struct {
	kind             int
	unpacked, packed int
	values           int
	encoding         int
	levels           int // of a data page of the second kind: bytes of its levels
	repetition       int
	packedData       bool // likewise: its values are compressed
	levelEncoding    int  // of a data page of the first kind
	hasHead          bool
}

// The kinds of page.
const (
	dataPage       = 0
	indexPage      = 1
	dictionaryPage = 2
	dataPage2      = 3
)

// head reads the head of a page and returns it with the bytes that follow.
func head(b []byte) (page, []byte, bool) {
	p := page{kind: -1, packedData: true}
	t := &thrift{b: b}
	t.fields(func(id int, kind byte) bool {
		switch {
		case id == 5 && kind == isStruct, id == 7 && kind == isStruct, id == 8 && kind == isStruct:
			p.hasHead = true
			p.values = -1
			t.fields(func(part int, kind byte) bool { return p.part(t, id, part, kind) })
		case kind != isI32:
			return false
		case id == 1:
			p.kind = t.i32()
		case id == 2:
			p.unpacked = t.i32()
		case id == 3:
			p.packed = t.i32()
		default:
			return false
		}
		return true
	})
	ok := !t.bad && p.packed >= 0 && p.unpacked >= 0 && p.packed <= len(t.b) && (p.kind == indexPage || p.hasHead && p.values >= 0) &&
		p.levels >= 0 && p.repetition >= 0 && p.levels <= p.packed && p.levels <= p.unpacked
	return p, t.b, ok
}

// part reads a field of the part of a head that belongs to the kind of page.
func (p *page) part(t *thrift, of, id int, kind byte) bool {
	if of == 8 && id == 7 {
		p.packedData = kind == isTrue
		return false
	}
	if kind != isI32 {
		return false
	}
	v := t.i32()
	switch {
	case id == 1:
		p.values = v
	case of != 8 && id == 2:
		p.encoding = v
	case of == 5 && id == 3:
		p.levelEncoding = v
	case of == 8 && id == 4:
		p.encoding = v
	case of == 8 && id == 5:
		p.levels = v
	case of == 8 && id == 6:
		p.repetition = v
	}
	return true
}

// Codecs.
var codecNames = []string{"none", "snappy", "gzip", "LZO", "brotli", "LZ4 (Hadoop)", "zstd", "LZ4"}

// unpack uncompresses bytes that have to come to exactly size.
func (s *source) unpack(codec int, b []byte, size int) ([]byte, error) {
	if most := max(LeastPage, MostPageTimes*len(s.data)); size > most {
		return nil, s.refuse(problem.Unreadable, "", "a page of the file unpacks to %d MiB, the limit is %d MiB (%d times the file, %d MiB at least)", size>>20, most>>20, MostPageTimes, LeastPage>>20).
			Hint("write the file again with smaller pages")
	}
	out, err := uncompress(codec, b, size)
	switch {
	case err == errCodec:
		name := fmt.Sprint(codec)
		if codec >= 0 && codec < len(codecNames) {
			name = codecNames[codec]
		}
		return nil, s.refuse(problem.Unreadable, "", "the file is compressed with %s, which is not read", name).
			Hint("write the file again with zstd, snappy or gzip, or uncompressed")
	case err != nil || len(out) != size:
		return nil, s.damaged("a page does not unpack to the %d bytes that it says", size)
	}
	return out, nil
}

var errCodec = fmt.Errorf("codec")

func uncompress(codec int, b []byte, size int) ([]byte, error) {
	switch codec {
	case 0:
		return b, nil
	case 1:
		if n, err := snappy.DecodedLen(b); err != nil || n != size {
			return nil, io.ErrUnexpectedEOF
		}
		return snappy.Decode(make([]byte, size), b)
	case 2:
		r, err := gzip.NewReader(bytes.NewReader(b))
		if err != nil {
			return nil, err
		}
		return exactly(r, size)
	case 4:
		return exactly(brotli.NewReader(bytes.NewReader(b)), size)
	case 6:
		r, err := zstd.NewReader(bytes.NewReader(b), zstd.WithDecoderConcurrency(1), zstd.WithDecoderLowmem(true), zstd.WithDecoderMaxWindow(LeastPage))
		if err != nil {
			return nil, err
		}
		defer r.Close()
		return exactly(r, size)
	case 7:
		out := make([]byte, size)
		n, err := lz4.UncompressBlock(b, out)
		return out[:max(0, min(n, size))], err
	}
	return nil, errCodec
}

// exactly reads size bytes, after which there has to be nothing more.
func exactly(r io.Reader, size int) ([]byte, error) {
	out := make([]byte, size)
	if _, err := io.ReadFull(r, out); err != nil {
		return nil, err
	}
	if n, err := r.Read(make([]byte, 1)); n > 0 || err != nil && err != io.EOF {
		return nil, io.ErrShortBuffer
	}
	return out, nil
}

// pages goes over the pages of a chunk and appends its values to d.
func (s *source) pages(c chunk, d *decoder) error {
	b, err := s.bytes(c, d.title)
	if err != nil {
		return err
	}
	d.dictionary = nil
	left := c.values
	for left > 0 {
		p, rest, ok := head(b)
		if !ok {
			return s.damaged("the head of a page of column %q cannot be read", traceio.Shorten(d.title))
		}
		body := rest[:p.packed]
		b = rest[p.packed:]
		switch p.kind {
		case indexPage:
			continue
		case dictionaryPage:
			if body, err = s.unpack(c.codec, body, p.unpacked); err != nil {
				return err
			}
			if !d.readDictionary(body, p) {
				return d.broken("its dictionary cannot be read")
			}
			continue
		case dataPage, dataPage2:
		default:
			return s.damaged("a page of column %q is of kind %d", traceio.Shorten(d.title), p.kind)
		}
		if int64(p.values) > left || p.values == 0 && len(b) == 0 {
			return d.broken("a page has more values than its column")
		}
		left -= int64(p.values)
		if err := s.data2(c, d, p, body); err != nil {
			return err
		}
	}
	return nil
}

// data2 unpacks one data page of either kind and decodes it.
func (s *source) data2(c chunk, d *decoder, p page, body []byte) error {
	var levels []byte
	var err error
	if p.kind == dataPage2 {
		levels = body[:p.levels]
		body = body[p.levels:]
		if p.repetition > 0 {
			return d.broken("it has repeated values")
		}
		if p.packedData && c.codec != 0 && len(body) > 0 {
			if body, err = s.unpack(c.codec, body, p.unpacked-p.levels); err != nil {
				return err
			}
		}
		return d.page(p, levels, body)
	}
	if body, err = s.unpack(c.codec, body, p.unpacked); err != nil {
		return err
	}
	if !d.optional {
		return d.page(p, nil, body)
	}
	const rle = 3
	if p.levelEncoding != rle || len(body) < 4 || uint64(binary.LittleEndian.Uint32(body)) > uint64(len(body)-4) {
		return d.broken("which of its values are there cannot be read")
	}
	n := int(binary.LittleEndian.Uint32(body))
	return d.page(p, body[4:4+n], body[4+n:])
}
