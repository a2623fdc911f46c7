package compare

import (
	"math"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

// drop takes rows out of a table.
func (d Data) drop(out func(i int) bool) Data {
	left := Data{}
	for i := range d.Value {
		if !out(i) {
			left.Value = append(left.Value, d.Value[i])
			left.Condition = append(left.Condition, d.Condition[i])
			left.Specimen = append(left.Specimen, d.Specimen[i])
			left.Fall = append(left.Fall, d.Fall[i])
		}
	}
	return left
}

// Two routes: what a specimen or a value changes against the analysis of a table
// without it. Tolerance: two searches end where a Newton step gains 1e-9.
func TestInfluenceIsLeavingOut(t *testing.T) {
	d := dropTest(31, 3, 3, 3, 90, 60)
	for _, ask := range []Ask{{}, {Scale: Log, FallsAs: Trend}, {SpreadByCondition: true}} {
		a, c := checked(t, d, ask)
		n := 0
		look := func(i Influence, without Data) {
			t.Helper()
			b, err := Analyse(without, ask)
			if err != nil {
				t.Fatal(err)
			}
			most := 0.0
			for k, with := range a.Overall {
				most = max(most, math.Abs(b.Overall[k].Amount-with.Amount)/with.SE)
			}
			for k, change := range i.Changes {
				for o, with := range a.Overall {
					if with.Condition != change.Condition {
						continue
					}
					n++
					want := b.Overall[o]
					in := (want.Amount - with.Amount) / with.SE
					if !near.Abs(change.Without, want.Amount, 1e-4*with.SE) || !near.Abs(change.PWithout, want.P, 1e-5) ||
						!near.Abs(change.InSE, in, 1e-4) || k == 0 && !near.Abs(math.Abs(in), most, 1e-4) ||
						change.Turns != ((with.P < 0.05) != (want.P < 0.05)) {
						t.Errorf("without %s: %+v, want %+v", i.Name, change, want)
					}
				}
			}
		}
		// A trend's mean over falls moves with the rows, so there only whole
		// specimens, which have all falls, can be compared.
		for _, i := range c.Specimens {
			look(i, d.drop(func(r int) bool { return d.Specimen[r] == i.Name }))
		}
		if ask.FallsAs == Levels || ask.FallsAs == "" {
			for r, i := range c.Drops {
				look(i, d.drop(func(k int) bool { return k == r }))
			}
		}
		if len(c.Specimens) != 9 || len(c.Drops) != 27 || n < 9 {
			t.Fatalf("%d specimens, %d drops, %d changes looked at", len(c.Specimens), len(c.Drops), n)
		}
	}
}

// What a finding rests on is said: the specimen that turns it, and the only one
// of a condition at a fall.
func TestInfluenceIsSaid(t *testing.T) {
	d := dropTest(31, 2, 4, 2, 20, 20)
	for i, s := range d.Specimen {
		if s == "S-13" {
			d.Value[i] += 900
		}
	}
	_, c := checked(t, d, Ask{})
	all := strings.Join(c.Notes, "\n")
	if !strings.Contains(all, "leaving out specimen S-13 would move a difference the most: c1 to c0 by ") ||
		!strings.Contains(all, "would cross the line of p = 0.05 without specimen S-13") {
		t.Errorf("%s", all)
	}
	sole := dropTest(32, 2, 3, 3, 50, 50)
	sole = sole.drop(func(i int) bool {
		return sole.Condition[i] == "c1" && sole.Fall[i] == "3" && sole.Specimen[i] != "S-12"
	})
	_, c = checked(t, sole, Ask{})
	if all := strings.Join(c.Notes, "\n"); !strings.Contains(all, "without specimen S-12 the difference of c1 to c0 cannot be had: it rests on that alone, add specimens") {
		t.Errorf("%s", all)
	}
}

func TestInfluenceOfLargeTables(t *testing.T) {
	d := dropTest(33, 2, 201, 2, 50, 50)
	_, c := checked(t, d, Ask{})
	all := strings.Join(c.Notes, "\n")
	if c.Specimens[0].Changes != nil || len(c.Specimens) != 402 || len(c.Drops) != 0 ||
		!strings.Contains(all, "402 specimens with 804 values: what leaving out each would change was not worked out, the limit is 400 specimens and 200000 for the product of the two") ||
		!strings.Contains(all, "whether the residual spread differs between conditions was not tested: 402 levels of random terms, the limit is 120") ||
		!near.Rel(c.SpreadByCondition[0].Residual, 50, 0.2) || !near.Rel(c.SpreadByCondition[1].Residual, 50, 0.2) ||
		!strings.Contains(all, "804 values: what leaving out each would change was not worked out, the limit is 400") {
		t.Errorf("%d specimens, %d drops, %s", len(c.Specimens), len(c.Drops), all)
	}
}
