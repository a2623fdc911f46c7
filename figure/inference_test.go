package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"pgregory.net/rapid"
)

func TestInferenceIsWritten(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Probability(0.0342), "0.034"},
		{Probability(0.0004), "<\u202f0.001"},
		{Probability(0.9999), "1.000"},
		{Probability(math.NaN()), Missing},
		{DF(12.34), "12.3 degrees of freedom"},
		{DF(math.NaN()), ""},
		{Degrees(4, 18.24), "4 and 18.2"},
		{Degrees(4, math.NaN()), Missing},
		{SD(campaign.PeakForce, compare.Linear, 31.4), "0.031\u202fkN"},
		{SD(campaign.PeakForce, compare.Log, math.Log(1.02)), "2.00\u202f%"},
		{Falls([]compare.Fall{"1", "2", "3"}), "falls 1 to 3"},
		{Falls([]compare.Fall{"1", "3"}), "falls 1, 3"},
		{Falls([]compare.Fall{"5"}), "fall 5"},
		{Falls(nil), "all falls"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	falls := []compare.Fall{"10", "9", "1"}
	slices.SortFunc(falls, CompareFalls)
	if fmt.Sprint(falls) != "[1 9 10]" {
		t.Errorf("falls are in the order %v", falls)
	}
}

// On logarithms the figures are per cent, otherwise amounts unless the margin is
// a share; the margin goes with them.
func TestComparisonsOf(t *testing.T) {
	d := compare.Difference{Amount: 0.1, Lower: 0.05, Upper: 0.15, Percent: 10.5, PercentLower: 5.1, PercentUpper: 16.2}
	for _, c := range []struct {
		ask            compare.Ask
		number, limits string
		margin         float64
	}{
		{compare.Ask{Scale: compare.Log, Margin: compare.Margin{Share: 0.05}}, "+10.5\u202f%", "5.1 to 16.2", 5},
		{compare.Ask{Scale: compare.Linear, Margin: compare.Margin{Amount: 200}}, "+0.10\u202fm/s", "0.05 to 0.15", 200},
		{compare.Ask{Scale: compare.Linear, Margin: compare.Margin{Share: 0.1}}, "+10.5\u202f%", "5.1 to 16.2", 10},
		{compare.Ask{Scale: compare.Linear}, "+0.10\u202fm/s", "0.05 to 0.15", 0},
	} {
		a := &compare.Analysis{Ask: c.ask}
		number, limits := Written(campaign.ReboundSpeed, a, d)
		if number != c.number || limits != c.limits {
			t.Errorf("%+v: %q, %q", c.ask, number, limits)
		}
		if k := ComparisonsOf(campaign.ReboundSpeed, a); k.Margin != c.margin || k.Percent != strings.HasSuffix(number, "%") {
			t.Errorf("%+v: margin %g, per cent %v", c.ask, k.Margin, k.Percent)
		}
	}
}

// Whatever is compared: one row a difference, one stroke an interval, each
// condition named.
func TestEffectsHold(t *testing.T) {
	rows := 0
	rapid.Check(t, func(t *rapid.T) {
		names := naming.Draw(t, "conditions")
		k := Comparisons{Measure: campaign.PeakForce, Baseline: names[0], Percent: rapid.Bool().Draw(t, "per cent")}
		if rapid.Bool().Draw(t, "with margin") {
			k.Margin = rapid.Float64Range(0.1, 900).Draw(t, "margin")
		}
		intervals, all := 0, 0
		one := func(name string, fall compare.Fall) compare.Difference {
			d := compare.Difference{Condition: name, Fall: fall}
			for _, v := range []*float64{&d.Amount, &d.Lower, &d.Upper, &d.Percent, &d.PercentLower, &d.PercentUpper} {
				*v = amounts.Draw(t, "number")
			}
			low, high := d.Lower, d.Upper
			if k.Percent {
				low, high = d.PercentLower, d.PercentUpper
			}
			if known(low) && known(high) {
				intervals++
			}
			all++
			return d
		}
		for _, n := range names[1:] {
			for _, fall := range rapid.SliceOfNDistinct(rapid.IntRange(1, 12), 0, 5, rapid.ID[int]).Draw(t, "falls") {
				k.Each = append(k.Each, one(n, compare.FallNumber(fall)))
			}
			k.Overall = append(k.Overall, one(n, ""))
		}
		s := Effects(k, names, sizes.Draw(t, "canvas"))
		checkScene(t, s)
		if len(names) == 1 {
			return
		}
		bars, labels := 0, 0
		for _, m := range s.Marks {
			switch m := m.(type) {
			case Bar:
				bars++
			case Text:
				if m.Anchor == End && (m.Body == overAll || strings.HasPrefix(m.Body, "fall ")) {
					labels++
				}
			}
		}
		if bars != intervals || labels != all {
			t.Fatalf("%d strokes for %d intervals, %d rows for %d differences", bars, intervals, labels, all)
		}
		checkNames(t, s, names[1:])
		rows += all
	})
	if rows == 0 {
		t.Error("no row was looked at")
	}
}

