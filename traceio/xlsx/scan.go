package xlsx

import (
	"bufio"
	"bytes"
	"errors"
	"html"
	"io"
	"strings"
)

// scanner goes over the tags and texts of one XML part. It knows what machines
// write into workbooks: elements, attributes, text, CDATA, comments. Prefixes of
// names are dropped. It does not check that tags match; who reads a part looks
// for the elements it knows.
type scanner struct {
	r       *bufio.Reader
	buf     []byte
	pending bool // the end of an empty element is still to come

	end   bool   // the token is an end tag
	start bool   // it is a start tag; neither: it is text
	name  []byte // of the tag, without prefix
	attrs []byte // of a start tag, as they stand
	raw   []byte // text, with its entities unless cdata
	cdata bool
}

var (
	errLong    = errors.New("more than 1 MiB stands between two tags")
	errDoctype = errors.New("it declares a document type, which a workbook does not")
)

func newScanner(r io.Reader) *scanner { return &scanner{r: bufio.NewReaderSize(r, 1<<16)} }

// next goes to the next token; io.EOF at the end.
func (s *scanner) next() error {
	if s.pending {
		s.pending, s.start, s.end = false, false, true
		return nil
	}
	s.start, s.end, s.cdata = false, false, false
	first, err := s.r.ReadByte()
	if err != nil {
		return err
	}
	s.buf = s.buf[:0]
	if first != '<' {
		_ = s.r.UnreadByte()
		if err := s.until('<'); err != nil && !(err == io.EOF && len(s.buf) > 0) {
			return err
		}
		if n := len(s.buf); n > 0 && s.buf[n-1] == '<' {
			_ = s.r.UnreadByte()
			s.buf = s.buf[:n-1]
		}
		s.raw = s.buf
		return nil
	}
	return s.tag()
}

// tag reads a tag whose '<' is read.
func (s *scanner) tag() error {
	if err := s.until('>'); err != nil {
		return cutOff(err)
	}
	switch {
	case bytes.HasPrefix(s.buf, []byte("!--")):
		return s.rest("--", func() error { return s.next() })
	case bytes.HasPrefix(s.buf, []byte("![CDATA[")):
		return s.rest("]]", func() error {
			s.raw, s.cdata = s.buf[len("![CDATA["):len(s.buf)-len("]]>")], true
			return nil
		})
	case bytes.HasPrefix(s.buf, []byte("?")):
		return s.next()
	case bytes.HasPrefix(s.buf, []byte("!")):
		return errDoctype
	}
	// A '>' may stand in an attribute.
	for bytes.Count(s.buf, []byte{'"'})%2 == 1 || bytes.Count(s.buf, []byte{'\''})%2 == 1 && bytes.Count(s.buf, []byte{'"'}) == 0 {
		if err := s.until('>'); err != nil {
			return cutOff(err)
		}
	}
	body := s.buf[:len(s.buf)-1]
	if len(body) > 0 && body[0] == '/' {
		s.end, body = true, body[1:]
	} else {
		s.start = true
		if n := len(body); n > 0 && body[n-1] == '/' {
			body, s.pending = body[:n-1], true
		}
	}
	s.name, s.attrs = body, nil
	if i := bytes.IndexAny(body, " \t\r\n"); i >= 0 {
		s.name, s.attrs = body[:i], body[i:]
	}
	if i := bytes.IndexByte(s.name, ':'); i >= 0 {
		s.name = s.name[i+1:]
	}
	return nil
}

// rest reads on until what was read ends in end and '>'.
func (s *scanner) rest(end string, then func() error) error {
	for !bytes.HasSuffix(s.buf[:len(s.buf)-1], []byte(end)) {
		if err := s.until('>'); err != nil {
			return cutOff(err)
		}
	}
	return then()
}

// until appends what comes up to and with a byte, within the limit.
func (s *scanner) until(stop byte) error {
	for {
		part, err := s.r.ReadSlice(stop)
		s.buf = append(s.buf, part...)
		if len(s.buf) > LongestText {
			return errLong
		}
		if err != bufio.ErrBufferFull {
			return err
		}
	}
}

func cutOff(err error) error {
	if err == io.EOF {
		return io.ErrUnexpectedEOF
	}
	return err
}

// is reports whether the token is the start tag of an element.
func (s *scanner) is(name string) bool { return s.start && string(s.name) == name }

// ends reports whether the token is the end tag of an element.
func (s *scanner) ends(name string) bool { return s.end && string(s.name) == name }

// attr is the value of an attribute of the start tag; its prefix does not
// matter.
func (s *scanner) attr(name string) string {
	rest := s.attrs
	for {
		eq := bytes.IndexByte(rest, '=')
		if eq < 0 {
			return ""
		}
		key := bytes.TrimSpace(rest[:eq])
		if i := bytes.LastIndexByte(key, ':'); i >= 0 {
			key = key[i+1:]
		}
		rest = bytes.TrimLeft(rest[eq+1:], " \t\r\n")
		if len(rest) == 0 || rest[0] != '"' && rest[0] != '\'' {
			return ""
		}
		end := bytes.IndexByte(rest[1:], rest[0])
		if end < 0 {
			return ""
		}
		value := rest[1 : 1+end]
		rest = rest[2+end:]
		if string(key) == name {
			return plain(value)
		}
	}
}

// text is the text of the token, "" for a tag.
func (s *scanner) text() string {
	switch {
	case s.start || s.end:
		return ""
	case s.cdata:
		return string(s.raw)
	}
	return plain(s.raw)
}

// plain takes out entities and whatever is no UTF-8.
func plain(raw []byte) string {
	t := strings.ToValidUTF8(string(raw), "?")
	if strings.IndexByte(t, '&') < 0 {
		return t
	}
	return html.UnescapeString(t)
}
