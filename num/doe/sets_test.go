package doe

import (
	"slices"
	"testing"
)

// The draw in two steps gives every arrangement of the joint restrictions, and all
// of them equally often (see TestDrawIsUniform for the bounds of p).
func TestSetsAreUniform(t *testing.T) {
	for name, s := range map[string]Sets{
		"two ropes of four, three conditions": {
			Count: []int{3, 3, 2}, Set: []int{1, 1, 1}, MaxRun: 1,
			Rows: []Row{{Slots: 4, Whole: 1}, {Slots: 4, Whole: 1}},
		},
		"pairs": {Count: []int{3, 2}, Set: []int{1, 1}, MaxRun: 2, Rows: []Row{{Slots: 3, Whole: 1}, {Slots: 2, Whole: 1}}},
		"two lengths in stretches": {
			Count: []int{2, 2, 2}, Set: []int{1, 1, 1}, MaxRun: 1, Kind: []int{0, 0, 1},
			Rows: []Row{
				{Slots: 4, Whole: 1, Stretch: []int{0, 0, 1, 1}, Of: [][]int{{1, 1}, {2, 0}}},
				{Slots: 2, Whole: 0, Stretch: []int{0, 0}, Of: [][]int{{1, 1}}},
			},
		},
		"sets of two and two": {
			Count: []int{4, 4}, Set: []int{2, 2}, MaxRun: 2, Rows: []Row{{Slots: 6, Whole: 1}, {Slots: 2, Whole: 0}},
		},
		"a baseline that stands twice": {
			Count: []int{5, 2, 1}, Set: []int{2, 1, 0}, MaxRun: 2, AnyRun: []bool{false, false, true},
			Rows: []Row{{Slots: 4, Whole: 1}, {Slots: 4, Whole: 1}},
		},
	} {
		d := s.joint()
		place := map[string]int{}
		for _, a := range every(d) {
			place[text(a)] = len(place)
		}
		got := make([]int, len(place))
		for seed := range uint64(10_000) {
			a, err := s.Draw(seed)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if !a.Uniform || a.Size == nil || a.Size.Int64() != int64(len(place)) {
				t.Fatalf("%s: uniform %v over %v, went through %d", name, a.Uniform, a.Size, len(place))
			}
			i, permitted := place[text(slices.Concat(a.Treatment...))]
			if !permitted {
				t.Fatalf("%s: drew %v", name, a.Treatment)
			}
			got[i]++
		}
		if len(got) < 4 {
			t.Errorf("%s: %d arrangements", name, len(got))
		}
		checkUniform(t, name, got)
	}
}

// large is a study of many ropes.
func large(ropes, each, treatments int) Sets {
	s := Sets{Count: make([]int, treatments), Set: slices.Repeat([]int{1}, treatments), MaxRun: 1}
	for i := range ropes * each {
		s.Count[i%treatments]++
	}
	for range ropes {
		s.Rows = append(s.Rows, Row{Slots: each, Whole: each / treatments})
	}
	return s
}

// Large draws keep every restriction of the joint draw.
func TestLargeSets(t *testing.T) {
	for _, c := range [][3]int{{10, 20, 6}, {10, 20, 5}, {10, 20, 3}, {10, 20, 8}, {4, 17, 7}, {2, 9, 3}, {10, 23, 12}} {
		s := large(c[0], c[1], c[2])
		a, err := s.Draw(7)
		if err != nil {
			t.Errorf("%v: %v", c, err)
			continue
		}
		if !s.joint().Permits(slices.Concat(a.Treatment...)) || a.Size == nil {
			t.Errorf("%v: drew what is not permitted, or did not count", c)
		}
	}
	// A baseline that stands twice in a set, and spares that stand anywhere.
	s := Sets{
		Count: []int{6, 3, 3, 2}, Set: []int{2, 1, 1, 0}, MaxRun: 1, AnyRun: []bool{false, false, false, true},
		Rows: []Row{{Slots: 9, Whole: 2}, {Slots: 5, Whole: 1}},
	}
	for seed := range uint64(200) {
		a, err := s.Draw(seed)
		if err != nil || !a.Uniform || a.Size == nil || !s.joint().Permits(slices.Concat(a.Treatment...)) {
			t.Fatalf("seed %d: %+v, %v", seed, a, err)
		}
	}
}

// Too many to be counted at once: two steps, which is said, and all restrictions kept.
func TestSetsInTwoSteps(t *testing.T) {
	s := Sets{Set: []int{2, 1, 1, 1, 1, 1, 0}, MaxRun: 1, AnyRun: []bool{6: true}, Count: []int{48, 24, 24, 24, 25, 26, 4}}
	for range 7 {
		s.Rows = append(s.Rows, Row{Slots: 25, Whole: 3})
	}
	for seed := range uint64(1) {
		a, err := s.Draw(seed)
		if err != nil {
			t.Fatal(err)
		}
		if a.Uniform || a.Size != nil {
			t.Errorf("said to be uniform over %v", a.Size)
		}
		if !s.joint().Permits(slices.Concat(a.Treatment...)) {
			t.Errorf("drew %v", a.Treatment)
		}
	}
}

func BenchmarkLargeSets(b *testing.B) {
	for b.Loop() {
		if _, err := large(10, 20, 6).Draw(1); err != nil {
			b.Fatal(err)
		}
	}
}
