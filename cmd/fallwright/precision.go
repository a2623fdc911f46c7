package main

import (
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/precision"
	"fallwright.example/problem"
	"fallwright.example/tableio"
)

// precisionFlags are what the command line may say of a precision study.
type precisionFlags struct {
	value, lab, cell  string
	without           []string
	nested            []string
	part, operator    string
	ownParts, pool    bool
	tolerance         string
	chart             string
	order             string
	baseline          int
	centre, sd        float64
	rules             []string
	weight, limit     float64
	reference, decide float64
	again, pair       string
	margin            string
	ask               tableio.Ask
	asJSON            bool
}

// precisionKinds are the studies, each by the flags that ask for it, with those
// that it takes besides.
var precisionKinds = []struct {
	name     string
	by, also []string
}{
	{"labs", []string{"lab"}, []string{"cell", "without"}},
	{"nested", []string{"nested"}, nil},
	{"gauge", []string{"operator"}, []string{"part", "own-parts", "pool", "tolerance"}},
	{"chart", []string{"chart"}, []string{"order", "baseline", "centre", "sd", "rules", "weight", "limit", "reference", "decision"}},
	{"pairs", []string{"again", "pair"}, []string{"order", "margin"}},
}

func precisionCommand() *cobra.Command {
	f := precisionFlags{}
	cmd := &cobra.Command{
		Use:   "precision TABLE",
		Short: "Say how well drops repeat: labs, nested samples, gauge study, control chart, pairs",
		Long: `Precision reads a table (CSV or xlsx, one row a reading) and says how far its
readings repeat. One of five studies, by the flag that asks for it:

  --lab       labs, rigs or benches on the same ropes: repeatability and
              reproducibility (ISO 5725-2, E691), Mandel's h and k, Cochran, Grubbs
  --nested    lot, rope, specimen, …: what each level adds
  --operator  a gauge study: parts read by several operators or rigs
  --chart     the reference rope over time: individuals, ewma or cusum
  --again     two readings of the same thing, side by side in two columns, or
  --pair      in two rows: does the rig agree with itself?

What stands out is flagged and never left out; --without leaves out what you
name, beside the full result. Values keep the unit of their column.`,
		Example: `  fallwright precision round-robin.csv --value peak --lab lab --cell rope
  fallwright precision round-robin.csv --value peak --lab lab --cell rope --without B/marram
  fallwright precision cuts.csv --value peak --nested lot,rope,specimen
  fallwright precision gauge.csv --value diameter --part rope --operator reader --tolerance 9.4..9.8
  fallwright precision reference.csv --value peak --chart cusum --order day --baseline 20
  fallwright precision checks.csv --value "fall 1" --again "fall 1 again" --margin 5%`,
		Args: cobra.ExactArgs(1),
		PreRunE: func(cmd *cobra.Command, _ []string) error {
			_, err := precisionKind(cmd)
			return err
		},
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			kind, _ := precisionKind(cmd)
			return f.run(cmd, kind, args[0])
		}),
	}
	f.register(cmd)
	return cmd
}

