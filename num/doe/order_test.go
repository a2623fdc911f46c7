package doe

import (
	"errors"
	"slices"
	"testing"
)

// The order over days keeps days balanced, rows short and the baseline at the ends.
func TestOrder(t *testing.T) {
	o := Order{Count: []int{10, 8, 8}, Days: []int{13, 13}, MaxRun: 2, Anchored: true}
	d, err := o.Draw()
	if err != nil {
		t.Fatal(err)
	}
	urn, err := d.Urn()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for seed := range uint64(300) {
		a, err := urn.Draw(seed)
		if err != nil {
			t.Fatal(err)
		}
		seen[text(a.Treatment)] = true
		for day := range 2 {
			runs := a.Treatment[13*day : 13*day+13]
			if runs[0] != 0 || runs[12] != 0 {
				t.Errorf("day %d begins with %d and ends with %d", day+1, runs[0], runs[12])
			}
			got := make([]int, 3)
			for i, r := range runs {
				got[r]++
				if i > 1 && r == runs[i-1] && r == runs[i-2] {
					t.Errorf("three in a row: %v", runs)
				}
			}
			if !slices.Equal(got, []int{5, 4, 4}) {
				t.Errorf("day %d has %v", day+1, got)
			}
		}
	}
	if len(seen) < 295 {
		t.Errorf("%d orders of 300 seeds", len(seen))
	}
}

func TestOrderRefusals(t *testing.T) {
	_, err := Order{Count: []int{4, 8}, Days: []int{4, 4, 4}, Anchored: true}.Draw()
	if !errors.Is(err, ErrRange) || err.Error() != "out of range: 6 runs of the baseline at the ends of 3 days, it has 4; 2 more runs of it, or fewer days, would do" {
		t.Errorf("%v", err)
	}
	if _, err := (Order{Count: []int{4}, Days: []int{3}}).Draw(); !errors.Is(err, ErrRange) {
		t.Errorf("%v", err)
	}
	d, err := Order{Count: []int{2, 6}, Days: []int{4, 4}, MaxRun: 2}.Draw()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Urn(); err != nil { // one of the first a day, between the others
		t.Errorf("%v", err)
	}
	d.MaxRun = 1
	_, err = d.Urn()
	var empty *EmptyError
	if !errors.As(err, &empty) || len(empty.Nearest) != 1 || empty.Nearest[0].Need != 2 {
		t.Errorf("%v", err)
	}
}
