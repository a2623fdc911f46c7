package cutlist_test

import (
	"fmt"

	"fallwright.example/cutlist"
)

// A rope of the invented Skerry Head study: nine specimens in three conditions and
// a spare from one rope of 44 m with damage; and what is said when it is too short.
func Example() {
	ropes := []cutlist.Rope{{
		Name: "Marram 1", Lot: "Marram 9.6", Length: 44, Zero: "tagged end",
		DiscardStart: 1, DiscardEnd: 0.5,
		Damage: []cutlist.Interval{{From: 12.3, To: 13.2}},
		Middle: 20, MiddleClear: 0.2,
	}}
	demand := cutlist.Demand{
		Wants: []cutlist.Want{
			{Lot: "Marram 9.6", Condition: "dry", Count: 3, FreeLength: 2.6},
			{Lot: "Marram 9.6", Condition: "soaked", Count: 3, FreeLength: 2.6},
			{Lot: "Marram 9.6", Condition: "dried", Count: 3, FreeLength: 2.6},
			{Lot: "Marram 9.6", Condition: "", Count: 1, FreeLength: 2.6}, // a spare
		},
		Knots: cutlist.Knots{Count: 2, TakeUp: 0.3, Tail: 0.1, Name: "figure of eight"},
		Kerf:  0.005, Keep: 3, MaxRun: 1, Seed: 2026,
	}
	list, err := cutlist.Plan(ropes, demand)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range list.Pieces {
		if p.Spare {
			p.Condition = "spare"
		}
		fmt.Printf("%s  %6.3f to %6.3f m  set %d  %-6s  %s\n", p.Label, p.From, p.To, p.Set, p.Place, p.Condition)
	}
	for _, u := range list.Uses {
		fmt.Printf("%s: %d pieces, %.2f m; waste %.2f m; kept %v\n", u.Rope, u.Pieces, u.Cut, u.Waste, u.Left)
	}
	fmt.Println("checked:", cutlist.Check(list, ropes, demand) == nil)
	fmt.Println(list.Labels()[0])
	fmt.Println(list.Steps(ropes, demand)[2].Do)

	demand.Wants[0].Count = 6
	_, err = cutlist.Plan(ropes, demand)
	fmt.Println(err)
	// Output:
	// M-01   1.000 to  4.400 m  set 1  ends    dried
	// M-02   4.405 to  7.805 m  set 1  ends    soaked
	// M-03   7.810 to 11.210 m  set 1  ends    dry
	// M-04  13.200 to 16.600 m  set 2  middle  dried
	// M-05  20.200 to 23.600 m  set 2  middle  dry
	// M-06  23.605 to 27.005 m  set 2  middle  soaked
	// M-07  27.010 to 30.410 m  set 3  middle  dried
	// M-08  30.415 to 33.815 m  set 3  ends    dry
	// M-09  33.820 to 37.220 m  set 3  ends    soaked
	// M-10  37.225 to 40.625 m  set 4  ends    spare
	// Marram 1: 10 pieces, 34.00 m; waste 3.96 m; kept [{16.605 19.8}]
	// checked: true
	// {M-01 [Marram 1 1.00 to 4.40 m dried test specimen, not for climbing after use: destroy]}
	// mark 4.400 m, which is 3.400 m from the last cut
	// lot Marram 9.6: 13 specimens take 44.20 m without the cuts, its 1 rope of 44.0 m has 41.20 m usable in 3 stretches
}

// Pieces of 3.40 m with 5 mm lost at each cut, in 29 m before a mark and 28.95 m
// behind it: eight and eight; the part of 3.40 m is one.
func ExampleRope_Holds() {
	r := cutlist.Rope{Name: "A", Lot: "Marram 9.6", Length: 60, DiscardStart: 1, DiscardEnd: 1, Middle: 30.025, MiddleClear: 0.025}
	fmt.Println(r.Holds(3.4, 0.005), r.Holds(29, 0), r.Holds(29.001, 0))
	// Output: 16 1 0
}