func (f *precisionFlags) register(cmd *cobra.Command) {
	s := cmd.Flags()
	s.SortFlags = false
	s.StringVar(&f.value, "value", "", "`COLUMN` of the values (needed)")
	s.StringVar(&f.lab, "lab", "", "`COLUMN` with the labs, rigs or benches")
	s.StringVar(&f.cell, "cell", "", "`COLUMN` with the ropes or levels, each analysed by itself")
	s.StringSliceVar(&f.without, "without", nil, "leave out a `LAB`, or LAB/CELL, beside the full result")
	s.StringSliceVar(&f.nested, "nested", nil, "`COLUMNS` from the outermost level to the innermost, with commas between")
	s.StringVar(&f.operator, "operator", "", "`COLUMN` with the operators or rigs of a gauge study")
	s.StringVar(&f.part, "part", "", "`COLUMN` with the parts (ropes, specimens) of a gauge study")
	s.BoolVar(&f.ownParts, "own-parts", false, "each operator has parts of their own, as when a reading uses a part up")
	s.BoolVar(&f.pool, "pool", false, "count the interaction of part and operator as repeatability")
	s.StringVar(&f.tolerance, "tolerance", "", "`WIDTH` of a specification, or its limits LOW..HIGH")
	s.StringVar(&f.chart, "chart", "", "`KIND` of control chart: individuals, ewma or cusum")
	s.StringVar(&f.order, "order", "", "`COLUMN` that puts the points in order: numbers, or dates as 2026-05-31; else the order of the rows")
	s.IntVar(&f.baseline, "baseline", 0, "`POINTS` from the start that set the limits; else all")
	s.Float64Var(&f.centre, "centre", 0, "centre `VALUE` of the chart, in place of the baseline's mean")
	s.Float64Var(&f.sd, "sd", 0, "standard deviation `VALUE` of a point, in place of the baseline's")
	s.StringSliceVar(&f.rules, "rules", nil, "`RULES` of what else signals on a chart of individuals: 2of3 beyond 2 standard deviations, 4of5 beyond 1, 8side in a row on one side")
	s.Float64Var(&f.weight, "weight", 0, "`WEIGHT` of the newest value of an ewma (0.2)")
	s.Float64Var(&f.limit, "limit", 0, "limits of an ewma, `TIMES` its standard deviation (2.962)")
	s.Float64Var(&f.reference, "reference", 0, "reference value of a cusum, `TIMES` the standard deviation (0.5)")
	s.Float64Var(&f.decide, "decision", 0, "decision interval of a cusum, `TIMES` the standard deviation (5)")
	s.StringVar(&f.again, "again", "", "`COLUMN` of the second readings, beside the first in --value")
	s.StringVar(&f.pair, "pair", "", "`COLUMN` that names the pairs; without --again the two rows of a name are a pair")
	s.StringVar(&f.margin, "margin", "", "smallest `DIFFERENCE` that matters: 0.2, 0.2kN or 5% of the mean")
	s.StringVar(&f.ask.Sheet, "sheet", "", "`SHEET` of a workbook, by name or by number; the first when left out")
	s.StringVar(&f.ask.Delimiter, "delimiter", "", "`WHAT` parts the cells of text: comma, semicolon, tab, space or bar")
	s.StringVar(&f.ask.Decimal, "decimal", "", "`MARK` before the decimals: point or comma")
	s.BoolVar(&f.asJSON, "json", false, "print JSON, values in the unit of their column")
}

// precisionKind finds the one study that the flags ask for.
func precisionKind(cmd *cobra.Command) (string, error) {
	set := cmd.Flags().Changed
	kind, asked, all := "", "", []string{}
	takes := map[string]bool{}
	for _, k := range precisionKinds {
		all = append(all, "--"+strings.Join(k.by, " or --"))
		i := slices.IndexFunc(k.by, set)
		if i < 0 {
			continue
		}
		if kind != "" {
			return "", problem.New(problem.Invalid, "--"+k.by[i], "it asks for another study than --%s", asked).
				Hint("ask for one at a time")
		}
		kind, asked = k.name, k.by[i]
		for _, flag := range k.also {
			takes[flag] = true
		}
	}
	if !set("value") {
		return "", problem.New(problem.Invalid, "--value", "the column of the values is not named").Hint("write --value COLUMN")
	}
	if kind == "" {
		return "", problem.New(problem.Invalid, "", "no study is asked for").Hint("give one of %s", strings.Join(all, ", "))
	}
	for _, k := range precisionKinds {
		for _, flag := range k.also {
			if set(flag) && !takes[flag] {
				return "", problem.New(problem.Invalid, "--"+flag, "it belongs to --%s, not to --%s", strings.Join(k.by, " or --"), asked)
			}
		}
	}
	if kind == "gauge" && !set("part") {
		return "", problem.New(problem.Invalid, "--operator", "it needs the parts too").Hint("write --part COLUMN")
	}
	return kind, nil
}

// precisionTable is the rows of a table that have a value.
type precisionTable struct {
	table   *tableio.Table
	value   string // the column's own name
	unit    string
	values  []float64
	rows    []int    // of the table, for each value
	Missing []string // rows without a value, by name
}

func (f *precisionFlags) read(path string) (*precisionTable, error) {
	t, err := tableio.Read(path, f.ask)
	if err != nil {
		return nil, err
	}
	p := &precisionTable{table: t, Missing: []string{}}
	if p.value, err = t.Find(f.value); err != nil {
		return nil, err
	}
	if p.unit, err = t.Unit(p.value); err != nil {
		return nil, err
	}
	all, err := t.Numbers(p.value)
	if err != nil {
		return nil, err
	}
	for i, v := range all {
		if v != v {
			p.Missing = append(p.Missing, t.Row(i))
			continue
		}
		p.values = append(p.values, v)
		p.rows = append(p.rows, i)
	}
	return p, nil
}

// text returns a column for the rows that have a value; each must name something.
func (p *precisionTable) text(column string) ([]string, error) {
	all, err := p.table.Text(column)
	if err != nil {
		return nil, err
	}
	var refused problem.List
	out := make([]string, len(p.rows))
	for i, row := range p.rows {
		if out[i] = all[row]; out[i] == "" {
			refused = append(refused, problem.New(problem.Invalid, p.table.Name+", "+p.table.Row(row), "the value has no %s", column).
				Hint("fill the column in, or leave the row out"))
		}
	}
	return out, refused.Err()
}

