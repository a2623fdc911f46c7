package power_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"fallwright.example/compare"
	"fallwright.example/internal/near"
	"fallwright.example/power"
	"fallwright.example/problem"
)

// tower is an invented price: 2.5 m of rope a specimen at 4 a metre, a tower at 30
// an hour, six minutes to hang, a minute a fall, three minutes between.
var tower = power.Price{Metres: 2.5, Hang: 360, Fall: 60, Rest: 180, PerMetre: 4, PerHour: 30}

// The bill by hand: 18 specimens of five falls take 45 m, and 18·(360 + 300 + 720) s
// = 6.9 h, of which three-minute rests are 18·12 min.
func TestBill(t *testing.T) {
	b := tower.Of(soaking(6, 3, 5, 2))
	if b.Specimens != 18 || b.Drops != 90 || !near.Abs(b.Metres, 45, 1e-12) || !near.Abs(b.Hours, 6.9, 1e-12) || !near.Abs(b.Cost, 387, 1e-9) {
		t.Errorf("%+v", b)
	}
}

// The fewest specimens are those at which the exact power first reaches what is
// wanted, for several seeds; the cheapest plan costs least of those.
func TestCheapestIsTheExactAnswer(t *testing.T) {
	checked := 0
	for _, margins := range []float64{2, 0} {
		p := soaking(2, 2, 5, margins)
		want := map[int]int{}
		for _, falls := range []int{1, 3, 5} {
			for n := 2; want[falls] == 0; n++ {
				x, err := p.With(n, falls).Exact()
				if err != nil {
					t.Fatal(err)
				}
				found := x[0].Higher
				if margins == 0 {
					found = x[0].NoDifference
				}
				if found >= 0.8 {
					want[falls] = n
				}
			}
		}
		for seed := range uint64(4) {
			c, err := power.Cheapest(t.Context(), p, tower, power.Limits{}, power.Wanted{Power: 0.8, Falls: []int{1, 3, 5}}, power.Options{Seed: seed, Studies: 4000})
			if err != nil {
				t.Fatal(err)
			}
			cheapest := math.Inf(1)
			for _, r := range c.Each {
				if r.Specimens != want[r.Falls] {
					t.Errorf("%g margins, seed %d, %d falls: %d specimens, exactly %d (close: %v)", margins, seed, r.Falls, r.Specimens, want[r.Falls], r.Close)
				}
				if r.Result.Chances[0].Power.P < 0.8 || r.Bill != tower.Of(p.With(r.Specimens, r.Falls)) {
					t.Errorf("%+v", r)
				}
				cheapest = min(cheapest, r.Bill.Cost)
				checked++
			}
			if c.Best.Bill.Cost != cheapest {
				t.Errorf("the cheapest costs %g, chosen is %+v", cheapest, c.Best)
			}
		}
	}
	if checked != 24 {
		t.Fatalf("%d checked", checked)
	}
}

// Every number is looked at that may be the fewest, whatever the power wanted; one that
// is hard to tell is simulated on and said to be close.
func TestFewestAtManyPowers(t *testing.T) {
	p := soaking(2, 2, 3, 1.7)
	exact := map[int]float64{}
	for n := 2; n < 40; n++ {
		x, err := p.With(n, 3).Exact()
		if err != nil {
			t.Fatal(err)
		}
		exact[n] = x[0].Higher
	}
	checked := 0
	for n := 3; n < 16; n++ { // wanted is halfway between two sizes
		c, err := power.Cheapest(t.Context(), p, tower, power.Limits{}, power.Wanted{Power: (exact[n-1] + exact[n]) / 2, Falls: []int{3}}, power.Options{Seed: 3, Studies: 2000})
		if err != nil {
			t.Fatal(err)
		}
		if got := c.Best.Specimens; got != n && !(c.Best.Close && (got == n-1 || got == n+1)) {
			t.Errorf("%d specimens, exactly %d", got, n)
		}
		checked++
	}
	c, err := power.Cheapest(t.Context(), p, tower, power.Limits{}, power.Wanted{Power: exact[6] - 0.001, Falls: []int{3}}, power.Options{Seed: 3, Studies: 1000})
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Best; !got.Close || got.Result.Studies != 16_000 || len(c.Notes) != 1 || got.Specimens < 6 || got.Specimens > 7 {
		t.Errorf("a close call: %+v", got)
	}
	if checked != 13 {
		t.Fatalf("%d checked", checked)
	}
}

