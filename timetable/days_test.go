package timetable

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// morning is a Monday at eight, invented.
var morning = time.Date(2027, 5, 10, 8, 0, 0, 0, time.UTC)

const minute = time.Minute

func minutes(r *rand.Rand, least, most int) time.Duration {
	return time.Duration(least+r.IntN(most-least+1)) * minute
}

func halves(r *rand.Rand, least, most int) time.Duration {
	return time.Duration(least+r.IntN(most-least+1)) * 30 * time.Second
}

// drawDay draws a day as a bench might have it: one tower or two, one to three
// people (three to five for two towers), dry and soaked specimens in conditions, three to six falls. The ranges
// are common practice, no source.
func drawDay(seed uint64, remount bool) Ask {
	r := rand.New(rand.NewPCG(seed, 6))
	a := Ask{Seed: seed, FreeOrder: r.IntN(3) == 0}
	towers := 1 + r.IntN(5)/4
	for i := range towers {
		a.Towers = append(a.Towers, Tower{Name: fmt.Sprintf("tower %d", i+1), Remount: remount})
	}
	for i := range towers + r.IntN(3) + (towers - 1) {
		a.People = append(a.People, Person{Name: fmt.Sprintf("person %d", i+1)})
	}
	a.Work = Work{
		Weigh: Effort{Takes: minute}, PutIn: Effort{Takes: 30 * time.Second}, TakeOut: Effort{Takes: 30 * time.Second},
		Hang: Effort{Takes: halves(r, 3, 8)}, Drop: Effort{Takes: halves(r, 1, 3)}, TakeDown: Effort{Takes: halves(r, 2, 4)},
		TakeOff: Effort{Takes: 30 * time.Second}, PutBack: Effort{Takes: 30 * time.Second},
	}
	if len(a.People) > towers && r.IntN(2) == 0 {
		a.Work.Drop.People = 2
	}
	lunch := morning.Add(4*time.Hour + halves(r, 0, 2)*30)
	a.Days = []Day{{Open: morning, Close: morning.Add(14 * time.Hour), Breaks: []Span{{lunch, lunch.Add(minutes(r, 30, 60))}}}}
	a.Places = []Place{{"sea bath", 1 + r.IntN(6)}, {"rack", 20}}
	if r.IntN(2) == 0 {
		a.Reference = &Reference{Specimen: "R-1", Falls: 1 + r.IntN(2), Rest: About(3*minute, minute), Opens: true, Closes: r.IntN(2) == 0}
	}
	falls, rest, settle := 3+r.IntN(4), About(minutes(r, 3, 6), minutes(r, 1, 2)/2), AtLeast(minutes(r, 0, 3))
	if remount {
		rest = About(minutes(r, 5, 15), minutes(r, 1, 3))
	}
	soak, drain := About(minutes(r, 5, 60), minutes(r, 2, 5)), About(minutes(r, 8, 12), minutes(r, 4, 6))
	wetShare := r.IntN(3)
	for i := range 6*towers + r.IntN(10*towers) {
		j := Job{Name: fmt.Sprintf("M-%02d", i+1), Condition: "dry", Falls: falls, Rest: rest, Settle: settle, Before: []Prep{{Do: Weigh}}}
		if r.IntN(3) < wetShare {
			j.Condition, j.Drain = "soaked", drain
			j.Before = []Prep{{Do: Weigh}, {Do: Soak, In: "sea bath", For: soak}, {Do: Weigh}}
		}
		if r.IntN(4) == 0 {
			j.After = []Prep{{Do: Weigh}}
		}
		a.Jobs = append(a.Jobs, j)
	}
	return a
}
