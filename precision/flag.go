package precision

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/figure"
)

// Test is the statistic of an outlier test on one material.
type Test struct {
	Name  string   `json:"test"` // "Cochran", "Grubbs, highest", "Grubbs, two lowest", …
	Labs  []string `json:"labs"` // whom it is about
	Value float64  `json:"value"`
	Grade Grade    `json:"grade"`
}

// Grade is how far a statistic stands out.
type Grade string

// Grades as in ISO 5725-2: beyond the 5 % limit a straggler, beyond the 1 %
// limit an outlier.
const (
	Within    Grade = "within"
	Straggler Grade = "straggler"
	Outlier   Grade = "outlier"
)

// Flag is something that stands out. It is never left out by itself.
type Flag struct {
	Labs      []string `json:"labs"`
	Material  string   `json:"material"`
	Statistic string   `json:"statistic"`
	Value     float64  `json:"value"`
	Limit     float64  `json:"limit"` // the one it is beyond
	Grade     Grade    `json:"grade"`
	Sentence  string   `json:"sentence"`
}

// beyond grades a value whose size stands out, or whose smallness does.
func (l Limits) beyond(value float64, small bool) (Grade, float64) {
	out := func(limit *float64) bool {
		return limit != nil && (!small && value > *limit || small && value < *limit)
	}
	switch {
	case out(l.Outlier):
		return Outlier, *l.Outlier
	case out(l.Straggler):
		return Straggler, *l.Straggler
	}
	return Within, 0
}

// test fills Tests and Flags.
func (m *Material) test() {
	for _, c := range m.Cells {
		if c.H != nil {
			grade, limit := m.Critical.H.beyond(math.Abs(*c.H), false)
			m.flag("h", []string{c.Lab}, *c.H, limit, grade, "the mean lies off those of the others")
		}
		if c.K != nil {
			grade, limit := m.Critical.K.beyond(*c.K, false)
			m.flag("k", []string{c.Lab}, *c.K, limit, grade, "its readings differ among themselves more than those of the others")
		}
	}
	m.cochran()
	if m.Labs < 3 || *m.SDOfMeans == 0 {
		return
	}
	order := slices.Clone(m.Cells)
	slices.SortStableFunc(order, func(a, b Cell) int {
		if a.Mean < b.Mean {
			return -1
		}
		if a.Mean > b.Mean {
			return 1
		}
		return 0
	})
	m.grubbs("lowest", order)
	slices.Reverse(order)
	m.grubbs("highest", order)
}

// cochran tests the largest variance against the others.
func (m *Material) cochran() {
	sum, most, lab := 0.0, -1.0, ""
	count := 0
	for _, c := range m.Cells {
		if c.SD == nil {
			continue
		}
		count++
		v := square(*c.SD)
		sum += v
		if v > most {
			most, lab = v, c.Lab
		}
	}
	if count < 2 || sum == 0 {
		return
	}
	grade, limit := m.Critical.Cochran.beyond(most/sum, false)
	m.Tests = append(m.Tests, Test{"Cochran", []string{lab}, most / sum, grade})
	m.flag("Cochran", []string{lab}, most/sum, limit, grade, "its share of the spread within labs is larger than chance gives")
}

// grubbs tests the first, and the first two, of cells in order of their means.
// The test of two is a flag only where the test of one found no outlier, as in
// ISO 5725-2.
func (m *Material) grubbs(which string, order []Cell) {
	g := math.Abs(order[0].Mean-m.CellMean) / *m.SDOfMeans
	one := []string{order[0].Lab}
	grade, limit := m.Critical.Grubbs.beyond(g, false)
	m.Tests = append(m.Tests, Test{"Grubbs, " + which, one, g, grade})
	m.flag("Grubbs, "+which, one, g, limit, grade, "the mean stands apart")
	if len(order) < 4 {
		return
	}
	var rest []float64
	for _, c := range order[2:] {
		rest = append(rest, c.Mean)
	}
	r := momentsOf(rest)
	ratio := square(r.sd) * float64(r.n-1) / (square(*m.SDOfMeans) * float64(len(order)-1))
	two := []string{order[0].Lab, order[1].Lab}
	both, limit := m.Critical.Pair.beyond(ratio, true)
	m.Tests = append(m.Tests, Test{"Grubbs, two " + which, two, ratio, both})
	if grade != Outlier {
		m.flag("Grubbs, two "+which, two, ratio, limit, both, "the two means stand apart together")
	}
}

func (m *Material) flag(statistic string, labs []string, value, limit float64, grade Grade, why string) {
	if grade == Within {
		return
	}
	on := ""
	if m.Name != "" {
		on = " on " + m.Name
	}
	share := map[Grade]string{Straggler: "5 %", Outlier: "1 %"}[grade]
	m.Flags = append(m.Flags, Flag{
		Labs: labs, Material: m.Name, Statistic: statistic, Value: value, Limit: limit, Grade: grade,
		Sentence: fmt.Sprintf("%s%s: %s %s, %s limit %.3f: %s (%s)", sentenceList(labs), on, statistic, figure.Fixed(value, 3), share, limit, why, grade),
	})
}

// notes say what the numbers do not.
func (m *Material) notes(labs []string) []string {
	var out []string
	say := func(format string, args ...any) {
		where := ""
		if m.Name != "" {
			where = m.Name + ": "
		}
		out = append(out, where+fmt.Sprintf(format, args...))
	}
	if m.Labs < len(labs) {
		var missing []string
		for _, l := range labs {
			if !slices.ContainsFunc(m.Cells, func(c Cell) bool { return c.Lab == l }) {
				missing = append(missing, l)
			}
		}
		say("no readings by %s", sentenceList(missing))
	}
	switch {
	case m.Labs == 1:
		say("one lab only: how labs differ cannot be said")
	case m.Repeatability == nil:
		say("one reading in each cell: repeatability and what labs add cannot be told apart; the reproducibility is that of single readings")
	case m.Labs < 5:
		say("%d labs: the spread between them is hardly known, see the interval", m.Labs)
	}
	if m.Repeatability != nil && !m.Equal {
		say("cells hold %s readings: s_R is that of ISO 5725-2, E691 has none; limits of k and Cochran are for %d, the usual number", m.sizes(), m.Critical.Typical)
	}
	if m.Repeatability != nil && m.Repeatability.SD == 0 {
		say("the readings within each lab are all alike: they are read too coarsely for a spread")
	}
	if m.Between != nil && *m.Between == 0 && m.Labs > 1 && m.Repeatability.SD > 0 {
		say("the labs differ no more than repeats do: what labs add is estimated at zero")
	}
	return out
}

// sizes lists the numbers of readings in words.
func (m *Material) sizes() string {
	var n []int
	for _, c := range m.Cells {
		if !slices.Contains(n, c.N) {
			n = append(n, c.N)
		}
	}
	slices.Sort(n)
	words := make([]string, len(n))
	for i, x := range n {
		words[i] = fmt.Sprint(x)
	}
	return strings.Join(words, " or ")
}
