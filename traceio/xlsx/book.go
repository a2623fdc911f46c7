package xlsx

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"path"
	"strconv"
	"strings"

	"fallwright.example/problem"
)

// book is an open workbook.
type book struct {
	parts   map[string]*zip.File
	sheets  []*sheet
	shared  texts  // that cells refer to by number
	dated   []bool // cell style n shows a date or a time
	from04  bool   // days count from 1904 and not from 1900
	left    int64  // bytes that may still be unpacked
	allowed int64
}

// texts are many short texts in little memory.
type texts struct {
	all  []byte
	ends []uint32 // of each text in all
}

// of is text n, from 0.
func (t texts) of(n int) (string, bool) {
	if n < 0 || n >= len(t.ends) {
		return "", false
	}
	from := uint32(0)
	if n > 0 {
		from = t.ends[n-1]
	}
	return string(t.all[from:t.ends[n]]), true
}

// sheet is one sheet of the book.
type sheet struct {
	name string
	part string
}

var errUnpacked = errors.New("the workbook unpacks to more than is read")

// open takes the workbook apart, as far as it is wanted by every sheet.
func (s *source) open() error {
	z, err := zip.NewReader(bytes.NewReader(s.data), int64(len(s.data)))
	if err != nil {
		return s.whole(problem.Unreadable, "the file is no whole zip, which a workbook is").Hint("save the workbook again, or save the sheet as CSV")
	}
	b := &book{parts: map[string]*zip.File{}}
	b.allowed = min(MostUnpacked, max(LeastUnpacked, MostTimes*int64(len(s.data))))
	b.left = b.allowed
	for _, f := range z.File {
		b.parts[strings.TrimPrefix(strings.ToLower(f.Name), "/")] = f
	}
	s.book = b
	if b.parts["xl/workbook.bin"] != nil {
		return s.whole(problem.Unreadable, "the workbook is of the binary kind (xlsb)").Hint("save it as xlsx, or save the sheet as CSV")
	}
	if b.parts["xl/workbook.xml"] == nil {
		return s.whole(problem.Unreadable, "the file is a zip without a workbook in it").Hint("save the workbook again, or save the sheet as CSV")
	}
	for _, step := range []func() error{s.listSheets, s.styles, s.sharedTexts} {
		if err := step(); err != nil {
			return err
		}
	}
	if len(b.sheets) == 0 {
		return s.whole(problem.Unreadable, "the workbook has no sheet with cells").Hint("save the workbook again, or save the sheet as CSV")
	}
	return nil
}

// each goes over the tokens of a part; done ends it early.
func (s *source) each(part string, see func(x *scanner) (done bool, err error)) error {
	f := s.book.parts[part]
	if f == nil {
		return nil
	}
	r, err := f.Open()
	if err != nil {
		return s.broken(part, err)
	}
	defer r.Close()
	x := newScanner(&counted{r: r, left: &s.book.left})
	for {
		switch err := x.next(); {
		case err == io.EOF:
			return nil
		case err != nil:
			return s.broken(part, err)
		}
		done, err := see(x)
		if done || err != nil {
			return err
		}
	}
}

// broken refuses a part that cannot be unpacked or scanned.
func (s *source) broken(part string, err error) error {
	p := s.whole(problem.Unreadable, "its part %s cannot be unpacked: %v", part, err)
	switch {
	case errors.Is(err, errUnpacked):
		p.What = fmt.Sprintf("the workbook unpacks to more than %d MiB, the limit for a file of %d bytes (%d times its size, %d MiB at least, %d MiB at most)",
			s.book.allowed>>20, len(s.data), MostTimes, LeastUnpacked>>20, MostUnpacked>>20)
		return p.Hint("save the sheet as CSV")
	case errors.Is(err, errLong), errors.Is(err, errDoctype):
		p.What = "its part " + part + " is not read: " + err.Error()
	case errors.Is(err, io.ErrUnexpectedEOF):
		p.What = "its part " + part + " is cut off"
	}
	return p.Hint("save the workbook again, or save the sheet as CSV")
}

// counted counts down how many bytes may still be unpacked.
type counted struct {
	r    io.Reader
	left *int64
}

func (c *counted) Read(b []byte) (int, error) {
	if *c.left <= 0 {
		return 0, errUnpacked
	}
	n, err := c.r.Read(b[:min(int64(len(b)), *c.left)])
	*c.left -= int64(n)
	return n, err
}

