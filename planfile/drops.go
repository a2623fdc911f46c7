package planfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// DropRow is one line of a table of drops.
type DropRow struct {
	Line      int // of the file, from 1
	Drop      campaign.Drop
	TracePath string // as it stands in the table; empty when no trace was recorded
}

// columns of the table of drops; the needed ones first.
var columns = []struct {
	name string
	need bool
}{
	{"kind", true},
	{"at", true},
	{"specimen", false},
	{"fall", false},
	{"setting", false},
	{"by", false},
	{"trace", false},
	{"part", false},
	{"gate_time", false},
	{"void", false},
	{"loaded", false},
	{"note", false},
}

// fullHeader is a header with every column, in the order that hints give.
const fullHeader = "kind,specimen,fall,setting,at,by,trace,part,gate_time,void,loaded,note"

// ParseDrops reads a table of drops: delimited text with a header, commas or
// semicolons between. name is what the file is called in refusals. Times are
// kept to the millisecond; those without a zone are in the computer's.
//
// The error is a problem.List with every fault of the table. Whether a drop may
// be added to a study is campaign.Study.CheckDrop's to say.
func ParseDrops(name string, data []byte) ([]DropRow, error) {
	return parseDrops(name, data, time.Local)
}

func parseDrops(name string, data []byte, zone *time.Location) ([]DropRow, error) {
	t := &table{refusals: refusals{source: source{name, data}}, zone: zone}
	if t.foreign("save the table as plain text in UTF-8, with commas or semicolons between the columns") {
		t.read()
	}
	if err := t.err(); err != nil {
		return nil, err
	}
	return t.rows, nil
}

// table is a table of drops being read.
type table struct {
	refusals
	zone  *time.Location
	place map[string]int // of each column, from 0
	rows  []DropRow
}

// cell is one field with its place.
type cell struct {
	text string
	at   span
}

func (t *table) read() {
	body := bytes.TrimPrefix(t.data, []byte("\ufeff"))
	bom := len(t.data) - len(body)
	r := csv.NewReader(bytes.NewReader(body))
	r.Comma, r.FieldsPerRecord = delimiter(body), -1
	for first := true; ; first = false {
		fields, err := r.Read()
		var fault *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if first {
				t.lacks(0, "the table is empty").Hint("begin it with a header: %s", fullHeader)
			} else if len(t.rows) == 0 && len(t.found) == 0 {
				t.lacks(len(t.data), "the table has a header and no drop").Hint("add a line for each drop")
			}
			return
		case errors.As(err, &fault):
			at := t.offset(bom, fault.Line, fault.Column)
			t.refuse(span{at, at + 1}, "a quote stands here that does not close, or not where a field begins").
				Hint(`write a quote inside a quoted field twice: ""`).In("the rest of the table was not looked at")
			return
		}
		cells := make([]cell, len(fields))
		for i, text := range fields {
			line, column := r.FieldPos(i)
			at := t.offset(bom, line, column)
			end := at + len(text)
			if at < len(t.data) && t.data[at] == '"' {
				end += 2
			}
			cells[i] = cell{strings.TrimSpace(text), span{at, end}}
		}
		if first {
			if !t.header(cells) {
				return
			}
			continue
		}
		line, _ := r.FieldPos(0)
		t.row(line, cells)
	}
}

// delimiter is the one that the header has more of.
func delimiter(data []byte) rune {
	header, _, _ := bytes.Cut(data, []byte("\n"))
	if bytes.Count(header, []byte(";")) > bytes.Count(header, []byte(",")) {
		return ';'
	}
	return ','
}

// offset is the byte at a line and a column, both from 1.
func (t *table) offset(bom, line, column int) int {
	at := bom
	for ; line > 1; line-- {
		i := bytes.IndexByte(t.data[at:], '\n')
		if i < 0 {
			return len(t.data)
		}
		at += i + 1
	}
	return min(at+column-1, len(t.data))
}

// header finds the columns, in any order.
func (t *table) header(cells []cell) bool {
	t.place = map[string]int{}
	var names []string
	for _, c := range columns {
		names = append(names, c.name)
	}
	for i, c := range cells {
		name := strings.ToLower(c.text)
		_, twice := t.place[name]
		switch {
		case !slices.Contains(names, name):
			q := t.refuse(c.at, "there is no column %q in a table of drops", c.text)
			if near, ok := problem.Nearest(name, names); ok {
				q.Hint("write %s", near)
			} else {
				q.Hint("the columns are: %s", strings.Join(names, ", "))
			}
		case twice:
			t.refuse(c.at, "the column %s is there twice", name).Hint("take one of the two out")
		default:
			t.place[name] = i
		}
	}
	for _, c := range columns {
		if _, there := t.place[c.name]; c.need && !there && len(t.found) == 0 {
			t.refuse(span{cells[0].at.from, cells[len(cells)-1].at.to}, "the header has no column %s", c.name).
				Hint("begin the table with: %s", fullHeader)
		}
	}
	return len(t.found) == 0
}

