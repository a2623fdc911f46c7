// Package sheets prints what people take to the table and the tower: the list to
// tick while rope is cut, labels, the order of drops, each day's check list and
// timetable, and what is to be destroyed. PDF and workbook hold the same tables.
//
// The same plan gives the same bytes: nothing in a file says when it was made.
package sheets

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"time"

	"fallwright.example/study"
	"fallwright.example/timetable"
)

// caution stands on every page.
const caution = "comparative results on this rig, not a type test; they do not show that any rope or fall is safe"

// invented stands on every page of a demonstration.
const invented = "INVENTED: a demonstration, no rope is tested"

// PDF writes the sheets, A4. A character that neither Source Sans nor the basic
// plane of Unicode has is printed as a box. Where labels hide conditions no sheet
// says which specimen is of which condition.
func PDF(w io.Writer, p *study.Planned) error {
	s := newPaper(p)
	front(s, p)
	s.onPage(cutting(p))
	s.onPage(specimens(p))
	s.labels(labels(p))
	if p.Timetable == nil {
		s.dayCheck("")
		s.onPage(order(p))
	} else {
		s.onPage(order(p))
		for i, d := range p.Timetable.Days {
			if !d.First.IsZero() {
				s.dayCheck(d.Open.Format("Monday 2 January 2006"))
				s.onPage(timesOf(p, i))
			}
		}
	}
	s.onPage(destroy(p))
	var b bytes.Buffer // so that nothing half is written
	if err := s.pdf.Output(&b); err != nil {
		return fmt.Errorf("sheets of study %s: %w", p.Plan.Name, err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// front is the first page: what this is, and what it comes to.
func front(s *paper, p *study.Planned) {
	s.page()
	s.heading(p.Plan.Title)
	s.say(p.Plan.Purpose)
	for _, q := range p.Questions {
		s.say(fmt.Sprintf("%s Answered by %d drops.", q.Question.Asks, q.Drops))
	}
	s.fields(facts(p))
	s.say("These results are " + caution + ". Follow the maker's instructions, local rules and qualified advice.")
	s.say("A specimen that was soaked or dropped is never climbed on: it is destroyed, and ticked off on the last sheet.")
}

// facts are what the plan comes to, as names and values.
func facts(p *study.Planned) [][2]string {
	plan, t := &p.Plan, p.Totals
	out := [][2]string{{"study", plan.Name}}
	put := func(name, value string) {
		if value != "" {
			out = append(out, [2]string{name, value})
		}
	}
	put("by", plan.By)
	if p.Frozen != nil {
		put("frozen", p.Frozen.At.Format("2006-01-02 15:04 MST")+" by "+p.Frozen.By)
		put("plan SHA-256", p.Frozen.PlanSHA256)
	} else {
		put("frozen", "not yet: the plan may still change")
	}
	specimens := fmt.Sprint(t.Specimens)
	if t.Spares > 0 {
		specimens += fmt.Sprintf(", and spares: %d", t.Spares)
	}
	put("specimens", specimens)
	put("drops", fmt.Sprintf("%d, %d of each specimen", t.Drops, plan.Series.Falls))
	if !math.IsNaN(t.Rope) && t.Rope > 0 {
		put("rope", fmt.Sprintf("%.2f m in specimens and spares", t.Rope))
	}
	if set, known := plan.Setting(plan.Series.Setting); known {
		put("setting", fmt.Sprintf("%s: %g kg, drop %g m, free length %g m", set.Name, set.Mass, set.Drop, set.FreeLength))
	}
	if r := plan.Series.Rest; r.Set > 0 {
		put("rest", spell(r.Set)+" ± "+spell(r.Tolerance))
	}
	if o := plan.Series.Overnight; o.After > 0 {
		put("long rest", fmt.Sprintf("after fall %d: %s ± %s", o.After, spell(o.Rest.Set), spell(o.Rest.Tolerance)))
	}
	put("rig", plan.Rig.Name)
	if plan.Order.Seed != 0 {
		put("seed of the draw", fmt.Sprint(plan.Order.Seed))
	}
	if plan.Order.Blind {
		put("labels", "hide the condition until the analysis")
	}
	return out
}

func spell(d time.Duration) string { return timetable.Clock(d) }
