package timetable

import (
	"fmt"
	"testing"
	"time"
)

// trade is what the trade counts with: five falls with three minutes of rest, in
// conditions of three specimens each, on one tower that a specimen blocks.
func trade(conditions, specimens int) Ask {
	a := Ask{
		Days:   []Day{{Open: morning, Close: morning.Add(12 * time.Hour)}},
		Towers: []Tower{{Name: "tower"}},
		People: []Person{{Name: "Ada"}, {Name: "Ben"}},
		Work:   Work{Hang: Effort{Takes: 3 * minute}, Drop: Effort{Takes: minute}, TakeDown: Effort{Takes: 2 * minute}},
	}
	for c := range conditions {
		for s := range specimens {
			a.Jobs = append(a.Jobs, Job{
				Name: fmt.Sprintf("M-%02d", c*specimens+s+1), Condition: fmt.Sprintf("condition %d", c+1), Falls: 5,
				Settle: AtLeast(3 * minute), Rest: About(3*minute, 30*time.Second),
			})
		}
	}
	return a
}

// Common practice, no source: five falls with three-minute rests are 15 minutes of
// waiting a specimen, and three specimens in six conditions four and a half hours
// when nothing overlaps. The trade counts a wait for each fall: the first settles
// hung for as long as the others rest, so there are five of them, not four.
func TestWaitingAsTheTradeCounts(t *testing.T) {
	for _, c := range []struct {
		conditions, specimens int
		want                  time.Duration
	}{{1, 1, 15 * minute}, {6, 3, 4*time.Hour + 30*minute}} {
		a := trade(c.conditions, c.specimens)
		table, err := Build(t.Context(), a)
		if err != nil {
			t.Fatal(err)
		}
		if table.Waiting != c.want {
			t.Errorf("%d in %d conditions wait %v, the trade says %v", c.specimens, c.conditions, table.Waiting, c.want)
		}
		// Nothing overlaps: waiting, and hanging and taking down 5 minutes each.
		if want := c.want + time.Duration(c.conditions*c.specimens)*5*minute; table.Makespan != want || table.Bound != want {
			t.Errorf("makespan %v and bound %v, want both %v", table.Makespan, table.Bound, want)
		}
	}
}
