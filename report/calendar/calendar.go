// Package calendar writes a timetable as an iCalendar file [RFC5545], for phones
// and calendars: one event a series, with its times to the second, and one for
// each soak, drying and check drop.
package calendar

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"fallwright.example/timetable"
)

// Calendar is what goes into a file beside the timetable.
type Calendar struct {
	Study   string    // its short name; part of every event's UID
	Title   string    // what the calendar is called
	Stamp   time.Time // when the timetable was made: every event's DTSTAMP
	Remark  string    // "invented numbers": in every event's description; may be empty
	Product string    // program and version, for PRODID
}

// Write writes the file. Times are in UTC, which every calendar shows in its own
// zone. The same series has the same UID whenever it is written, so that a
// timetable planned anew takes the place of the one before.
func Write(w io.Writer, t *timetable.Table, c Calendar) error {
	out := &lines{w: w}
	out.put("BEGIN", "VCALENDAR")
	out.put("VERSION", "2.0")
	out.put("PRODID", text("-//fallwright//"+c.Product+"//EN"))
	out.put("CALSCALE", "GREGORIAN")
	out.put("METHOD", "PUBLISH")
	out.put("X-WR-CALNAME", text(c.Title)) // no part of the standard; calendars show it as the name
	seen := map[string]int{}
	for _, s := range t.Stays() {
		e := eventOf(t, s)
		seen[e.uid]++
		if n := seen[e.uid]; n > 1 {
			e.uid += fmt.Sprintf("-%d", n)
		}
		c.event(out, e)
	}
	out.put("END", "VCALENDAR")
	return out.err
}

// event is one VEVENT.
type event struct {
	uid, summary, place string
	from, to            time.Time
	about               []string
}

func eventOf(t *timetable.Table, s timetable.Stay) event {
	e := event{from: s.From, to: s.To, place: s.Tower + s.Place}
	what := "in " + s.Place
	e.uid = s.Job + "-" + s.Place
	if s.Tower != "" {
		what, e.uid = "falls", s.Job+"-falls"
	}
	if s.Turn != "" {
		what = string(s.Turn) + " check"
		e.uid = s.Job + "-" + string(s.Turn) + "-" + s.Tower + "-" + s.From.Format("20060102")
	}
	e.summary = s.Job + ", " + what
	if s.Condition != "" {
		e.summary += " (" + s.Condition + ")"
	}
	for _, o := range t.Ops {
		if o.Job != s.Job || o.Turn != s.Turn || o.Start.Before(s.From) || o.End.After(s.To) || o.Tower != s.Tower || o.Place != s.Place {
			continue
		}
		what := string(o.Kind)
		at := o.Start
		if o.Kind == timetable.Drop {
			what, at = fmt.Sprintf("fall %d", o.Fall), o.End
		}
		e.about = append(e.about, strings.TrimSuffix(fmt.Sprintf("%s %s: %s", at.Format("15:04:05"), what, strings.Join(o.People, ", ")), ": "))
	}
	return e
}

func (c Calendar) event(out *lines, e event) {
	about := e.about
	if c.Remark != "" {
		about = append([]string{c.Remark}, about...)
	}
	out.put("BEGIN", "VEVENT")
	out.put("UID", text(c.Study+"/"+e.uid+"@fallwright"))
	out.put("DTSTAMP", utc(c.Stamp))
	out.put("DTSTART", utc(e.from))
	out.put("DTEND", utc(e.to))
	out.put("SUMMARY", text(e.summary))
	out.put("LOCATION", text(e.place))
	out.put("DESCRIPTION", text(strings.Join(about, "\n")))
	out.put("END", "VEVENT")
}

func utc(t time.Time) string { return t.UTC().Format("20060102T150405Z") }

var escapes = strings.NewReplacer(`\`, `\\`, ";", `\;`, ",", `\,`, "\r\n", `\n`, "\n", `\n`, "\r", `\n`)

// text is a value of type TEXT [RFC5545] 3.3.11: four characters are escaped, and
// control characters, which it may not hold, left out.
func text(s string) string {
	s = escapes.Replace(strings.ToValidUTF8(s, "\uFFFD"))
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' || r == 0x7f {
			return -1
		}
		return r
	}, s)
}

// lines writes content lines and remembers the first error.
type lines struct {
	w   io.Writer
	err error
}

// put writes one content line, folded so that none is longer than 75 octets and
// no character is split ([RFC5545] 3.1).
func (l *lines) put(name, value string) {
	const most = 75
	line := name + ":" + value
	room := most
	for len(line) > room {
		cut := room
		for !utf8.RuneStart(line[cut]) {
			cut--
		}
		l.write(line[:cut] + "\r\n ")
		line, room = line[cut:], most-1 // the space counts
	}
	l.write(line + "\r\n")
}

func (l *lines) write(s string) {
	if l.err == nil {
		_, l.err = io.WriteString(l.w, s)
	}
}