// run does the study and prints it.
func (f *precisionFlags) run(cmd *cobra.Command, kind, path string) error {
	p, err := f.read(path)
	if err != nil {
		return err
	}
	do := map[string]func(*cobra.Command, *precisionTable) (any, func(*precisionPage), error){
		"labs": f.labs, "nested": f.levels, "gauge": f.gauge, "chart": f.points, "pairs": f.pairs,
	}[kind]
	answer, show, err := do(cmd, p)
	if err != nil {
		return err
	}
	if f.asJSON {
		return printJSON(cmd, answer)
	}
	page := &precisionPage{w: cmd.OutOrStdout(), p: p}
	show(page)
	return nil
}

// precisionHead is what every answer begins with in JSON.
type precisionHead struct {
	Study   string   `json:"study"`
	Value   string   `json:"value"`
	Unit    string   `json:"unit"`
	Missing []string `json:"without_value"`
}

func (p *precisionTable) head(study string) precisionHead {
	return precisionHead{study, p.value, p.unit, p.Missing}
}

func (f *precisionFlags) labs(_ *cobra.Command, p *precisionTable) (any, func(*precisionPage), error) {
	labs, err := p.text(f.lab)
	if err != nil {
		return nil, nil, err
	}
	cells := make([]string, len(labs))
	if f.cell != "" {
		if cells, err = p.text(f.cell); err != nil {
			return nil, nil, err
		}
	}
	readings := make([]precision.Reading, len(labs))
	for i, v := range p.values {
		readings[i] = precision.Reading{Lab: labs[i], Material: cells[i], Value: v}
	}
	var leave []precision.Left
	for _, w := range f.without {
		l := precision.Left{Lab: w}
		if lab, cell, both := strings.Cut(w, "/"); both && !slices.Contains(labs, w) {
			l = precision.Left{Lab: lab, Material: cell}
		}
		leave = append(leave, l)
	}
	s, err := precision.Study(readings, leave...)
	if err != nil {
		return nil, nil, err
	}
	return struct {
		precisionHead
		*precision.Interlab
	}{p.head("interlaboratory"), s}, func(page *precisionPage) { page.interlab(s) }, nil
}

func (f *precisionFlags) levels(_ *cobra.Command, p *precisionTable) (any, func(*precisionPage), error) {
	samples := make([]precision.Sample, len(p.values))
	for i, v := range p.values {
		samples[i].Value = v
	}
	for _, column := range f.nested {
		names, err := p.text(column)
		if err != nil {
			return nil, nil, err
		}
		for i, n := range names {
			samples[i].Path = append(samples[i].Path, n)
		}
	}
	h, err := precision.Nested(f.nested, samples)
	if err != nil {
		return nil, nil, err
	}
	return struct {
		precisionHead
		*precision.Hierarchy
	}{p.head("nested"), h}, func(page *precisionPage) { page.hierarchy(h) }, nil
}

func (f *precisionFlags) gauge(_ *cobra.Command, p *precisionTable) (any, func(*precisionPage), error) {
	parts, err := p.text(f.part)
	if err != nil {
		return nil, nil, err
	}
	operators, err := p.text(f.operator)
	if err != nil {
		return nil, nil, err
	}
	width, err := p.width(f.tolerance)
	if err != nil {
		return nil, nil, err
	}
	trials := make([]precision.Trial, len(parts))
	for i, v := range p.values {
		trials[i] = precision.Trial{Part: parts[i], Operator: operators[i], Value: v}
	}
	g, err := precision.GaugeStudy(trials, precision.GaugeOptions{Nested: f.ownParts, Pool: f.pool, Tolerance: width})
	if err != nil {
		return nil, nil, err
	}
	return struct {
		precisionHead
		*precision.Gauge
	}{p.head("gauge"), g}, func(page *precisionPage) { page.gauge(g) }, nil
}

// width reads a tolerance, as a width or as two limits.
func (p *precisionTable) width(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	low, high, both := strings.Cut(text, "..")
	if !both {
		low, high = "0", text
	}
	a, errA := p.number(low)
	b, errB := p.number(high)
	if errA != nil || errB != nil || !(b > a) {
		return 0, problem.New(problem.Invalid, "--tolerance", "%q is neither a width above 0 nor two limits", text).
			Hint("write --tolerance 0.4 or --tolerance 9.4..9.8")
	}
	return b - a, nil
}

// number reads a number, with or without the unit of the values.
func (p *precisionTable) number(text string) (float64, error) {
	text = strings.TrimSpace(text)
	if p.unit != "" {
		text = strings.TrimSpace(strings.TrimSuffix(text, p.unit))
	}
	return strconv.ParseFloat(text, 64)
}
