package power_test

import (
	"context"
	"fmt"
	"log"

	"fallwright.example/compare"
	"fallwright.example/power"
)

// How many specimens does it take to see a catch that is 8 % harder after soaking,
// when 5 % matters, and what does that cost?
func Example() {
	plan := power.Plan{
		Conditions: []power.Condition{{Name: "dry", Specimens: 3}, {Name: "soaked", Specimens: 3}},
		Falls:      5,
		Ask:        compare.Ask{Measure: "peak force", Unit: "N", Scale: compare.Log},
		Questions: []power.Question{{
			Question: compare.Question{Name: "soaking", Measure: "peak force", Unit: "N", Condition: "soaked", Baseline: "dry", Share: 0.05},
			Truth:    power.Truth{Share: 0.08},
		}},
		Variances: power.Defaults(compare.Log, 0),
	}
	ctx := context.Background()
	r, err := power.Simulate(ctx, plan, power.Options{Seed: 1})
	if err != nil {
		log.Fatal(err)
	}
	c := r.Chances[0]
	fmt.Printf("%d drops: %s in %.0f %% of studies, ± %.0f %%\n", r.Drops, c.Calls.Word("peak force"), 100*c.Power.P, c.Half.Mean)

	price := power.Price{Metres: 2.5, Hang: 360, Fall: 60, Rest: 180, PerMetre: 4, PerHour: 30}
	choice, err := power.Cheapest(ctx, plan, price, power.Limits{}, power.Wanted{Power: 0.8, Falls: []int{1, 3, 5}}, power.Options{Seed: 1})
	if err != nil {
		log.Fatal(err)
	}
	best := choice.Best
	fmt.Printf("cheapest with 80 %%: %d specimens of each condition, %d fall, %.0f m of rope, %.1f h\n", best.Specimens, best.Falls, best.Bill.Metres, best.Bill.Hours)
	// Output:
	// 30 drops: harder in 60 % of studies, ± 7 %
	// cheapest with 80 %: 5 specimens of each condition, 1 fall, 25 m of rope, 1.2 h
}