// Under limits that leave too little room the refusal says how far the largest plan
// gets, and what stops it.
func TestNothingWithinLimits(t *testing.T) {
	p := soaking(3, 2, 5, 1.2)
	_, err := power.Cheapest(t.Context(), p, tower, power.Limits{Metres: 30}, power.Wanted{Power: 0.9, Falls: []int{3, 5}}, power.Options{Studies: 2000})
	all := problem.All(err)
	if len(all) != 1 || !strings.Contains(all[0].What, "30 m of rope at hand") || !strings.Contains(all[0].What, "4 specimens of each condition") {
		t.Errorf("%v", err)
	}
	_, err = power.Cheapest(t.Context(), p, tower, power.Limits{Hours: 0.5}, power.Wanted{Power: 0.9, Falls: []int{5}}, power.Options{Studies: 2000})
	if all = problem.All(err); len(all) != 1 || !strings.Contains(all[0].What, "0.5 h of tower at hand: room for 0 of a condition") {
		t.Errorf("%v", err)
	}
}

// What the rope at hand can show at best is where the exact power is the one wanted:
// within two in a hundred, the step of the halving and the error of the simulation.
func TestBestIsTheExactAnswer(t *testing.T) {
	p := soaking(2, 2, 4, 1)
	out, err := power.Best(t.Context(), p, tower, power.Limits{Metres: 30}, power.Wanted{Power: 0.8, Falls: []int{2, 4}}, power.Options{Seed: 2, Studies: 10_000})
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, m := range out {
		if m.Specimens != 6 || m.Bill.Metres != 30 || m.Stopped != "30 m of rope at hand" {
			t.Errorf("%+v", m)
		}
		shown := m.Shown[0]
		at := p.With(6, m.Falls)
		at.Questions[0].Truth = power.Truth{Share: shown.Difference / 100}
		x, err := at.Exact()
		if err != nil {
			t.Fatal(err)
		}
		at.Questions[0].Truth, at.Questions[0].Share = power.Truth{}, shown.Margin/100
		y, err := at.Exact()
		at.Questions[0].Share = 0.05
		if err != nil {
			t.Fatal(err)
		}
		if !near.Abs(x[0].Higher, 0.8, 0.02) || !near.Abs(y[0].NoDifference, 0.8, 0.03) {
			t.Errorf("%d falls: %+v have exact powers of %.3f and %.3f", m.Falls, shown, x[0].Higher, y[0].NoDifference)
		}
		checked += 2
	}
	if checked != 4 {
		t.Fatalf("%d checked", checked)
	}
}

// What cannot be had is null in JSON.
func TestNullInJSON(t *testing.T) {
	nan := math.NaN()
	got, err := json.Marshal([]any{power.Width{Mean: nan, P10: 1, P90: math.Inf(1), Unbounded: 0.5}, power.Shown{Difference: nan, Margin: 2}})
	if want := `[{"mean":null,"p10":1,"p90":null,"unbounded":0.5},{"question":"","difference":null,"margin":2}]`; err != nil || string(got) != want {
		t.Errorf("%s, %v", got, err)
	}
}

// A curve has a cell for every size, those that cannot be judged with their refusal;
// power grows with specimens and falls, since all sizes meet the same luck.
func TestOver(t *testing.T) {
	p := soaking(3, 2, 5, 1.6)
	p.Questions[1].Falls = []compare.Fall{"3"}
	sizes := power.Sizes(12)
	c, err := power.Over(t.Context(), p, append([]int{1}, sizes...), []int{1, 3, 5}, power.Options{Studies: 4000})
	if err != nil {
		t.Fatal(err)
	}
	refused, last := 0, map[int]float64{}
	for _, cell := range c.Cells {
		if cell.Refused != nil {
			refused++
			if cell.Specimens > 1 && cell.Falls >= 3 {
				t.Errorf("%+v", cell.Refused)
			}
			continue
		}
		now := cell.Result.Chances[0].Power.P
		if now < last[cell.Falls]-0.01 {
			t.Errorf("%d specimens, %d falls: %g after %g", cell.Specimens, cell.Falls, now, last[cell.Falls])
		}
		last[cell.Falls] = now
	}
	if len(c.Cells) != 3*(len(sizes)+1) || refused != len(sizes)+1+2 || !(last[5] > last[3]) {
		t.Errorf("%d cells, %d refused, %v", len(c.Cells), refused, last)
	}
}

