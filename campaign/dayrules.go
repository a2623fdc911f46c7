package campaign

import (
	"slices"
	"strings"
	"time"
)

// days holds that there is time to work in.
func (c *checker) days() {
	d := c.plan.Days
	at := func(field string) Place { return Place{Part: DaysPart, Field: field} }
	if !d.Asked() {
		return
	}
	c.dates(at("dates"), d.Dates)
	if !(d.From >= 0 && d.From < d.To && d.To <= 24*time.Hour) {
		c.refuse(at("hours"), "working hours from %s to %s", hour(d.From), hour(d.To)).Hint(`give hours of one day, such as "09:00 to 16:30"`)
	}
	for i, b := range d.Breaks {
		here := at("breaks")
		here.Element = itoa(i)
		if !(b.From >= d.From && b.From < b.To && b.To <= d.To) {
			c.refuse(here, "a break from %s to %s is not within the working hours", hour(b.From), hour(b.To)).
				Hint(`give a part of the day, such as "12:30 to 13:00"`)
		}
	}
	for _, v := range []struct {
		field, what string
		n, most     int
	}{{"towers", "towers", d.Towers, 20}, {"people", "people", d.People, 100}, {"checks", "check drops", d.Checks, 20}} {
		if v.n < 0 || v.n > v.most {
			c.refuse(at(v.field), "%d %s", v.n, v.what).Hint("give a number up to %d, or leave it out", v.most)
		}
	}
	for _, v := range []struct {
		field string
		takes time.Duration
	}{{"weigh", d.Weigh}, {"put_in", d.PutIn}, {"hang", d.Hang}, {"settle", d.Settle}, {"drop", d.Drop}, {"take_down", d.TakeDown}} {
		if v.takes < 0 {
			c.refuse(at(v.field), "it takes %s, below zero", spell(v.takes)).Hint(`give a time, such as "4 min"`)
		}
	}
}

// dates holds that days are days, in order.
func (c *checker) dates(at Place, dates []string) {
	for i, text := range dates {
		at.Element = itoa(i)
		if _, err := time.Parse(time.DateOnly, text); err != nil {
			c.refuse(at, "%q is no date", text).Hint(`write year, month and day: "2026-12-05"`)
		} else if i > 0 && text <= dates[i-1] {
			c.refuse(at, "%s does not come after %s", text, dates[i-1]).Hint("list the days in their order, each once")
		}
	}
}

// hour is a time of day.
func hour(d time.Duration) string {
	if d == 24*time.Hour {
		return "24:00"
	}
	return time.Time{}.Add(d).Format("15:04")
}

// preparations holds that each is of conditions that there are, for a time.
func (c *checker) preparations() {
	for i, prep := range c.plan.Preparations {
		at := func(field string) Place { return Place{Part: PreparationPart, Index: i, Field: field} }
		if !slices.Contains(PreparationKinds(), prep.Do) {
			c.refuse(at("do"), "%q is no preparation", prep.Do).Hint("there is: %s", quoteAll(PreparationKinds()))
		}
		if len(prep.Conditions) == 0 {
			c.refuse(at("conditions"), "no condition is prepared so").Hint("%s", oneOf("condition", c.plan.conditionNames()))
		}
		for j, name := range prep.Conditions {
			here := at("conditions")
			here.Element = itoa(j)
			if _, known := c.plan.Condition(name); !known {
				c.refuse(here, "there is no condition %q", name).Hint("%s", oneOf("condition", c.plan.conditionNames()))
			}
		}
		if prep.In != tidy(prep.In) || prep.In == "" && prep.Holds > 0 {
			c.refuse(at("in"), "%q is no name of a bath or rack", strings.TrimSpace(prep.In)).Hint(`give it one, such as in = "sea-water bath"`)
		}
		if prep.Holds < 0 {
			c.refuse(at("holds"), "it holds %d", prep.Holds).Hint("give how many specimens it holds at once, or leave it out")
		}
		if prep.Time.Set <= 0 {
			c.refuse(at("time"), "it takes %s", spell(prep.Time.Set)).Hint(`give a time, such as "30 min"`)
		}
		c.tolerance(at("tolerance"), prep.Time)
		c.tolerance(at("to_drop_tolerance"), prep.ToDrop)
	}
	c.sharedPlaces()
}

// sharedPlaces holds that a bath has one size.
func (c *checker) sharedPlaces() {
	first := map[string]int{}
	for i, prep := range c.plan.Preparations {
		if prep.In == "" {
			continue
		}
		j, seen := first[prep.In]
		if other := c.plan.Preparations[j]; seen && other.Holds != prep.Holds {
			c.refuse(Place{Part: PreparationPart, Index: i, Field: "holds"}, "%q holds %d here, and %d in preparation %d",
				prep.In, prep.Holds, other.Holds, j+1).Hint("say the same each time")
		}
		first[prep.In] = i
	}
}

func (c *checker) tolerance(at Place, r Rest) {
	if r.Set < 0 || r.Tolerance < 0 {
		c.refuse(at, "a time of %s with %s tolerance, below zero", spell(r.Set), spell(r.Tolerance)).Hint(`give times, such as "5 min"`)
	}
	if r.Set > 0 && r.Tolerance > r.Set {
		c.refuse(at, "the tolerance of %s is more than the time of %s", spell(r.Tolerance), spell(r.Set)).Hint("give a smaller one")
	}
}

// overnight holds that the long rest is within the series.
func (c *checker) overnight(at func(string) Place, s Series) {
	o := s.Overnight
	switch {
	case o == Overnight{}:
		return
	case o.After < 1 || o.After >= s.Falls:
		c.refuse(at("overnight_after"), "the long rest comes after fall %d of a series of %d", o.After, s.Falls).
			Hint("give a fall from 1 to %d, or make the series longer", max(1, s.Falls-1))
	}
	if o.Rest.Set <= 0 {
		c.refuse(at("overnight"), "the long rest is %s", spell(o.Rest.Set)).Hint(`give a time, such as "16 h"`)
	}
	c.tolerance(at("overnight_tolerance"), o.Rest)
}
