package uff

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// channel is the head of one set 58, with its values still to be read.
type channel struct {
	line      int       // of the set's number
	ids       [5]string // "" for NONE
	function  int       // 1 is a time response
	entity    string    // of the response
	node, way int       // likewise: its node and direction
	abscissa  axis
	ordinate  axis

	complex, double, even bool
	n                     int     // values, or pairs
	start, step           float64 // of an even abscissa

	values     []byte // the lines of them
	valuesLine int    // the first of these
}

// axis is what one axis holds.
type axis struct {
	kind  int
	label string // "" for NONE
	unit  string // likewise
	line  int
}

// The kinds of axis that matter here; the names are put before a label that does
// not say them.
const (
	general      = 1
	displacement = 8
	reaction     = 9
	velocity     = 11
	acceleration = 12
	excitation   = 13
	timeAxis     = 17
)

var kindNames = map[int]string{
	2: "stress", 3: "strain", 5: "temperature", displacement: "displacement", reaction: "reaction force", velocity: "velocity",
	acceleration: "acceleration", excitation: "excitation force", 15: "pressure", 16: "mass", timeAxis: "time", 18: "frequency",
}

var functionNames = []string{
	"general functions", "time responses", "auto spectra", "cross spectra", "frequency response functions", "transmissibilities",
	"coherences", "auto correlations", "cross correlations", "power spectral densities", "energy spectral densities",
	"probability densities", "spectra",
}

// ofTime reports whether the channel is a function of time: by its function
// type, or, where that is general, by its abscissa.
func (c *channel) ofTime() bool {
	return c.function == 1 && (c.abscissa.kind == timeAxis || c.abscissa.kind <= general) || c.function == 0 && c.abscissa.kind == timeAxis
}

// what says what a channel is that is no function of time.
func (c *channel) what() string {
	if c.function >= 0 && c.function < len(functionNames) {
		name := functionNames[c.function]
		if c.function <= 1 && kindNames[c.abscissa.kind] != "" {
			name += " against " + kindNames[c.abscissa.kind]
		}
		return name
	}
	return fmt.Sprintf("functions of type %d", c.function)
}

func (a axis) isForce() bool { return a.kind == reaction || a.kind == excitation }

// key is what sets have in common that are one channel, of several drops.
func (c *channel) key() string {
	return fmt.Sprintf("%q %d %d %d %q %q", c.entity, c.node, c.way, c.ordinate.kind, c.ordinate.label, c.ordinate.unit)
}

// title is the channel's own name.
func (c *channel) title(alone bool) string {
	switch {
	case c.ordinate.label != "":
		return c.ordinate.label
	case alone && c.ids[0] != "":
		return c.ids[0]
	}
	return kindNames[c.ordinate.kind]
}

// column is the channel as the rules of all formats see it.
func (c *channel) column(no int, alone bool) pick.Column {
	col := pick.NewColumn(no, c.title(alone), c.ordinate.unit)
	if kind := kindNames[c.ordinate.kind]; kind != "" && !strings.Contains(strings.ToLower(col.Name), kind) {
		col.Name = strings.TrimSpace(kind + " " + col.Name)
	}
	col.Holds = pick.Numbers
	return col
}

// head reads the eleven records before the values of a set 58, by their columns.
type head struct {
	*source
	lines
	err error
}

// channel reads the head of a set 58.
func (s *source) channel(of set) (*channel, error) {
	h := &head{source: s, lines: lines{rest: of.body, no: of.line}}
	c := &channel{line: of.line}
	for i := range c.ids {
		if id := strings.TrimSpace(string(h.record())); id != "NONE" {
			c.ids[i] = traceio.Clean(id)
		}
	}
	r := h.record()
	c.function = h.whole(r, 0, 5)
	c.entity, c.node, c.way = text(r, 31, 41), h.whole(r, 41, 51), h.whole(r, 51, 55)
	r = h.record()
	kind := h.whole(r, 0, 10)
	c.n = h.whole(r, 10, 20)
	spacing := h.whole(r, 20, 30)
	c.start, c.step = h.real(r, 30, 43), h.real(r, 43, 56)
	seventh := h.no
	c.abscissa, c.ordinate = h.axis(), h.axis()
	h.axis()
	h.axis()
	if h.err != nil {
		return nil, h.err
	}
	c.complex, c.double, c.even = kind == 5 || kind == 6, kind == 4 || kind == 6, spacing == 1
	c.values, c.valuesLine = h.rest, h.no+1
	switch {
	case kind != 2 && kind != 4 && kind != 5 && kind != 6:
		return nil, s.refuse(problem.Unreadable, seventh, "the set has values of type %d; the types are 2 and 4, real, and 5 and 6, complex", kind).
			Hint("export the recording again")
	case spacing != 0 && spacing != 1:
		return nil, s.refuse(problem.Unreadable, seventh, "the set has an abscissa of type %d; the types are 0, uneven, and 1, even", spacing).
			Hint("export the recording again")
	}
	return c, nil
}

// record is the next line, one character a column.
func (h *head) record() []rune {
	if h.err != nil {
		return nil
	}
	if !h.next() {
		h.err = h.refuse(problem.Unreadable, h.no, "the set ends within its head, which has 11 lines").Hint("export the recording again")
		return nil
	}
	return []rune(latin(h.text))
}

func (h *head) axis() axis {
	r := h.record()
	a := axis{kind: h.whole(r, 0, 10), label: text(r, 26, 46), unit: text(r, 47, 67), line: h.no}
	return a
}

// text is the trimmed text of some columns, "" for NONE.
func text(r []rune, from, to int) string {
	s := strings.TrimSpace(string(r[min(from, len(r)):min(to, len(r))]))
	if s == "NONE" {
		return ""
	}
	return traceio.Clean(s)
}

// whole is the whole number of some columns; a blank is 0, as in Fortran.
func (h *head) whole(r []rune, from, to int) int {
	s := strings.TrimSpace(string(r[min(from, len(r)):min(to, len(r))]))
	if s == "" || h.err != nil {
		return 0
	}
	v, err := strconv.ParseInt(s, 10, 32)
	if err != nil {
		h.err = h.refuse(problem.Unreadable, h.no, "columns %d to %d have to hold a whole number, and hold %q", from+1, to, traceio.Shorten(s)).
			Hint("export the recording again: the head of a set 58 stands in fixed columns")
	}
	return int(v)
}

// real is the number of some columns; a blank is 0.
func (h *head) real(r []rune, from, to int) float64 {
	s := strings.TrimSpace(string(r[min(from, len(r)):min(to, len(r))]))
	if s == "" || h.err != nil {
		return 0
	}
	v, ok := parse([]byte(s))
	if !ok {
		h.err = h.refuse(problem.Unreadable, h.no, "columns %d to %d have to hold a number, and hold %q", from+1, to, traceio.Shorten(s)).
			Hint("export the recording again: the head of a set 58 stands in fixed columns")
	}
	return v
}
