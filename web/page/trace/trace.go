// Package trace is the page of one trace: its plot, what was read from it, and
// what stands behind the reading.
package trace

import (
	"fmt"
	"strconv"
	"strings"

	"fallwright.example/figure"

	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/web/page/frame"
	"fallwright.example/web/page/mark"
	"fallwright.example/web/say"
)

// View is one trace.
type View struct {
	Frame         frame.View
	Title         string // "M-07, fall 3"
	Trace         *study.TraceView
	Condition     mark.Condition
	Before, After string // addresses of the neighbours; empty at the ends
	Series        string // address of the specimen's series; empty for none
	Path          string // of this page, without a query
	Plot          Plot
	Loop          frame.Picture // no Wide when the stretch is not known
	Spectrum      frame.Picture
	NoSpectrum    string        // why there is no spectrum
	Second        *study.Second // a second reading beside the stored one; or nil
	SecondWhy     string        // why the second reading that was asked for cannot be had
	By            string        // who stores a reading, as far as is known
}

// Plot is the drawn trace and the ways through it. Its times are on the
// recorder's clock.
type Plot struct {
	Picture frame.Picture
	Ink     string // the CSS variable of the curve
	Second  string // class of the second reading as addresses carry it; empty for none
	As      string // that class in words
	Points  string // address that gives the points of a window
	Path    string // of the page, without a query
	Window  string // in words: "0.100 to 0.600 s"
	From    string // of the window, in seconds; empty for the whole trace
	To      string
	Links   []Link
}

// Link is one zoom link; without an address there is nothing further that way.
type Link struct{ Name, Text, Href string }

// reading is the newest reading, or nil.
func (v View) reading() *trace.Reading { return v.Trace.Row.Reading }

// Class is a filter class in words.
func Class(n int) string {
	if n == 0 {
		return "no filter"
	}
	return fmt.Sprintf("CFC %d", n)
}

// Classes are the filters to choose from.
var Classes = []int{60, 180, 600, 1000, 0}

// ClassKey is a class as addresses carry it.
func ClassKey(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}

func contactEnd(c trace.Contact) string {
	if c.Open {
		return "still taut"
	}
	return say.Seconds(c.End)
}

func contactStart(c trace.Contact) string {
	if c.Begun {
		return "taut already"
	}
	return say.Seconds(c.Start)
}

// params writes the numbers a step used.
func params(s trace.Step) string {
	text := ""
	for i, p := range s.Params {
		if i > 0 {
			text += ", "
		}
		text += p.Name + " " + strings.Replace(strconv.FormatFloat(p.Value, 'g', 6, 64), "-", "−", 1)
		if p.Unit != "" {
			text += "\u00a0" + p.Unit
		}
	}
	return text
}

// released says when the mass was let go, by whom, and after what rest.
func (v View) released() string {
	row := v.Trace.Row
	text := "released " + say.Clock(row.Drop.At)
	if row.Drop.By != "" {
		text += " by " + row.Drop.By
	}
	if row.Rest > 0 {
		text += ", " + say.Duration(row.Rest) + " after the fall before"
	}
	return text
}

// steps are those of the reading, or of the drawn signal without one.
func (v View) steps() []trace.Step {
	if r := v.reading(); r != nil && len(r.Steps) > 0 {
		return r.Steps
	}
	if v.Trace.Signal != nil {
		return v.Trace.Signal.Steps
	}
	return nil
}

// ink is that of the stored reading's line.
func (v View) ink() figure.Ink {
	if v.Condition.Place < 0 {
		return figure.Sea
	}
	return figure.Ink(v.Condition.Place)
}

func (v View) spectrumOver() string {
	if v.Trace.Curves.SpectrumOfAll() {
		return "the whole trace"
	}
	return "a million samples from just before first contact"
}

// columns is how many the table of values has.
func (v View) columns() int {
	if v.Second != nil {
		return 11
	}
	return 7
}

// dashed says what the dashed line of a picture is; empty without one.
func (v View) dashed() string {
	if v.Second == nil {
		return ""
	}
	return " Dashed: " + Class(v.Second.Settings.Class) + "."
}