// What a plan lacks is said with its numbers and the nearest plan that can be
// judged.
func TestRefusals(t *testing.T) {
	good := soaking(2, 3, 3, 2)
	change := func(do func(*power.Plan)) power.Plan {
		p := good.With(3, 3)
		p.Questions = append([]power.Question{}, p.Questions...)
		do(&p)
		return p
	}
	checked := 0
	for name, c := range map[string]struct {
		plan power.Plan
		want string
	}{
		"no specimens": {change(func(p *power.Plan) { p.Conditions[1].Specimens = 0 }), "condition soaked 1: 0 specimens"},
		"one specimen": {change(func(p *power.Plan) { p.Conditions[0].Specimens = 1 }), "1 specimen, what varies between specimens needs 2"},
		"fall beyond":  {change(func(p *power.Plan) { p.Questions[0].Falls = []compare.Fall{"5"} }), "asks of fall 5, each specimen has 3"},
		"no such fall": {change(func(p *power.Plan) { p.Questions[0].Falls = []compare.Fall{"last"} }), "asks of fall \"last\""},
		"zero margin":  {change(func(p *power.Plan) { p.Questions[0].Share = 0 }), "its margin is 0"},
		"no condition": {change(func(p *power.Plan) { p.Questions[0].Condition = "frozen" }), "condition frozen: no value of it"},
		"none to drop": {change(func(p *power.Plan) { p.Conditions = nil }), "no condition, there is nothing to compare"},
		"no question":  {change(func(p *power.Plan) { p.Questions = nil }), "no question"},
		"no spread":    {change(func(p *power.Plan) { p.Variances.Parts = nil }), "from value to value is 0"},
		"other scale":  {change(func(p *power.Plan) { p.Ask.Scale = compare.Linear; p.Level = 3500 }), "they are on the log scale, the model is on the linear one"},
		"no level": {change(func(p *power.Plan) {
			p.Ask.Scale, p.Variances = compare.Linear, power.Defaults(compare.Linear, 3500)
		}), "whose level is given as 0"},
		"all of it":     {change(func(p *power.Plan) { p.Questions[0].Truth = power.Truth{Share: -1} }), "more than all of it"},
		"two truths":    {change(func(p *power.Plan) { p.Questions[0].Truth.Share = 0.1 }), "in more than one way"},
		"block unclear": {change(func(p *power.Plan) { p.Blocks = []power.Block{{Name: "rope"}} }), "exactly one of the three"},
		"one rope": {change(func(p *power.Plan) {
			p.Blocks, p.Ask.Blocks = []power.Block{{Name: "rope", Levels: 1}}, []string{"rope"}
		}), "has one level"},
		"rope as specimens": {change(func(p *power.Plan) {
			p.Falls, p.Blocks, p.Ask.Blocks = 1, []power.Block{{Name: "tub", Levels: 3}}, []string{"rope"}
		}), "no column is named \"rope\""},
	} {
		_, err := power.Simulate(t.Context(), c.plan, power.Options{Studies: 100})
		all := problem.All(err)
		if len(all) == 0 || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if hint := strings.Join(all[0].Hints, "; "); strings.Contains(name, "specimen") && name != "rope as specimens" && !strings.Contains(hint, "2 specimens a condition at the least, 3 falls") &&
			!strings.Contains(hint, "3 specimens a condition") {
			t.Errorf("%s: hint %q", name, hint)
		}
		checked++
	}
	if checked != 16 {
		t.Fatalf("%d checked", checked)
	}
	if _, err := power.Cheapest(t.Context(), good, power.Price{}, power.Limits{}, power.Wanted{Power: 0.8, Falls: []int{3}}, power.Options{}); problem.KindOf(err) != problem.Invalid {
		t.Errorf("without a price: %v", err)
	}
	var none *problem.Problem
	if _, err := power.Cheapest(t.Context(), good, tower, power.Limits{}, power.Wanted{Power: 1, Falls: []int{3}}, power.Options{}); !errors.As(err, &none) {
		t.Errorf("a power of 1: %v", err)
	}
}

