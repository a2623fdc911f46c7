package campaign

import (
	"fmt"
	"strconv"
	"time"

	"fallwright.example/num/quantity"
)

// Departure is a difference between the frozen plan and what was done, found
// by comparing the two. Unlike a Deviation nobody had to write it down.
type Departure struct {
	Where string // "M-07 fall 3"
	Text  string // "rest of 4 min 10 s, set 3 min with 15 s tolerance"
}

// Departures compares the frozen plan with the drops: first what concerns the
// plan as a whole, then specimen by specimen in the order of the plan, fall by
// fall. A plan that is not frozen, or has no fall yet, has none.
//
// A rest is counted from release to release of two falls that the rope took,
// void or not. Falls that are still to come are listed like falls that never
// will: the comparison knows no clock.
func (s *Study) Departures() []Departure {
	if s.Frozen == nil {
		return nil
	}
	var out []Departure
	if first, any := s.firstFall(); !any {
		return nil
	} else if s.Frozen.At.After(first.At) {
		out = append(out, Departure{"plan", fmt.Sprintf("frozen on %s, after the first fall at %s (%s)",
			clock(s.Frozen.At), clock(first.At), first.name())})
	}
	for _, sp := range s.Plan.Specimens {
		out = append(out, s.strayTrials(sp.Label)...)
		out = append(out, s.seriesDepartures(sp.Label)...)
	}
	return out
}

// firstFall is the earliest fall that a rope took.
func (s *Study) firstFall() (first Drop, any bool) {
	for _, d := range s.Drops {
		if d.Took() && (!any || d.At.Before(first.At)) {
			first, any = d, true
		}
	}
	return first, any
}

// strayTrials lists trials and checks that loaded a specimen of the plan: its
// rope has then had more than its series says.
func (s *Study) strayTrials(specimen string) []Departure {
	var out []Departure
	for _, d := range s.Drops {
		if d.Specimen == specimen && d.Kind != Fall && (d.Void == nil || d.Void.Loaded) {
			out = append(out, Departure{specimen, fmt.Sprintf("loaded by a %s at %s, which is not part of its series",
				d.Kind, clock(d.At))})
		}
	}
	return out
}

// seriesDepartures compares one specimen's falls with the series.
func (s *Study) seriesDepartures(specimen string) []Departure {
	want, taken := s.Plan.Series, s.taken(specimen)
	piece, _ := s.Plan.Specimen(specimen)
	var out []Departure
	for i, d := range taken {
		note := func(format string, args ...any) {
			out = append(out, Departure{d.name(), fmt.Sprintf(format, args...)})
		}
		if i > 0 {
			if text := restDeparture(want.RestBefore(d.Fall), d.At.Sub(taken[i-1].At)); text != "" {
				note("%s", text)
			}
		}
		if d.Setting != want.Setting {
			note("setting %q, the series has %q", d.Setting, want.Setting)
		}
		if d.Fall > want.Falls {
			note("beyond the plan, which has %s a specimen", count(want.Falls, "fall"))
		}
		if d.Void != nil {
			note("void (%s), but the rope was loaded: the series has no value for this fall", d.Void.Reason)
		}
	}
	switch n := len(taken); {
	case piece.Spare && n == 0:
	case piece.Spare:
		out = append(out, Departure{specimen, fmt.Sprintf("a spare of the plan, dropped %s", times(n))})
	case n == 0:
		out = append(out, Departure{specimen, fmt.Sprintf("not dropped; the plan has %s", count(want.Falls, "fall"))})
	case n < want.Falls:
		out = append(out, Departure{specimen, fmt.Sprintf("series ended after fall %d of %d", n, want.Falls)})
	}
	return out
}

// restDeparture says how a rest was off, or nothing when it was within the
// tolerance or is not controlled.
func restDeparture(set Rest, actual time.Duration) string {
	off := (actual - set.Set).Abs()
	switch {
	case set.Set == 0 || off <= set.Tolerance:
		return ""
	case set.Tolerance == 0:
		return fmt.Sprintf("rest of %s, set %s without tolerance", spell(actual), spell(set.Set))
	}
	return fmt.Sprintf("rest of %s, set %s with %s tolerance", spell(actual), spell(set.Set), spell(set.Tolerance))
}

// clock writes a time of day as the people at the tower had it.
func clock(t time.Time) string { return t.Format("2006-01-02 15:04:05") }

// spell writes a duration as people say it: "4 min 10 s".
func spell(d time.Duration) string { return quantity.Format(d.Seconds(), quantity.Time) }

// times says how often.
func times(n int) string {
	if n == 1 {
		return "once"
	}
	return count(n, "time")
}

func itoa(n int) string { return strconv.Itoa(n) }