// Every residual that is a number is drawn once in either picture, and the
// outlying ones are named in the picture and in words.
func TestResidualsHold(t *testing.T) {
	looked := 0
	rapid.Check(t, func(t *rapid.T) {
		names := naming.Draw(t, "conditions")
		var rows []compare.Residual
		drawn, odd := 0, ""
		for i := range rapid.IntRange(0, 40).Draw(t, "rows") {
			r := compare.Residual{
				Row: fmt.Sprintf("M-%02d fall 1", i), Condition: rapid.SampledFrom(names).Draw(t, "condition"),
				Fitted: rapid.Float64Range(7, 9).Draw(t, "fitted"), Standardised: rapid.Float64Range(-4, 4).Draw(t, "residual"),
			}
			switch rapid.IntRange(0, 9).Draw(t, "kind") {
			case 0:
				r.Standardised = math.NaN()
			case 1:
				r.Outlying, odd = true, r.Row
			}
			if known(r.Standardised) {
				drawn++
			}
			rows = append(rows, r)
		}
		for _, s := range []*Scene{
			Residuals(rows, names, compare.Log, UnitOf(campaign.PeakForce), sizes.Draw(t, "canvas")),
			Quantiles(rows, names, sizes.Draw(t, "canvas")),
		} {
			checkScene(t, s)
			dots := 0
			for _, m := range s.Marks {
				if d, ok := m.(Dot); ok && d.Size == 3.8 {
					dots++
				}
			}
			if dots != drawn {
				t.Fatalf("%d marks for %d residuals", dots, drawn)
			}
			if odd != "" && (!strings.Contains(words(s), odd) || !strings.Contains(s.Desc, odd)) {
				t.Fatalf("outlying %s is not named", odd)
			}
		}
		looked += drawn
	})
	if looked == 0 {
		t.Error("no residual was looked at")
	}
}

// Normal residuals lie along the line: the k-th in order is drawn as high as the
// axis along the bottom puts it.
func TestQuantilesOfANormalLieOnTheLine(t *testing.T) {
	var rows []compare.Residual
	for i := range 30 {
		rows = append(rows, compare.Residual{Row: fmt.Sprint(i), Condition: "dry", Fitted: 1, Standardised: plotted(i, 30)})
	}
	s := Quantiles(rows, []string{"dry"}, Canvas{Width: 520, Height: 300})
	var line Line
	var dots []Dot
	for _, m := range s.Marks {
		switch m := m.(type) {
		case Dot:
			if m.Size == 3.8 {
				dots = append(dots, m)
			}
		case Line:
			if len(m.Dash) == 2 && m.Dash[0] == 5 {
				line = m
			}
		}
	}
	slices.SortFunc(dots, func(a, b Dot) int { return cmp.Compare(a.X, b.X) })
	a, b := line.Points[0], line.Points[1]
	for i, d := range dots {
		if want := a.Y + (d.X-a.X)/(b.X-a.X)*(b.Y-a.Y); math.Abs(d.Y-want) > 1e-6 {
			t.Errorf("mark %d lies %.3g px off the line", i, d.Y-want)
		}
	}
	if len(dots) != 30 {
		t.Errorf("%d marks", len(dots))
	}
	// The median of an odd number is at zero; the largest of ten is expected at
	// 1.539 (tables of normal order statistics), which these places give to 0.01.
	if q := plotted(4, 9); math.Abs(q) > 1e-12 {
		t.Errorf("the middle of nine is at %g", q)
	}
	if q := plotted(9, 10); math.Abs(q-1.539) > 0.01 {
		t.Errorf("the largest of ten is at %g", q)
	}
}
