package doe

import (
	"errors"
	"math"
	"math/big"
	"slices"
	"testing"

	"fallwright.example/num/dist"
)

// every lists, in lexicographic order, the arrangements that a draw permits, by
// going through all arrangements of its numbers: it counts nothing.
func every(d Draw) [][]int {
	var out [][]int
	left := slices.Clone(d.Count)
	var fill func(a []int)
	fill = func(a []int) {
		if len(a) == d.slots() {
			if d.Permits(a) {
				out = append(out, slices.Clone(a))
			}
			return
		}
		for t := range left {
			if left[t] > 0 {
				left[t]--
				fill(append(a, t))
				left[t]++
			}
		}
	}
	fill(nil)
	return out
}

func blocks(sizes ...int) []int {
	var out []int
	for b, n := range sizes {
		out = append(out, slices.Repeat([]int{b}, n)...)
	}
	return out
}

// draws that can be gone through by hand; size is worked out where it can be.
var draws = []struct {
	name string
	d    Draw
	size int64 // 0 where only counting knows
}{
	{"four of two", Draw{Count: []int{2, 2}}, 6},
	{"no neighbours alike", Draw{Count: []int{3, 3}, MaxRun: 1}, 2},
	// 3 complete blocks of 3: (3!)³.
	{"complete blocks", Draw{Count: []int{3, 3, 3}, Families: []Family{{Name: "rope", Block: blocks(3, 3, 3)}}}, 216},
	// Latin squares of order 3: rows and columns each once: 12.
	{"latin square", Draw{Count: []int{3, 3, 3}, Families: []Family{
		{Name: "rope", Block: blocks(3, 3, 3)}, {Name: "place", Block: []int{0, 1, 2, 0, 1, 2, 0, 1, 2}},
	}}, 12},
	{"complete blocks without equal neighbours", Draw{Count: []int{3, 3, 3}, MaxRun: 1, Families: []Family{{Name: "place", Block: blocks(3, 3, 3)}}}, 6 * 4 * 4},
	// Four of eight slots hold 2, 1, 1 or 1, 2, 1 of them, the others the rest: 2·12·12.
	{"each has at least its share rounded down", Draw{Count: []int{3, 3, 2}, Families: []Family{{Name: "bath", Block: []int{0, 0, 0, 0, -1, -1, -1, -1}}}}, 288},
	{"incomplete blocks, two rows", Draw{Count: []int{3, 3, 2}, MaxRun: 1, Row: blocks(4, 4), Families: []Family{
		{Name: "rope", Block: blocks(4, 4)}, {Name: "place", Block: []int{0, 1, 1, 0, 0, 1, 1, 0}},
	}}, 0},
	{"baseline first and last of two days", Draw{Count: []int{4, 3, 3}, MaxRun: 1, Row: blocks(5, 5), Fixed: map[int]int{0: 0, 4: 0, 5: 0, 9: 0}, Families: []Family{{Name: "day", Block: blocks(5, 5)}}}, 0},
	{"some slots in no block, slack", Draw{Count: []int{3, 4}, Families: []Family{{Name: "bath", Block: []int{0, 0, -1, 1, 1, 1, -1}, Slack: 1}}}, 0},
	{"two lengths", Draw{Count: []int{2, 2, 3}, Kind: []int{0, 0, 1}, MaxRun: 2, Quota: &Quota{Block: blocks(4, 3), Of: [][]int{{3, 1}, {1, 2}}}, Families: []Family{{Name: "rope", Block: blocks(4, 3)}}}, 0},
	{"unequal numbers", Draw{Count: []int{1, 2, 5}, Families: []Family{{Name: "place", Block: []int{0, 1, 0, 1, 0, 1, 0, 1}}}, MaxRun: 2}, 0},
}

// The urn holds what is permitted, all of it, once each: counting and going through
// all arrangements agree to the last one.
func TestUrnHoldsWhatIsPermitted(t *testing.T) {
	looked := 0
	for _, c := range draws {
		want := every(c.d)
		urn, err := c.d.Urn()
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if got := urn.Size(); got.Cmp(big.NewInt(int64(len(want)))) != 0 || c.size > 0 && c.size != int64(len(want)) {
			t.Errorf("%s: counted %v, went through %d, worked out %d", c.name, got, len(want), c.size)
			continue
		}
		for rank, a := range want {
			looked++
			if got := urn.counter.arrangement(big.NewInt(int64(rank))); !slices.Equal(got, a) {
				t.Errorf("%s: the arrangement of rank %d is %v, want %v", c.name, rank, got, a)
			}
		}
	}
	if looked < 490 {
		t.Errorf("%d arrangements looked at", looked)
	}
}

