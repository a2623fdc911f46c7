package timetable

import (
	"testing"
	"time"
)

// The falls of a series that goes on after a night are numbered on.
func TestFallsAreNumberedOn(t *testing.T) {
	a := Ask{
		Towers: []Tower{{Name: "tower"}}, People: []Person{{Name: "person 1"}},
		Days: []Day{{Open: morning, Close: morning.Add(8 * time.Hour)}, {Open: morning.Add(24 * time.Hour), Close: morning.Add(32 * time.Hour)}},
		Work: Work{Hang: Effort{Takes: 4 * minute}, Drop: Effort{Takes: minute}, TakeDown: Effort{Takes: 2 * minute}},
		Jobs: []Job{
			{Name: "M-01", Falls: 2, Rest: About(3*minute, minute)},
			{Name: "M-01 on", Specimen: "M-01", Falls: 2, Had: 2, Rest: About(3*minute, minute), Follows: "M-01", Since: Between(16*time.Hour, 30*time.Hour)},
		},
	}
	table, err := Build(t.Context(), a)
	if err != nil {
		t.Fatal(err)
	}
	var falls []int
	for _, o := range table.Ops {
		if o.Kind == Drop {
			falls = append(falls, o.Fall)
		}
	}
	if len(falls) != 4 || falls[0] != 1 || falls[1] != 2 || falls[2] != 3 || falls[3] != 4 {
		t.Errorf("falls are numbered %v", falls)
	}
	if found := Check(&a, table); len(found) > 0 {
		t.Errorf("%v", found)
	}
}