// An earlier study's variances are those of its fit with the degrees of freedom
// behind them, those between specimens and those left over.
func TestFromAnalysis(t *testing.T) {
	d := invented(4, 5, 3)
	a, err := compare.Analyse(d, compare.Ask{Scale: compare.Log})
	if err != nil {
		t.Fatal(err)
	}
	v, err := power.FromAnalysis(a, power.EarlierStudy, "Skerry Head, invented")
	if err != nil {
		t.Fatal(err)
	}
	if len(v.Parts) != 2 || v.Parts[0].Group != "specimen" || v.Parts[0].SD != a.Random[0].SD || v.Parts[0].DF != 16 || v.Parts[0].PerLevel != 3 ||
		v.Parts[1].SD != a.ResidualSD || !near.Abs(v.Parts[1].DF, 32, 1e-9) || v.Scale != compare.Log {
		t.Errorf("%+v of %+v, %g", v, a.Random, a.ResidualSD)
	}
	p := soaking(3, 4, 3, 2)
	p.Variances, p.Variances.Uncertain = v, true
	r, err := power.Simulate(t.Context(), p, power.Options{Studies: 2000})
	if err != nil || !strings.Contains(r.Said, "earlier study Skerry Head, invented") || !strings.Contains(r.Said, "its own") {
		t.Errorf("%v, %+v", err, r)
	}
	one, err := compare.Analyse(invented(2, 1, 3), compare.Ask{Scale: compare.Log})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := power.FromAnalysis(one, power.Pilot, "one each"); problem.KindOf(err) != problem.TooFew {
		t.Errorf("a study without variances: %v", err)
	}
}

// What is claimed lower is looked for downwards, where it has the exact power wanted.
func TestBestFollowsTheClaim(t *testing.T) {
	p := soaking(2, 2, 4, 1)
	p.Questions[0].Claim, p.Questions[0].Truth = compare.ClaimLower, power.Truth{Margins: -1}
	out, err := power.Best(t.Context(), p, tower, power.Limits{Metres: 30}, power.Wanted{Power: 0.8, Falls: []int{4}}, power.Options{Seed: 2, Studies: 10_000})
	if err != nil {
		t.Fatal(err)
	}
	at := p.With(6, 4)
	at.Questions[0].Truth = power.Truth{Share: -out[0].Shown[0].Difference / 100}
	x, err := at.Exact()
	if err != nil {
		t.Fatal(err)
	}
	if !near.Abs(x[0].Lower, 0.8, 0.02) {
		t.Errorf("%+v has an exact power of %.3f", out[0].Shown[0], x[0].Lower)
	}
}

// Spreads that the analysis has no term for are not said to be in the simulation.
func TestSaidIsWhatIsSimulated(t *testing.T) {
	p := soaking(2, 3, 2, 2)
	p.Variances = power.Defaults(compare.Log, 0)
	r, err := power.Simulate(t.Context(), p, power.Options{Studies: 100})
	if want := "spreads by common practice, no source: specimen 3 %, value to value 2 %"; err != nil || r.Said != want {
		t.Errorf("%q, %v", r.Said, err)
	}
	p.Variances.Source, p.Variances.From = power.EarlierStudy, `study "spray"`
	r, err = power.Simulate(t.Context(), p, power.Options{Studies: 100})
	if want := `spreads from the earlier study "spray": specimen 3 %, value to value 2 %`; err != nil || r.Said != want || len(r.Notes) != 1 {
		t.Errorf("%q, %q, %v", r.Said, r.Notes, err)
	}
}