// 100 000 draws with seeds 1 to 100 000, the seeds that people type: the numbers of
// each arrangement against equal ones by chi-square. All seeds being fixed the test
// always ends the same; p from 0.001 to 0.999 is what equal chances give 998 times
// in 1000, too even being as wrong as too uneven.
func TestDrawIsUniform(t *testing.T) {
	const draw = 100_000
	cases := 0
	for _, c := range draws {
		all := every(c.d)
		if len(all) > 100 || len(all) < 10 || c.d.Families == nil || c.d.Kind != nil || len(c.d.Count) == 3 && c.d.Count[2] == 5 {
			continue
		}
		cases++
		urn, err := c.d.Urn()
		if err != nil {
			t.Fatal(err)
		}
		place := map[string]int{}
		for i, a := range all {
			place[text(a)] = i
		}
		got := make([]int, len(all))
		for seed := range uint64(draw) {
			a, err := urn.Draw(seed + 1)
			if err != nil {
				t.Fatal(err)
			}
			i, permitted := place[text(a.Treatment)]
			if !permitted {
				t.Fatalf("%s: drew %v, which is not permitted", c.name, a.Treatment)
			}
			got[i]++
		}
		checkUniform(t, c.name, got)
	}
	if cases != 4 {
		t.Errorf("%d draws looked at", cases)
	}
}

func text(a []int) string {
	b := make([]byte, len(a))
	for i, t := range a {
		b[i] = byte('a' + t)
	}
	return string(b)
}

func checkUniform(t *testing.T, name string, got []int) {
	t.Helper()
	n, chi := 0, 0.0
	for _, k := range got {
		n += k
	}
	want := float64(n) / float64(len(got))
	for _, k := range got {
		chi += (float64(k) - want) * (float64(k) - want) / want
	}
	if p := dist.ChiSquaredTail(chi, float64(len(got)-1)); p < 0.001 || p > 0.999 || math.IsNaN(p) {
		t.Errorf("%s: chi-square %.1f on %d degrees of freedom, p %.2g", name, chi, len(got)-1, p)
	}
}

// The fallback for draws that cannot be counted is uniform too: the counter is made
// to leave restrictions out, or all of them, on draws that can be gone through.
func TestFallbackIsUniform(t *testing.T) {
	d := draws[6].d
	all := every(d)
	relaxed := d.fewer()[0]
	c := newCounter(relaxed)
	size := c.ways(0)
	if size.Cmp(big.NewInt(int64(len(all)))) <= 0 {
		t.Fatalf("leaving a restriction out gives %v arrangements, all of them %d", size, len(all))
	}
	for name, urn := range map[string]*Urn{
		"without the last family": {d: d, counter: c, size: size, relaxed: true},
		"shuffled":                {d: d, relaxed: true},
	} {
		got, tries := make([]int, len(all)), 0
		place := map[string]int{}
		for i, a := range all {
			place[text(a)] = i
		}
		for seed := range uint64(20_000) {
			a, err := urn.Draw(seed)
			if err != nil {
				t.Fatal(err)
			}
			tries += a.Tries
			got[place[text(a.Treatment)]]++
		}
		if tries < 21_000 {
			t.Errorf("%s: %d tries for 20000 draws: nothing was drawn anew", name, tries)
		}
		checkUniform(t, name, got)
	}
}

// What stands in the way is named, with the least that would help, and it does.
func TestEmptyUrn(t *testing.T) {
	for _, c := range []struct {
		name string
		d    Draw
		want []Loosening
	}{
		{"runs", Draw{Count: []int{5, 2}, MaxRun: 1}, []Loosening{{Restriction: "runs", Now: 1, Need: 2}}},
		{
			"fixed more often than there are",
			Draw{Count: []int{3, 5}, Fixed: map[int]int{0: 0, 3: 0, 4: 0, 7: 0}},
			[]Loosening{{Restriction: "fixed slots"}},
		},
		{
			"a block that is fixed to one treatment",
			Draw{Count: []int{2, 2}, Fixed: map[int]int{0: 0, 1: 0}, Families: []Family{{Name: "day", Block: blocks(2, 2)}}},
			[]Loosening{{Restriction: "day", Now: 0, Need: 1}, {Restriction: "fixed slots"}},
		},
	} {
		_, err := c.d.Urn()
		var empty *EmptyError
		if !errors.As(err, &empty) || !errors.Is(err, ErrEmpty) {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if len(every(c.d)) != 0 {
			t.Errorf("%s: refused, and there are arrangements", c.name)
		}
		for i := range empty.Nearest {
			if empty.Nearest[i].Text == "" {
				t.Errorf("%s: a loosening without words", c.name)
			}
			empty.Nearest[i].Text = ""
		}
		if !slices.Equal(empty.Nearest, c.want) {
			t.Errorf("%s: %+v, want %+v", c.name, empty.Nearest, c.want)
		}
	}
}
