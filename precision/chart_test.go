package precision

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/problem"
)

func points(t *testing.T, name string) []Point {
	t.Helper()
	_, v := published(t, name)
	out := make([]Point, len(v))
	for i := range v {
		out[i].Value = v[i]
	}
	return out
}

func chart(t *testing.T, p []Point, o ChartOptions) *Chart {
	t.Helper()
	c, err := NewChart(p, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func of(x float64) *float64 { return &x }

func signalled(c *Chart) []int {
	var out []int
	for _, s := range c.Signals {
		out = append(out, s.Point)
	}
	return out
}

// [NISTHB151] 6.3.2.4: limits to four decimals, the series to two.
func TestEWMA(t *testing.T) {
	c := chart(t, points(t, "ewma"), ChartOptions{Kind: EWMA, Centre: of(50), Spread: of(2.0539), Lambda: 0.3, Limit: 3})
	within(t, "lower limit", *c.Lower, 47.4116, 4)
	within(t, "upper limit", *c.Upper, 52.5884, 4)
	want := []float64{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99}
	if len(want) != len(c.Plotted) || len(c.Signals) != 0 {
		t.Fatalf("%d points, signals %v", len(c.Plotted), c.Signals)
	}
	for i, p := range c.Plotted {
		within(t, "point "+p.Label, *p.EWMA, want[i], 2)
	}
	// The first limit is that of λ·x alone, the last all but final.
	digits(t, "first limit", *c.Plotted[0].Upper, 50+3*0.3*2.0539, 12)
	if last := *c.Plotted[19].Upper; !near.Abs(last, *c.Upper, 1e-5) || last >= *c.Upper {
		t.Errorf("last limit %g, final %g", last, *c.Upper)
	}
}

// [NISTHB151] 6.3.2.3: sums to four decimals, the first signal at group 14.
func TestCUSUM(t *testing.T) {
	const s = 0.635
	c := chart(t, points(t, "cusum"), ChartOptions{Kind: CUSUM, Centre: of(325), Spread: of(s), Reference: 0.3175 / s, Decision: 4.1959 / s})
	for i, want := range []float64{3.0075, 4.9400, 7.4475, 10.6300, 11.9875, 14.4450, 16.0025, 19.0350} {
		within(t, "sum", *c.Plotted[12+i].High, want, 4)
	}
	if got := signalled(c); !slices.Equal(got, []int{14, 15, 16, 17, 18, 19, 20}) || c.Signals[0].Side != "high" {
		t.Errorf("signals at %v", got)
	}
	digits(t, "decision", *c.Upper, 4.1959, 12)
}

// Run lengths on the chart are those of num/runlength, whose tests hold the
// published ones: 370 for three standard deviations, 465 and 10.4 for the usual
// CUSUM, 500 for the usual EWMA.
func TestRunLengths(t *testing.T) {
	p := points(t, "ewma")
	for _, c := range []struct {
		kind         ChartKind
		at, at1, tol float64
	}{{Individuals, 370.40, 43.89, 0.01}, {CUSUM, 465.4, 10.38, 0.1}, {EWMA, 500, 10.5, 0.5}} {
		runs := chart(t, p, ChartOptions{Kind: c.kind}).Runs
		if !near.Abs(*runs[0].Points, c.at, c.tol) || !near.Abs(*runs[2].Points, c.at1, c.tol) || runs[2].Shift != 1 {
			t.Errorf("%s: %v", c.kind, runs)
		}
	}
}

// Centre and spread by hand: 10 12 11 14 has mean 11.75 and ranges 2 1 3, so the
// spread is 2/(2/√π) = √π; d₂ 1.128, d₃ 0.8525 and D₄ 3.267 are in every table.
func TestIndividualsByHand(t *testing.T) {
	p := []Point{{"a", 10}, {"b", 12}, {"c", 11}, {"d", 14}, {"e", 20}, {"f", 11}}
	c := chart(t, p, ChartOptions{Baseline: 4})
	digits(t, "centre", c.Centre, 11.75, 14)
	digits(t, "spread", c.Spread, math.Sqrt(math.Pi), 14)
	digits(t, "mean range", *c.MeanRange, 2, 14)
	digits(t, "upper", *c.Upper, 11.75+3*math.Sqrt(math.Pi), 14)
	within(t, "D₄", *c.RangeLimit / *c.MeanRange, 3.267, 3)
	if got := signalled(c); !slices.Equal(got, []int{5, 6}) || c.Signals[0].Label != "e" || c.Signals[0].Side != "high" || c.Signals[1].Side != "" {
		t.Errorf("signals %+v", c.Signals)
	}
	if c.Plotted[3].Baseline != true || c.Plotted[4].Baseline != false || *c.Plotted[4].Range != 6 {
		t.Errorf("%+v", c.Plotted)
	}
	// Later points 20 and 11 against the baseline: 15.5 − 11.75, variances 40.5/2
	// and (8.75/3)/4.
	digits(t, "later", c.Later.Difference, 3.75, 12)
	digits(t, "its SE", c.Later.SE, math.Sqrt(40.5/2+8.75/12), 12)
	if all := strings.Join(c.Notes, "\n"); !strings.Contains(all, "limits from 4 points") {
		t.Errorf("notes %q", c.Notes)
	}
}

// Each rule by the shortest run that meets it, and by one that does not quite;
// points in standard deviations.
func TestRunsRules(t *testing.T) {
	for _, c := range []struct {
		rule Rule
		run  []float64
		want []int
	}{
		{OnePoint, []float64{3.1, -3.1, 3, 0}, []int{1, 2}},
		{TwoOf3, []float64{2.1, 0, 2.1, 0, 0, 2.1, -2.1, 0, -2.1}, []int{3, 9}},
		{TwoOf3, []float64{2.1, 2.1, 0}, []int{2}},
		{FourOf5, []float64{1.1, 1.1, -1, 1.1, 1.1, 0}, []int{5}},
		{FourOf5, []float64{1.1, 1.1, -1.1, -1.1, 1.1, 1.1}, nil},
		{EightSide, []float64{0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, -0.1}, []int{8}},
		{EightSide, []float64{0.1, 0.1, 0.1, 0, 0.1, 0.1, 0.1, 0.1, 0.1}, nil},
	} {
		p := make([]Point, len(c.run))
		for i, v := range c.run {
			p[i].Value = v
		}
		var runs []int
		for _, s := range chart(t, p, ChartOptions{Rules: []Rule{c.rule}, Centre: of(0), Spread: of(1)}).Signals {
			if s.Side != "" {
				runs = append(runs, s.Point)
			}
		}
		if !slices.Equal(runs, c.want) {
			t.Errorf("%s of %v: %v, want %v", ruleWords(c.rule), c.run, runs, c.want)
		}
	}
}

// Thickness of silicon wafers, five a day on twenty days: mean of all and of the
// daily standard deviations and ranges, by numpy 1.24; the chart of daily means
// has them as its centre and, within days, the pooled spread.
func TestWaferDays(t *testing.T) {
	var all []Reading
	days := map[string][]float64{}
	for _, r := range recorded(t, "thickness of wafers", 25, 2, "nist-interlab", "CCXBAR.DAT") {
		all = append(all, Reading{label(r[1]), "", r[0]})
		days[label(r[1])] = append(days[label(r[1])], r[0])
	}
	s, err := Study(all)
	if err != nil {
		t.Fatal(err)
	}
	m, sds, ranges := s.Materials[0], 0.0, 0.0
	var p []Point
	for _, c := range m.Cells {
		sds += *c.SD / 20
		ranges += (slices.Max(days[c.Lab]) - slices.Min(days[c.Lab])) / 20
		p = append(p, Point{c.Lab, c.Mean})
	}
	digits(t, "mean", m.Mean, 23.726, 12)
	digits(t, "mean SD", sds, 0.8206582, 7)
	digits(t, "mean range", ranges, 2.05, 12)
	if c := chart(t, p, ChartOptions{}); len(c.Plotted) != 20 || near.Digits(c.Centre, 23.726) < 12 {
		t.Errorf("chart of %d days about %g", len(c.Plotted), c.Centre)
	}
}

func TestChartRefusals(t *testing.T) {
	p := []Point{{"", 1}, {"", 2}, {"", 1.5}}
	for name, c := range map[string]struct {
		points []Point
		o      ChartOptions
		kind   problem.Kind
	}{
		"none":            {nil, ChartOptions{}, problem.TooFew},
		"none but given":  {nil, ChartOptions{Centre: of(1), Spread: of(1)}, problem.TooFew},
		"one":             {p[:1], ChartOptions{}, problem.TooFew},
		"baseline of one": {p, ChartOptions{Baseline: 1}, problem.TooFew},
		"too long":        {p, ChartOptions{Baseline: 4}, problem.Invalid},
		"flat":            {[]Point{{"", 1}, {"", 1}}, ChartOptions{}, problem.TooFew},
		"kind":            {p, ChartOptions{Kind: "p"}, problem.Invalid},
		"weight":          {p, ChartOptions{Lambda: 1.5}, problem.Invalid},
		"limit":           {p, ChartOptions{Limit: -1}, problem.Invalid},
		"decision":        {p, ChartOptions{Decision: math.Inf(1)}, problem.Invalid},
		"spread":          {p, ChartOptions{Spread: of(0)}, problem.Invalid},
		"centre":          {p, ChartOptions{Centre: of(math.NaN())}, problem.Invalid},
		"rule":            {p, ChartOptions{Rules: []Rule{{Of: 3, Among: 2}}}, problem.Invalid},
		"value":           {[]Point{{"", math.NaN()}, {"", 1}}, ChartOptions{}, problem.Invalid},
	} {
		if _, err := NewChart(c.points, c.o); problem.KindOf(err) != c.kind {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A drift that keeps neighbours alike is said, for the run lengths need
// independent points.
func TestNeighbours(t *testing.T) {
	p := make([]Point, 24)
	for i := range p {
		p[i].Value = math.Sin(float64(i) / 4)
	}
	if notes := chart(t, p, ChartOptions{}).Notes; !slices.ContainsFunc(notes, func(n string) bool { return strings.Contains(n, "hang together") }) {
		t.Errorf("notes %q", notes)
	}
}

func BenchmarkChart(b *testing.B) {
	p := make([]Point, 1000)
	for i := range p {
		p[i].Value = math.Sin(float64(i * i))
	}
	for b.Loop() {
		if _, err := NewChart(p, ChartOptions{Rules: []Rule{OnePoint, TwoOf3, FourOf5, EightSide}}); err != nil {
			b.Fatal(err)
		}
	}
}
