package cutting

import (
	"math/rand/v2"
	"testing"

	"fallwright.example/refdata"
)

// bins is bin packing as a cutting problem: each stock costs one.
func bins(length, count int, sizes []int) Problem {
	p := Problem{Stocks: []Stock{{Length: length, Count: count, Cost: 1}}}
	number := map[int]int{}
	for _, s := range sizes {
		if number[s] == 0 {
			p.Pieces = append(p.Pieces, Piece{Length: s})
		}
		number[s]++
	}
	for i, piece := range p.Pieces {
		p.Pieces[i].Count = number[piece.Length]
	}
	return p
}

// Source: [Falkenauer1996], instances of the OR-Library, refdata/cutting. The
// numbers of bins are the best known, all of them reached by the bound here and so
// least; the triplets fill 40 bins to the brim by the way they were made. Whole
// numbers: no tolerance.
func TestFalkenauer(t *testing.T) {
	all, err := refdata.Falkenauer()
	if err != nil || len(all) != 7 {
		t.Fatalf("%d instances read: %v", len(all), err)
	}
	for _, b := range all {
		if len(b.Sizes) != 120 {
			t.Fatalf("%s: %d sizes, want 120", b.Name, len(b.Sizes))
		}
		p := bins(b.Length, 120, b.Sizes)
		p.Effort = 1_000_000_000 // u120_08 and u120_19 were open for years
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		sound(t, p, plan)
		if plan.Cost != b.Bins || !plan.Proven() {
			t.Errorf("%s: %d bins, at least %d, published %d", b.Name, plan.Cost, plan.Bound, b.Bins)
		}
	}
}

// Textbook cutting stock. Chvátal's rolls [Chvatal1983], chapter 13: the linear
// programme gives 452.25 and 453 rolls do. The paper machine is the common example
// of encyclopaedias (from memory): 73 master rolls of 5600 mm. [Kantorovich1960]
// cuts 100 sets of 2.9, 2.1 and 1.5 m from bars of 7.4 m, a table of textbooks
// (from memory): 90 bars, which leave 16 m over.
func TestTextbooks(t *testing.T) {
	for _, c := range []struct {
		name   string
		length int
		pieces []Piece
		want   int
	}{
		{"Chvátal's rolls", 100, []Piece{{45, 97}, {36, 610}, {31, 395}, {14, 211}}, 453},
		{"the paper machine", 5600, []Piece{
			{1380, 22},
			{1520, 25},
			{1560, 12},
			{1710, 14},
			{1820, 18},
			{1880, 18},
			{1930, 20},
			{2000, 10},
			{2050, 12},
			{2100, 14},
			{2140, 16},
			{2150, 18},
			{2200, 20},
		}, 73},
		{"sets of three bars", 74, []Piece{{29, 100}, {21, 100}, {15, 100}}, 90},
	} {
		p := Problem{Stocks: []Stock{{Length: c.length, Count: 2000, Cost: 1}}, Pieces: c.pieces}
		plan, err := Solve(p)
		if err != nil {
			t.Fatal(err)
		}
		sound(t, p, plan)
		if plan.Cost != c.want || !plan.Proven() {
			t.Errorf("%s: %d, at least %d; published %d", c.name, plan.Cost, plan.Bound, c.want)
		}
	}
}

// Pieces of 200 specimens from ten ropes with damage, on a grid of a millimetre.
func ropes(seed uint64, lengths int) Problem {
	random := rand.New(rand.NewPCG(seed, 1))
	p := Problem{Kerf: 5}
	for range 10 {
		rest := 70_000 + random.IntN(20_000)
		for n := 1 + random.IntN(3); n > 0; n-- {
			l := rest / n * (80 + random.IntN(20)) / 100
			p.Stocks = append(p.Stocks, Stock{Length: l, Count: 1})
			rest -= l
		}
	}
	for i := range lengths {
		n := 200 / lengths
		if i == 0 {
			n += 200 % lengths
		}
		p.Pieces = append(p.Pieces, Piece{Length: 2200 + random.IntN(1000), Count: n})
	}
	return p
}

func BenchmarkRopes(b *testing.B) {
	for _, lengths := range []int{1, 2, 3, 5} {
		b.Run(string(rune('0'+lengths))+" lengths", func(b *testing.B) {
			gap, short, n := 0.0, 0, uint64(0)
			for b.Loop() {
				plan, err := Solve(ropes(n, lengths))
				if err != nil {
					b.Fatal(err)
				}
				gap += float64(plan.Cost-plan.Bound) / float64(plan.Cost)
				short += plan.Short()
				n++
			}
			b.ReportMetric(100*gap/float64(n), "%gap")
			b.ReportMetric(float64(short)/float64(n), "short")
		})
	}
}
