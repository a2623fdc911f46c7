package planfile

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// kind is what a value of the file is, in the words of its refusals.
type kind string

const (
	isText   kind = "text"
	isWhole  kind = "a whole number"
	isNumber kind = "a number"
	isFlag   kind = "true or false"
	isTime   kind = "a date or time"
	isList   kind = "a list"
	isTable  kind = "a table"

	isRefused kind = "refused already"
)

// node is a value of the file with its place. The standard decoding keeps no
// places, so the file is walked once more for them.
type node struct {
	kind    kind
	at      span // the value; of a [table], its header
	raw     string
	text    string  // of a text
	items   []*node // of a list
	entries []entry // of a table, in the order of the file
	headed  bool    // a table or list that was written with [ ] or [[ ]] headers
}

// entry is one key of a table.
type entry struct {
	name  string
	at    span
	value *node
}

// get returns the entry of that name.
func (n *node) get(name string) (entry, bool) {
	for _, e := range n.entries {
		if e.name == name {
			return e, true
		}
	}
	return entry{}, false
}

// grow reads a file that is known to be TOML into a tree.
func grow(data []byte) *node {
	root := &node{kind: isTable, at: span{0, 0}}
	current := root
	b := branch{data: data}
	b.parser.Reset(data)
	for b.parser.NextExpression() {
		e := b.parser.Expression()
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			current = b.header(root, e)
		case unstable.KeyValue:
			b.pair(current, e, span{})
		}
	}
	return root
}

// branch turns the parser's expressions into nodes.
type branch struct {
	data   []byte
	parser unstable.Parser
}

// path returns the parts of a dotted key with their places.
func path(it unstable.Iterator) (names []string, at []span) {
	for it.Next() {
		k := it.Node()
		names = append(names, string(k.Data))
		at = append(at, span{int(k.Raw.Offset), int(k.Raw.Offset + k.Raw.Length)})
	}
	return names, at
}

// header opens the table that a [header] or [[header]] names.
func (b *branch) header(root *node, e *unstable.Node) *node {
	names, at := path(e.Key())
	n := root
	for i, name := range names[:len(names)-1] {
		n = child(n, name, at[i])
	}
	last := len(names) - 1
	brackets := 1
	if e.Kind == unstable.ArrayTable {
		brackets = 2
	}
	whole := b.bracketed(span{at[0].from, at[last].to}, brackets)
	if e.Kind == unstable.Table {
		t := child(n, names[last], at[last])
		t.at, t.headed = whole, true
		return t
	}
	list, there := n.get(names[last])
	if !there {
		list = entry{names[last], at[last], &node{kind: isList, at: whole, headed: true}}
		n.entries = append(n.entries, list)
	}
	t := &node{kind: isTable, at: whole, headed: true}
	list.value.items = append(list.value.items, t)
	return t
}

// bracketed widens the span of a header's name to its brackets.
func (b *branch) bracketed(at span, brackets int) span {
	open := bytes.LastIndexByte(b.data[:at.from], '[')
	shut := bytes.IndexByte(b.data[at.to:], ']')
	if open < 0 || shut < 0 {
		return at
	}
	return span{open - brackets + 1, at.to + shut + brackets}
}

// child returns the table under a name, made when it is not there; of a list of
// tables the last, as TOML has it.
func child(n *node, name string, at span) *node {
	e, there := n.get(name)
	if !there {
		t := &node{kind: isTable, at: at}
		n.entries = append(n.entries, entry{name, at, t})
		return t
	}
	if e.value.kind == isList && len(e.value.items) > 0 {
		return e.value.items[len(e.value.items)-1]
	}
	return e.value
}

// pair adds a key and its value to a table. Values that the parser gives no
// place (lists and inline tables) have that of the pair without its key, or of
// the list they are in.
func (b *branch) pair(t *node, e *unstable.Node, around span) {
	names, at := path(e.Key())
	last := len(names) - 1
	for i, name := range names[:last] {
		t = child(t, name, at[i])
	}
	whole := around
	if e.Raw.Length > 0 {
		end := int(e.Raw.Offset + e.Raw.Length)
		rest := bytes.TrimLeft(b.data[at[last].to:end], " \t=")
		whole = span{end - len(rest), end}
	}
	t.entries = append(t.entries, entry{names[last], at[last], b.value(e.Value(), whole)})
}

// value turns a value into a node. A list or an inline table, of which the
// parser tells at most the beginning, is placed around.
func (b *branch) value(v *unstable.Node, around span) *node {
	at := around
	if v.Raw.Length > 0 && v.Kind != unstable.Array && v.Kind != unstable.InlineTable {
		at = span{int(v.Raw.Offset), int(v.Raw.Offset + v.Raw.Length)}
	}
	n := &node{at: at, raw: string(b.data[at.from:at.to])}
	switch v.Kind {
	case unstable.String:
		n.kind, n.text = isText, string(v.Data)
	case unstable.Integer:
		n.kind = isWhole
	case unstable.Float:
		n.kind = isNumber
	case unstable.Bool:
		n.kind = isFlag
	case unstable.Array:
		n.kind = isList
		for it := v.Children(); it.Next(); {
			n.items = append(n.items, b.value(it.Node(), at))
		}
	case unstable.InlineTable:
		n.kind = isTable
		for it := v.Children(); it.Next(); {
			b.pair(n, it.Node(), at)
		}
	default:
		n.kind = isTime
	}
	return n
}

// whole returns a whole number's value; ok is false for anything else, and for
// a number out of range.
func (n *node) whole() (int, bool) {
	if n.kind != isWhole {
		return 0, false
	}
	v, err := strconv.ParseInt(strings.ReplaceAll(n.raw, "_", ""), 0, 32)
	return int(v), err == nil
}