// row reads one drop.
func (t *table) row(line int, cells []cell) {
	if len(cells) != len(t.place) {
		t.refuse(span{cells[0].at.from, cells[len(cells)-1].at.to}, "this line has %d fields, and the header has %d", len(cells), len(t.place)).
			Hint("put quotes round a field that has the delimiter in it, and leave no field out")
		return
	}
	get := func(name string) cell {
		if i, there := t.place[name]; there {
			return cells[i]
		}
		return cell{at: cells[0].at}
	}
	d := campaign.Drop{
		Kind: t.kind(get("kind")), Specimen: get("specimen").text, Fall: t.number(get("fall")),
		Setting: get("setting").text, Note: get("note").text, GateTime: t.gateTime(get("gate_time")),
		Part:  t.part(get("part"), get("trace")),
		Stamp: campaign.Stamp{At: t.time(get("at")), By: get("by").text},
	}
	d.Void = t.void(get("void"), get("loaded"), d.Stamp)
	t.rows = append(t.rows, DropRow{Line: line, Drop: d, TracePath: get("trace").text})
}

func (t *table) kind(c cell) campaign.Kind {
	switch k := campaign.Kind(strings.ToLower(c.text)); k {
	case campaign.Trial, campaign.Check, campaign.Fall:
		return k
	}
	t.refuse(c.at, "there is no kind of drop %q", c.text).Hint("the kinds are trial, check and fall")
	return ""
}

// number reads a fall number; an empty field is no number.
func (t *table) number(c cell) int {
	if c.text == "" {
		return 0
	}
	n, err := strconv.Atoi(c.text)
	if err != nil || n < 0 {
		t.refuse(c.at, "%q is no fall number", c.text).Hint("write a whole number from 1, or nothing for a trial or a check")
		return 0
	}
	return n
}

// part reads which drop of the trace's file is meant.
func (t *table) part(c, trace cell) string {
	if c.text != "" && trace.text == "" {
		t.refuse(c.at, "part %s is named, and no file that it is a part of", strconv.Quote(c.text)).
			Hint("name the file in the column trace, or leave part empty")
	}
	return c.text
}

// gateTime reads for how many milliseconds a light gate's beam was broken; an
// empty field is none, 0.
func (t *table) gateTime(c cell) float64 {
	if c.text == "" {
		return 0
	}
	v, err := strconv.ParseFloat(c.text+"e-3", 64) // shifts the point: 4.1 ms is the float64 nearest to 0.0041 s
	if err != nil || !(v > 0) || math.IsInf(v, 0) {
		q := t.refuse(c.at, "%q is no gate time", c.text)
		if fixed := strings.Replace(c.text, ",", ".", 1); decimalNumber.MatchString(fixed) && fixed != c.text {
			q.Hint("write %s: numbers here have a decimal point", fixed)
		} else {
			q.Hint("write a number of milliseconds without unit, such as 4.1, or nothing when there was no gate")
		}
		return 0
	}
	return v
}

// decimalNumber is a number above zero as a table has it.
var decimalNumber = regexp.MustCompile(`^[0-9]+(\.[0-9]+)?$`)

// layouts of a time; seconds are needed, because rests are.
var layouts = []string{time.RFC3339Nano, "2006-01-02 15:04:05", "2006-01-02T15:04:05", "2006-01-02 15:04:05Z07:00"}

func (t *table) time(c cell) time.Time {
	for _, layout := range layouts {
		if at, err := time.ParseInLocation(layout, c.text, t.zone); err == nil {
			return at.Truncate(time.Millisecond)
		}
	}
	t.refuse(c.at, "%q is no date and time", c.text).
		Hint("write year, month, day and time to the second: 2026-05-04 14:26:30, or with a zone 2026-05-04T14:26:30+01:00")
	return time.Time{}
}

// void reads why a drop does not count, and whether it loaded the rope.
func (t *table) void(reason, loaded cell, when campaign.Stamp) *campaign.Void {
	said := strings.ToLower(loaded.text)
	switch {
	case said != "" && said != "yes" && said != "no":
		t.refuse(loaded.at, "loaded is %q", loaded.text).Hint("write yes if the rope was loaded, no if it was not")
	case reason.text == "" && said == "no":
		t.refuse(loaded.at, "the rope was not loaded, and the drop is not void").Hint("say why it does not count, in the column void")
	case reason.text == "" && said == "yes":
		t.refuse(loaded.at, "loaded is filled, and the drop is not void").
			Hint("say why it does not count, in the column void, or leave loaded empty when it counts: a fall that counts has loaded its rope")
	case reason.text != "" && said == "":
		t.refuse(reason.at, "the drop is void, and it is not said whether the rope was loaded").
			Hint("write yes or no in the column loaded: a rope that was loaded has had that fall")
	}
	if reason.text == "" {
		return nil
	}
	return &campaign.Void{Stamp: when, Reason: reason.text, Loaded: said == "yes"}
}