// listSheets reads the sheets' names and finds their parts.
func (s *source) listSheets() error {
	targets := map[string]string{}
	err := s.each("xl/_rels/workbook.xml.rels", func(x *scanner) (bool, error) {
		if x.is("Relationship") && strings.HasSuffix(x.attr("Type"), "/worksheet") {
			to := x.attr("Target")
			if !strings.HasPrefix(to, "/") {
				to = "xl/" + to
			}
			targets[x.attr("Id")] = strings.ToLower(strings.TrimPrefix(path.Clean(to), "/"))
		}
		return false, nil
	})
	if err != nil {
		return err
	}
	return s.each("xl/workbook.xml", func(x *scanner) (bool, error) {
		if x.is("workbookPr") {
			s.book.from04 = x.attr("date1904") == "1" || x.attr("date1904") == "true"
		}
		if !x.is("sheet") {
			return false, nil
		}
		if part := targets[x.attr("id")]; s.book.parts[part] != nil {
			if len(s.book.sheets) == MostSheets {
				return true, s.whole(problem.Unreadable, "the workbook has more than %d sheets, which is our limit", MostSheets).Hint("save the sheet that is wanted in a book of its own")
			}
			s.book.sheets = append(s.book.sheets, &sheet{name: x.attr("name"), part: part})
		}
		return false, nil
	})
}

// mostStyles is the format's own limit on cell styles, rounded up.
const mostStyles = 1 << 16

// styles finds out which cell styles show a date or a time.
func (s *source) styles() error {
	codes := map[int]bool{}
	inCells := false
	return s.each("xl/styles.xml", func(x *scanner) (bool, error) {
		switch {
		case x.is("numFmt"):
			id, err := strconv.Atoi(x.attr("numFmtId"))
			if err == nil && len(codes) < mostStyles {
				codes[id] = showsDate(x.attr("formatCode"))
			}
		case x.is("cellXfs"):
			inCells = true
		case x.ends("cellXfs"):
			return true, nil
		case x.is("xf") && inCells && len(s.book.dated) < mostStyles:
			id, _ := strconv.Atoi(x.attr("numFmtId"))
			own, known := codes[id]
			s.book.dated = append(s.book.dated, known && own || !known && builtInDate(id))
		}
		return false, nil
	})
}

// builtInDate reports whether a number format that the format itself defines
// shows a date or a time [ECMA376, 18.8.30]; 27 to 36 and 50 to 58 do in East
// Asian editions.
func builtInDate(id int) bool {
	return id >= 14 && id <= 22 || id >= 27 && id <= 36 || id >= 45 && id <= 47 || id >= 50 && id <= 58
}

// showsDate reports whether a number format shows a date or a time: a letter of
// one outside quotes, escapes and brackets, or elapsed time in brackets.
func showsDate(code string) bool {
	code = strings.ToLower(code)
	quoted := false
	for i := 0; i < len(code); i++ {
		switch c := code[i]; {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\\' || c == '_' || c == '*':
			i++
		case c == '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return false
			}
			if strings.Trim(code[i+1:i+end], "hms") == "" && end > 1 {
				return true
			}
			i += end
		case strings.IndexByte("dmyhs", c) >= 0:
			return true
		}
	}
	return false
}

// sharedTexts reads the texts that cells refer to by number. Their memory is
// bounded by six times the file, above a mebibyte; our own limit.
func (s *source) sharedTexts() error {
	const number = 4 // bytes of a text beside itself
	room := 6*len(s.data) + 1<<20
	t := &s.book.shared
	phonetic := false
	return s.each("xl/sharedstrings.xml", func(x *scanner) (bool, error) {
		switch {
		case x.is("rPh"):
			phonetic = true
		case x.ends("rPh"):
			phonetic = false
		case x.ends("si"):
			t.ends = append(t.ends, uint32(len(t.all)))
		case !phonetic && !x.start && !x.end:
			t.all = append(t.all, x.text()...)
		}
		if len(t.all)+number*len(t.ends) > room {
			return true, s.whole(problem.Unreadable, "the texts of the workbook take more than 6 times the file, which is our limit").Hint("save the sheet as CSV")
		}
		return false, nil
	})
}
