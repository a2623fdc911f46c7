// Package precision says how well drops repeat: within a rig and between labs,
// from level to level of a nested sample, between operators and rigs in a gauge
// study, from day to day on a control chart, and from one reading to the next in
// pairs.
//
// Values are in the unit that the caller has, and so are all results but
// shares, degrees of freedom and statistics of tests. Nothing is left out by
// itself: what stands out is flagged, and what the caller leaves out is named.
// Intervals are two-sided at 95 %. Refusals are *problem.Problem or
// problem.List.
//
// Symbols: s_r ↔ Repeatability.SD, s_L ↔ Between, s_R ↔ Reproducibility.SD, p ↔
// Labs, n ↔ Typical, h and k ↔ H and K [ISO57252] [ASTME691].
package precision

import (
	"math"
	"strconv"
	"strings"

	"fallwright.example/num/dist"
	"fallwright.example/problem"
)

// level of all intervals.
const level = 0.95

// Interval is a two-sided 95 % interval.
type Interval struct {
	Lower float64 `json:"lower"`
	Upper float64 `json:"upper"`
}

// Spread is a standard deviation with its degrees of freedom, its interval and
// the limit 2.8·SD below which two single readings differ in 95 % of cases.
type Spread struct {
	SD       float64   `json:"sd"`
	DF       float64   `json:"df"`
	Interval *Interval `json:"interval"` // null without one
	Limit    float64   `json:"limit"`
}

// pairLimit is 1.96·√2 as the standards round it.
const pairLimit = 2.8

// spread makes a Spread from a variance that is a mean square.
func spread(variance, df float64) *Spread {
	s := &Spread{SD: math.Sqrt(variance), DF: df, Limit: pairLimit * math.Sqrt(variance)}
	if variance > 0 && df > 0 {
		tail := (1 - level) / 2
		s.Interval = &Interval{s.SD * math.Sqrt(df/dist.ChiSquared(tail, df)), s.SD * math.Sqrt(df/dist.ChiSquared(1-tail, df))}
	}
	return s
}

// known gives null for what is not there.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// checkValues refuses values that are no numbers or beyond what squares hold,
// naming each; where gives the name of value i.
func checkValues(n int, value func(i int) float64, where func(i int) string) problem.List {
	var refused problem.List
	for i := range n {
		if v := value(i); math.IsNaN(v) || math.Abs(v) > 1e100 {
			refused = append(refused, problem.New(problem.Invalid, where(i), "the value is %g, which is no reading", v).
				Hint("leave the row out of the table, or give the value that was read"))
		}
	}
	return refused
}

func reading(i int) string { return "reading " + strconv.Itoa(i+1) }

// numbered gives each name a number in the order in which names appear.
func numbered(n int, name func(i int) string) (numbers []int, names []string) {
	first := map[string]int{}
	numbers = make([]int, n)
	for i := range n {
		at, there := first[name(i)]
		if !there {
			at = len(names)
			first[name(i)] = at
			names = append(names, name(i))
		}
		numbers[i] = at
	}
	return numbers, names
}

// sentenceList joins names as in a sentence.
func sentenceList(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// moments are of one set of values, in two passes.
type moments struct {
	n        int
	mean, sd float64 // sd is NaN for one value
}

func momentsOf(values []float64) moments {
	m := moments{n: len(values), sd: math.NaN()}
	origin, shift, squares := values[0], 0.0, 0.0
	for _, v := range values {
		shift += (v - origin) / float64(m.n)
	}
	for _, v := range values {
		squares += (v - origin - shift) * (v - origin - shift)
	}
	m.mean = origin + shift
	if m.n > 1 {
		m.sd = math.Sqrt(squares / float64(m.n-1))
	}
	return m
}
