package figure

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"fallwright.example/timetable"
	"pgregory.net/rapid"
)

// benchDay is an invented day of the Skerry Head club: dry and soaked specimens on
// one tower or two, with a bath, lunch and check drops.
func benchDay(t rapid.TB, towers, specimens int) (*timetable.Table, *timetable.Ask) {
	t.Helper()
	const minute = time.Minute
	open := time.Date(2027, 5, 10, 8, 0, 0, 0, time.UTC)
	lunch := open.Add(4 * time.Hour)
	a := &timetable.Ask{
		Days:   []timetable.Day{{Open: open, Close: open.Add(14 * time.Hour), Breaks: []timetable.Span{{From: lunch, To: lunch.Add(45 * minute)}}}},
		People: []timetable.Person{{Name: "Ada"}, {Name: "Ben"}, {Name: "Cleo"}},
		Places: []timetable.Place{{Name: "sea bath", Holds: 3}},
		Work: timetable.Work{
			PutIn: timetable.Effort{Takes: minute}, TakeOut: timetable.Effort{Takes: minute},
			Hang: timetable.Effort{Takes: 3 * minute}, Drop: timetable.Effort{Takes: minute}, TakeDown: timetable.Effort{Takes: 2 * minute},
		},
		Reference: &timetable.Reference{Specimen: "R-1", Falls: 2, Rest: timetable.About(3*minute, minute), Opens: true, Closes: true},
		Steps:     1,
	}
	for i := range towers {
		a.Towers = append(a.Towers, timetable.Tower{Name: fmt.Sprintf("tower %d", i+1)})
	}
	for i := range specimens {
		j := timetable.Job{Name: fmt.Sprintf("M-%02d", i+1), Condition: two[i*7%2], Falls: 5, Settle: timetable.AtLeast(3 * minute), Rest: timetable.About(3*minute, minute/2)}
		if j.Condition == two[1] {
			j.Before = []timetable.Prep{{Do: timetable.Soak, In: "sea bath", For: timetable.About(30*minute, 3*minute)}}
			j.Drain = timetable.About(10*minute, 4*minute)
		}
		a.Jobs = append(a.Jobs, j)
	}
	table, err := timetable.Build(context.Background(), *a)
	if err != nil {
		t.Fatal(err)
	}
	return table, a
}

func TestGantt(t *testing.T) {
	table, a := benchDay(t, 1, 12)
	many, b := benchDay(t, 2, 24)
	for _, c := range []struct {
		name  string
		scene *Scene
	}{
		{"gantt", Gantt(table, a, 1, two, Canvas{Width: 720, Remark: "invented"})},
		{"gantt-narrow", Gantt(table, a, 1, two, Canvas{Width: 360, Remark: "invented"})},
		{"gantt-two", Gantt(many, b, 1, two, Canvas{Width: 720})},
		{"gantt-none", Gantt(table, a, 2, two, Canvas{Width: 360})},
	} {
		checkScene(t, c.scene)
		t.Run(c.name, func(t *testing.T) { golden(t, c.name, c.scene.SVG()) })
	}
}

// Whatever the day, each series has its line, each fall its mark, and the words
// name each specimen with its times.
func TestGanttShowsAll(t *testing.T) {
	looked := 0
	rapid.Check(t, func(t *rapid.T) {
		table, a := benchDay(t, rapid.IntRange(1, 2).Draw(t, "towers"), rapid.IntRange(1, 16).Draw(t, "specimens"))
		s := Gantt(table, a, 1, two, Canvas{Width: rapid.Float64Range(300, 1200).Draw(t, "width")})
		checkScene(t, s)
		dots, lines := map[string]int{}, map[string]bool{}
		for _, m := range s.Marks {
			switch m := m.(type) {
			case Dot:
				dots[m.Of]++
			case Line:
				lines[m.Of] = true
			}
		}
		for _, j := range a.Jobs {
			ops := table.Of(j.Name)
			looked++
			if dots[j.Name] != j.Falls || !lines[j.Name] {
				t.Fatalf("%s has %d marks for %d falls, line: %v", j.Name, dots[j.Name], j.Falls, lines[j.Name])
			}
			want := fmt.Sprintf("%s (%s) ", j.Name, j.Condition)
			if !strings.Contains(s.Desc, want) || !strings.Contains(s.Desc, ops[len(ops)-1].End.Format("15:04")) {
				t.Fatalf("the words lack %q: %s", want, s.Desc)
			}
		}
	})
	if looked < 100 {
		t.Fatalf("%d series looked at", looked)
	}
}
