package html

import (
	"bytes"
	"encoding/xml"
	"io"
	"slices"
	"strings"
	"testing"

	"fallwright.example/study"
)

func written(t testing.TB, r study.Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// element is one tag of a page.
type element struct {
	name   string
	attrs  map[string]string
	text   []byte   // of everything inside
	inside []string // names of what it stands in
}

var void = []string{"meta", "link", "br", "hr", "img", "input"}

// parse reads a page tag by tag and fails on one that is not closed in order.
func parse(t testing.TB, page string) []*element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.Entity = false, xml.HTMLEntity
	var all, open []*element
	for {
		token, err := d.RawToken()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch k := token.(type) {
		case xml.StartElement:
			e := &element{name: k.Name.Local, attrs: map[string]string{}}
			for _, a := range k.Attr {
				e.attrs[a.Name.Local] = a.Value
			}
			for _, o := range open {
				e.inside = append(e.inside, o.name)
			}
			all = append(all, e)
			if !slices.Contains(void, e.name) {
				open = append(open, e)
			}
		case xml.EndElement:
			if slices.Contains(void, k.Name.Local) {
				continue
			}
			if len(open) == 0 || open[len(open)-1].name != k.Name.Local {
				t.Fatalf("line %d: </%s> closes nothing that is open", line(d), k.Name.Local)
			}
			open = open[:len(open)-1]
			if !slices.Contains([]string{"b", "s", "small", "span", "a", "i", "code", "strong"}, k.Name.Local) {
				for _, o := range open {
					o.text = append(o.text, ' ')
				}
			}
		case xml.CharData:
			for _, o := range open {
				o.text = append(o.text, k...)
			}
		}
	}
	if len(open) > 0 {
		t.Fatalf("<%s> is never closed", open[len(open)-1].name)
	}
	return all
}

func line(d *xml.Decoder) int { n, _ := d.InputPos(); return n }

func named(all []*element, names ...string) []*element {
	var out []*element
	for _, e := range all {
		if slices.Contains(names, e.name) {
			out = append(out, e)
		}
	}
	return out
}

// said is what a reader can read, with the spaces that hold a number and its
// unit together as plain ones.
func said(all []*element) string {
	text := string(named(all, "body")[0].text)
	return strings.Join(strings.Fields(strings.ReplaceAll(text, "\u202f", " ")), " ")
}
