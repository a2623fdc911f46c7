package planfile

import (
	"bytes"
	"errors"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// tries bounds how many faults of writing are mended to look at the rest.
const tries = 50

// toml reads the file as TOML. A value without quotes is refused, and the rest
// of the file still read; after any other fault of writing nothing is known of
// the rest, and ok is false.
func (r *reading) toml() (root *node, ok bool) {
	if !r.foreign("save the file as plain text in UTF-8; it is TOML") {
		return nil, false
	}
	mended := slices.Clone(r.data)
	for range tries {
		var whole map[string]any
		err := toml.Unmarshal(mended, &whole)
		if err == nil {
			return r.mended(grow(mended)), true
		}
		var fault *toml.DecodeError
		if !errors.As(err, &fault) {
			r.refuse(span{}, "the file is not TOML: %s", strings.TrimPrefix(err.Error(), "toml: ")).
				Hint("compare it with the example in docs/FORMATS.md")
			return nil, false
		}
		if !r.unquoted(mended, fault) {
			r.misspelt(fault)
			return nil, false
		}
	}
	return nil, false
}

// offset is where the decoder stopped.
func (r *reading) offset(fault *toml.DecodeError) int {
	row, column := fault.Position()
	at := 0
	for ; row > 1; row-- {
		i := bytes.IndexByte(r.data[at:], '\n')
		if i < 0 {
			break
		}
		at += i + 1
	}
	return min(at+column-1, len(r.data))
}

// bare is a key with a value that begins like no text, list or table.
var bare = regexp.MustCompile(`^\s*([A-Za-z0-9_-]+)\s*=\s*([^\s"'\[{#][^#]*?)\s*(#.*)?$`)

// pair is the beginning of a key with its value.
var pair = regexp.MustCompile(`^[A-Za-z0-9_-]+\s*=`)

// unquoted refuses a value that lacks its quotes, and puts a number in its
// place so that the rest can be read.
func (r *reading) unquoted(mended []byte, fault *toml.DecodeError) bool {
	_, line := r.line(r.offset(fault))
	text := string(bytes.TrimSuffix(r.data[line.from:line.to], []byte("\r")))
	m := bare.FindStringSubmatchIndex(text)
	if m == nil || len(fault.Key()) > 0 || r.offset(fault) < line.from+m[4] {
		return false
	}
	at := span{line.from + m[4], line.from + m[5]}
	name, value := text[m[2]:m[3]], text[m[4]:m[5]]
	q := r.refuse(at, "%s is not in quotes", shorten(visible(value), 40))
	if k, plain := r.unquotedKey(name, line.from); plain {
		q.What = shorten(visible(value), 40) + " is no value for " + name
		q.Hint("write, such as: %s", k.line())
	} else {
		value = decimalComma.ReplaceAllString(strings.Trim(value, "“”„«»‘’\"'"), "$1.$2")
		q.Hint("write: %s = %q", name, value)
	}
	mended[at.from] = '0'
	for i := at.from + 1; i < at.to; i++ {
		mended[i] = ' '
	}
	r.mends = append(r.mends, at)
	return true
}

// decimalComma is a comma in the number that a value begins with.
var decimalComma = regexp.MustCompile(`^([0-9]+),([0-9]+)`)

// head is the head of a part.
var head = regexp.MustCompile(`(?m)^\s*\[{1,2}\s*([a-z_]+)\s*\]{1,2}`)

// unquotedKey returns the key of that name, in the part that the line is in, if
// its value has no quotes.
func (r *reading) unquotedKey(name string, line int) (key, bool) {
	heads := head.FindAllSubmatch(r.data[:line], -1)
	if len(heads) == 0 {
		return key{}, false
	}
	p, _ := partNamed(string(heads[len(heads)-1][1]))
	k, known := p.key(name)
	return k, known && !strings.Contains(k.example, `"`)
}

// mended marks the values that were refused already.
func (r *reading) mended(n *node) *node {
	for i := range n.entries {
		v := n.entries[i].value
		if slices.ContainsFunc(r.mends, func(at span) bool { return at.from == v.at.from }) {
			v.kind = isRefused
		}
		r.mended(v)
	}
	for _, item := range n.items {
		r.mended(item)
	}
	return n
}

// misspelt refuses a fault of writing that cannot be mended.
func (r *reading) misspelt(fault *toml.DecodeError) {
	message := strings.TrimPrefix(fault.Error(), "toml: ")
	at := r.offset(fault)
	_, line := r.line(at)
	end := at + 1
	for end < line.to && !strings.ContainsRune(" \t\r=]#,", rune(r.data[end])) {
		end++
	}
	what, hint := strings.ReplaceAll(message, "invalid", "impossible"), "compare the line with the example in docs/FORMATS.md"
	switch {
	case strings.Contains(message, "already"):
		name := strings.Join(fault.Key(), ".")
		what, hint = name+" stands here a second time", "keep one of the two"
		if p, ok := partNamed(name); ok && p.many {
			hint = "write " + p.header() + " for each of them"
		}
	case strings.Contains(message, "strings cannot have new lines"), strings.Contains(message, "unterminated"):
		what, hint = "the quotes are not closed on this line", `end the text with "`
		at = line.from + max(bytes.IndexByte(r.data[line.from:line.to], '='), 0)
		end = line.to
	case strings.Contains(message, "expected '='"), strings.Contains(message, "at start of key"):
		what = "this is neither a key with its value nor the head of a part"
		hint = `write: key = "value", or begin the line with # for a remark`
		at, end = line.from, line.to
	case strings.Contains(message, "escape"):
		what = "a backslash inside quotes stands for a special character, and this is none"
		hint = `inside quotes write \\ for a backslash, or put the text in single quotes`
	case strings.Contains(message, "array"), pair.Match(r.data[at:line.to]) && len(bytes.TrimSpace(r.data[line.from:at])) == 0:
		what, hint = "the list before this is not closed, or lacks a comma", "write: [1, 2, 3]"
	case strings.Contains(message, "inline table"):
		what, hint = "the table before this is not closed, or lacks a comma", `write: { rope = "marram", water = "dry" }`
	}
	r.refuse(span{at, end}, "%s", what).Hint("%s", hint).In("the rest of the file was not looked at")
}
