package power_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"fallwright.example/compare"
	"fallwright.example/internal/near"
	"fallwright.example/power"
	"fallwright.example/problem"
)

// The same seed gives the same numbers with any number of workers, another seed
// others, within their error.
func TestSameSeedSameNumbers(t *testing.T) {
	p := soaking(3, 3, 3, 1.6)
	run := func(seed uint64, workers int, p power.Plan) *power.Result {
		r, err := power.Simulate(t.Context(), p, power.Options{Seed: seed, Studies: 3000, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	one := run(5, 1, p)
	for _, workers := range []int{2, 5} {
		if got := run(5, workers, p); !reflect.DeepEqual(got, one) {
			t.Errorf("%d workers: %+v, one has %+v", workers, got, one)
		}
	}
	other := run(6, 2, p)
	if other.Chances[0].Power == one.Chances[0].Power || !near.Abs(other.Chances[0].Power.P, one.Chances[0].Power.P, 6*one.Chances[0].Power.SE) {
		t.Errorf("another seed: %+v beside %+v", other.Chances[0].Power, one.Chances[0].Power)
	}
	p.Ask.FallsAs = compare.TrendPerSpecimen
	p.Variances.Parts = append(p.Variances.Parts, compare.Variance{Group: "specimen", Term: "fall", SD: 0.01, DF: math.Inf(1)})
	short := func(workers int) *power.Result {
		r, err := power.Simulate(t.Context(), p, power.Options{Seed: 5, Studies: 300, Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	if a, b := short(1), short(3); !a.Fitted || !reflect.DeepEqual(a, b) {
		t.Errorf("fitted: %+v beside %+v", a, b)
	}
}

// A simulation stops when it is told to and says how far it is, never backwards.
func TestCancelAndProgress(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	last, calls := 0, 0
	_, err := power.Simulate(ctx, soaking(6, 3, 5, 2), power.Options{Studies: 1_000_000, Progress: func(done, all int) {
		if done < last || all != 1_000_000 {
			t.Errorf("%d of %d after %d", done, all, last)
		}
		if last, calls = done, calls+1; calls == 3 {
			cancel()
		}
	}})
	if !errors.Is(err, context.Canceled) || calls < 3 || last > 500_000 {
		t.Errorf("%v after %d calls, %d studies", err, calls, last)
	}
	r, err := power.Simulate(t.Context(), soaking(2, 3, 2, 2), power.Options{Studies: 1000, Progress: func(done, _ int) { last = done }})
	if err != nil || last != 1000 || r.Studies != 1000 {
		t.Errorf("%v, at the end %d of %+v", err, last, r)
	}
}

// Widths are the width of the interval: with known degrees of freedom its mean is
// t·se·E(√(χ²/df)), c₄ for the last; in logarithms and small
// spreads per cent and logarithms differ by less than a hundredth.
func TestHalfWidth(t *testing.T) {
	p := soaking(2, 5, 4, 0)
	p.Variances = spreads(0.003, 0.002)
	r, err := power.Simulate(t.Context(), p, power.Options{Studies: 5000})
	if err != nil {
		t.Fatal(err)
	}
	const df = 8.0
	se := math.Sqrt((0.003*0.003 + 0.002*0.002/4) * 2 / 5)
	a, _ := math.Lgamma((df + 1) / 2)
	b, _ := math.Lgamma(df / 2)
	c4 := math.Sqrt(2/df) * math.Exp(a-b)
	want := 100 * 2.306004 * se * c4 // t(0.975, 8) of any table
	w := r.Chances[0].Half
	if !near.Rel(w.Mean, want, 0.02) || !(w.P10 < w.Mean && w.Mean < w.P90) || w.Unbounded != 0 {
		t.Errorf("half width %+v, want %g", w, want)
	}
	// χ² on 8 has 3.4895 and 13.3616 for its 10 % and 90 % points.
	for got, point := range map[float64]float64{w.P10: 3.4895, w.P90: 13.3616} {
		if !near.Rel(got, 100*2.306004*se*math.Sqrt(point/df), 0.04) {
			t.Errorf("point %g, want %g", got, 100*2.306004*se*math.Sqrt(point/df))
		}
	}
}

// More questions under Holm find less each than one alone, and not less than
// Bonferroni's share of the level leaves.
func TestFamilyCosts(t *testing.T) {
	one, err := power.Simulate(t.Context(), soaking(2, 4, 3, 1.5), power.Options{Studies: 5000})
	if err != nil {
		t.Fatal(err)
	}
	four, err := power.Simulate(t.Context(), soaking(5, 4, 3, 1.5), power.Options{Studies: 5000})
	if err != nil {
		t.Fatal(err)
	}
	joint := soaking(5, 4, 3, 1.5)
	joint.Ask.Adjust = compare.Joint
	j, err := power.Simulate(t.Context(), joint, power.Options{Studies: 5000})
	if err != nil {
		t.Fatal(err)
	}
	if one.Chances[0].Exact == nil || four.Chances[0].Exact != nil {
		t.Error("one question alone has exact chances, four under Holm have none")
	}
	if a, b := one.Chances[0].Half.Mean, four.Chances[0].Half.Mean; !(b > a) {
		t.Errorf("half widths %g alone, %g of four", a, b)
	}
	if a, b := j.Chances[0].Half.Mean, four.Chances[0].Half.Mean; !(a < b && a > 0.9*b) {
		t.Errorf("half widths %g jointly, %g after Holm", a, b)
	}
}

// Ropes as they were dealt: dealt as the rule deals them they are the same study, dealt
// one to a condition they are refused, and at another size too.
func TestBlocksAsDealt(t *testing.T) {
	p := soaking(2, 4, 3, 2)
	p.Ask.Blocks = []string{"rope"}
	p.Blocks = []power.Block{{Name: "rope", Levels: 2}}
	ruled, err := power.Simulate(t.Context(), p, power.Options{Studies: 500})
	if err != nil {
		t.Fatal(err)
	}
	p.Blocks = []power.Block{{Name: "rope", Of: [][]int{{0, 1, 0, 1}, {0, 1, 0, 1}}}}
	dealt, err := power.Simulate(t.Context(), p, power.Options{Studies: 500})
	if err != nil || !reflect.DeepEqual(ruled, dealt) {
		t.Errorf("%v, dealt %+v, ruled %+v", err, dealt, ruled)
	}
	p.Blocks[0].Of = [][]int{{0, 1, 0, 1}, {0, 0, 0, 1}}
	if uneven, err := power.Simulate(t.Context(), p, power.Options{Studies: 50}); err != nil || !uneven.Fitted {
		t.Errorf("%v, uneven %+v", err, uneven)
	}
	p.Blocks[0].Of = [][]int{{0, 0, 0, 0}, {1, 1, 1, 1}}
	if _, err := power.Simulate(t.Context(), p, power.Options{Studies: 50}); problem.KindOf(err) != problem.Invalid {
		t.Errorf("a rope a condition: %v", err)
	}
	if _, err := power.Simulate(t.Context(), p.With(5, 3), power.Options{Studies: 50}); problem.KindOf(err) != problem.Invalid {
		t.Errorf("a list for 4 specimens of 5: %v", err)
	}
}

// Variances that are poorly known make a study less sure of either: where the power
// is high, it is lower.
func TestUncertainVariances(t *testing.T) {
	p := soaking(2, 4, 3, 2.2)
	p.Variances = spreads(0.03, 0.02)
	sure, err := power.Simulate(t.Context(), p, power.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p.Variances.Uncertain = true
	p.Variances.Parts[0].DF, p.Variances.Parts[0].PerLevel, p.Variances.Parts[1].DF = 6, 3, 16
	open, err := power.Simulate(t.Context(), p, power.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a, b := sure.Chances[0], open.Chances[0]
	if !(b.Power.P < a.Power.P-0.03) || b.Exact != nil || !(b.Half.P90-b.Half.P10 > 1.3*(a.Half.P90-a.Half.P10)) {
		t.Errorf("known %+v, open %+v", a, b)
	}
}

func BenchmarkSimulate(b *testing.B) {
	for _, c := range []struct {
		name string
		plan power.Plan
	}{{"strata", soaking(6, 3, 5, 2)}, {"fitted", fittedPlan()}} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := power.Simulate(b.Context(), c.plan, power.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// fittedPlan is the same study with a rope that holds specimens unevenly, so that
// each study is fitted.
func fittedPlan() power.Plan {
	p := soaking(6, 3, 5, 2)
	p.Ask.Blocks = []string{"rope"}
	p.Blocks = []power.Block{{Name: "rope", Levels: 2}}
	return p
}
