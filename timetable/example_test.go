package timetable_test

import (
	"context"
	"fmt"
	"strings"
	"time"

	"fallwright.example/problem"
	"fallwright.example/timetable"
)

// An invented morning: two dry specimens and a soaked one.
func Example() {
	const minute = time.Minute
	day := time.Date(2027, 5, 10, 8, 0, 0, 0, time.UTC)
	job := func(name, condition string) timetable.Job {
		return timetable.Job{Name: name, Condition: condition, Falls: 3, Settle: timetable.AtLeast(3 * minute), Rest: timetable.About(3*minute, 30*time.Second)}
	}
	wet := job("M-03", "soaked")
	wet.Before = []timetable.Prep{{Do: timetable.Soak, In: "sea bath", For: timetable.About(20*minute, 2*minute)}}
	wet.Drain = timetable.About(8*minute, 2*minute)
	ask := timetable.Ask{
		Days:   []timetable.Day{{Open: day, Close: day.Add(4 * time.Hour)}},
		Towers: []timetable.Tower{{Name: "tower"}},
		Places: []timetable.Place{{Name: "sea bath", Holds: 2}},
		People: []timetable.Person{{Name: "Ada"}, {Name: "Ben"}},
		Work: timetable.Work{
			PutIn: timetable.Effort{Takes: minute}, TakeOut: timetable.Effort{Takes: minute},
			Hang: timetable.Effort{Takes: 3 * minute}, Drop: timetable.Effort{Takes: minute}, TakeDown: timetable.Effort{Takes: minute},
		},
		Jobs: []timetable.Job{job("M-01", "dry"), job("M-02", "dry"), wet},
	}
	table, err := timetable.Build(context.Background(), ask)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, o := range table.Of("M-03") {
		fmt.Println(o.Start.Format("15:04"), o.Kind, strings.Join(o.People, ", "))
	}
	fmt.Println("makespan", timetable.Clock(table.Makespan), "bound", timetable.Clock(table.Bound), "by", table.BoundBy)
	fmt.Println("waiting", timetable.Clock(table.Waiting), "rules broken:", len(timetable.Check(&ask, table)))

	ask.Days[0].Close = day.Add(30 * minute)
	_, err = timetable.Build(context.Background(), ask)
	for _, p := range problem.All(err) {
		fmt.Println(p)
		for _, h := range p.Hints {
			fmt.Println("hint:", h)
		}
	}
	// Output:
	// 08:02 put in Ben
	// 08:23 take out Ben
	// 08:26 hang Ben
	// 08:31 drop Ben
	// 08:34 drop Ben
	// 08:37 drop Ben
	// 08:38 take down Ben
	// makespan 39 min bound 39 min by tower and order
	// waiting 27 min rules broken: 0
	// job M-03: it fits no day, even alone: it takes at least 37 min, 13 min of it on the tower
	// hint: its lags must find people at both ends: look at breaks, at closing time, and at nights for lags of hours
	// hint: or keep day 1 open until 2027-05-10 08:39
}
