package web

import (
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// markup is what the tests know of a page's text: its elements in order, read
// without a browser.
type element struct {
	name  string
	close bool
	attrs map[string]string
}

var (
	tagPattern  = regexp.MustCompile(`<(/?)([a-zA-Z][a-zA-Z0-9-]*)((?:\s+[^\s"'<>/=]+(?:="[^"]*")?)*)\s*(/?)>|<!DOCTYPE html>|<!doctype html>`)
	attrPattern = regexp.MustCompile(`([^\s"'<>/=]+)(?:="([^"]*)")?`)
	entity      = regexp.MustCompile(`&(#[0-9]+|#x[0-9a-fA-F]+|[a-zA-Z]+);`)
	void        = []string{"meta", "link", "input", "br", "hr", "img"}
)

// elements reads a page and says what is not well formed: a tag that does not
// close, text with a bare angle bracket or ampersand, an id used twice.
func elements(text string) (all []element, faults []string) {
	var open []string
	ids := map[string]bool{}
	last := 0
	bare := func(between string) {
		if strings.ContainsAny(entity.ReplaceAllString(between, ""), "<>&") {
			faults = append(faults, fmt.Sprintf("bare markup in %.60q", between))
		}
	}
	for _, m := range tagPattern.FindAllStringSubmatchIndex(text, -1) {
		bare(text[last:m[0]])
		last = m[1]
		if m[4] < 0 {
			continue // the doctype
		}
		e := element{name: strings.ToLower(text[m[4]:m[5]]), close: m[2] != m[3], attrs: map[string]string{}}
		for _, a := range attrPattern.FindAllStringSubmatch(text[m[6]:m[7]], -1) {
			bare(a[2])
			e.attrs[a[1]] = html.UnescapeString(a[2])
		}
		all = append(all, e)
		if id := e.attrs["id"]; id != "" {
			if ids[id] {
				faults = append(faults, "id used twice: "+id)
			}
			ids[id] = true
		}
		switch {
		case e.close && (len(open) == 0 || open[len(open)-1] != e.name):
			faults = append(faults, fmt.Sprintf("</%s> closes %v", e.name, open))
			return all, faults
		case e.close:
			open = open[:len(open)-1]
		case m[8] == m[9] && !slices.Contains(void, e.name):
			open = append(open, e.name)
		}
	}
	bare(text[last:])
	if len(open) > 0 {
		faults = append(faults, fmt.Sprintf("left open: %v", open))
	}
	return all, faults
}

// The reader of markup has to be able to see a fault.
func TestMarkupIsSeen(t *testing.T) {
	for _, c := range []struct {
		text   string
		faults int
	}{
		{`<p>a &amp; b<br>c <svg viewBox="0 0 1 1"><path d="M0 0"/></svg></p>`, 0},
		{`<p>a & b</p>`, 1},
		{`<p>a < b</p>`, 1},
		{`<p><b>a</p></b>`, 1},
		{`<p>a`, 1},
		{`<p id="a">a</p><p id="a">b</p>`, 1},
		{`<p title="a & b">a</p>`, 1},
	} {
		if _, faults := elements(c.text); len(faults) != c.faults {
			t.Errorf("%s: %d faults %q, want %d", c.text, len(faults), faults, c.faults)
		}
	}
}
