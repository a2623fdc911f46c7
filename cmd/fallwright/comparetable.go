package main

import (
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	compare "fallwright.example/compare"
	"fallwright.example/num/lmm"
	"fallwright.example/problem"
	"fallwright.example/tableio"
)

// comparison is everything that the flags say of a table.
type comparison struct {
	path   string
	asJSON bool

	file     tableio.Ask
	value    string
	wide     []string
	specimen string
	// condition and fall are columns, as are blocks and covariates.
	condition, fall    string
	blocks, covariates []string
	within             string

	baseline, margin, fallsAs, scale, df, adjust, family, spread string

	bootstrap         int
	seed              uint64
	randomise, checks bool
}

func (c *comparison) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&c.value, "value", "", "`COLUMN` of the table with the values; with --wide, what they are called")
	f.StringVar(&c.specimen, "specimen", "", "`COLUMN` with the specimen that a value is from")
	f.StringVar(&c.condition, "condition", "", "`COLUMN` with the condition")
	f.StringVar(&c.fall, "fall", "", "`COLUMN` with the fall; with --wide, what the columns' names or numbers are called")
	f.StringSliceVar(&c.wide, "wide", nil, "`COLUMNS` with the values of one specimen beside each other: names with commas between, or a pattern with *")
	f.StringArrayVar(&c.blocks, "block", nil, "`COLUMN` taken as a random effect (rope, lot, day); again for more, a:b for two joined")
	f.StringArrayVar(&c.covariates, "covariate", nil, "`COLUMN` of numbers taken as a fixed effect; again for more")
	f.StringVar(&c.fallsAs, "falls-as", "levels", "what falls are taken `AS`: levels, trend or trend-per-specimen")
	f.StringVar(&c.baseline, "baseline", "", "`LEVEL` of the condition that others are compared with; the first when left out")
	f.StringVar(&c.margin, "margin", "", "smallest `DIFFERENCE` that matters: 5%, 0.2kN, or a number in the table's unit")
	f.StringVar(&c.scale, "scale", "linear", "`SCALE` of the model: linear, or log for ratios")
	f.StringVar(&c.df, "df", "kenward-roger", "degrees of freedom by `METHOD`: kenward-roger or satterthwaite")
	f.StringVar(&c.adjust, "adjust", "none", "adjust for several comparisons by `METHOD`: none, holm or joint")
	f.StringVar(&c.family, "family", "all", "comparisons adjusted together: `WHICH` of all, or those of each fall")
	f.StringVar(&c.spread, "spread", "equal", "residual `SPREAD`: equal, or its own for each condition")
	f.BoolVar(&c.checks, "checks", false, "print residuals, influence and other checks of the model")
	f.BoolVar(&c.randomise, "randomise", false, "test each comparison over falls by dealing the specimens anew")
	f.StringVar(&c.within, "within", "", "`COLUMN` within whose levels the specimens were dealt, for --randomise")
	f.IntVar(&c.bootstrap, "bootstrap", 0, "intervals by a parametric bootstrap of `N` draws too")
	f.Uint64Var(&c.seed, "seed", 1, "`SEED` of --bootstrap and --randomise")
	f.StringVar(&c.file.Sheet, "sheet", "", "`SHEET` of a workbook, by name or by number; the first when left out")
	f.StringVar(&c.file.Delimiter, "delimiter", "", "`WHAT` parts the cells of text: comma, semicolon, tab, space or bar")
	f.StringVar(&c.file.Decimal, "decimal", "", "`MARK` before the decimals: point or comma")
}

// choices are the flags that take one of some words.
func (c *comparison) choices() []struct {
	flag, said string
	of         []string
} {
	return []struct {
		flag, said string
		of         []string
	}{
		{"falls-as", c.fallsAs, []string{"levels", "trend", "trend-per-specimen"}},
		{"scale", c.scale, []string{"linear", "log"}},
		{"df", c.df, []string{"kenward-roger", "satterthwaite"}},
		{"adjust", c.adjust, []string{"none", "holm", "joint"}},
		{"family", c.family, []string{"all", "fall"}},
		{"spread", c.spread, []string{"equal", "condition"}},
		{"decimal", c.file.Decimal, []string{"", "point", "comma"}},
		{"delimiter", c.file.Delimiter, []string{"", "comma", "semicolon", "tab", "space", "bar"}},
	}
}

// bookOnly are the flags that a table has no use for.
var bookOnly = []string{"book", "study"}

// fits refuses flags that do not go with each other.
func (c *comparison) fits(cmd *cobra.Command, table bool) error {
	own := comparison{}
	of := &cobra.Command{}
	own.flags(of)
	var misplaced string
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		isOwn := of.Flags().Lookup(f.Name) != nil
		if f.Changed && (table && slices.Contains(bookOnly, f.Name) || !table && isOwn) && misplaced == "" {
			misplaced = f.Name
		}
	})
	switch {
	case misplaced != "" && table:
		return problem.New(problem.Invalid, "--"+misplaced, "it is about a study in a book, and a table is given").Hint("give the one or the other")
	case misplaced != "":
		return problem.New(problem.Invalid, "--"+misplaced, "it is about a table, and no table is given").Hint("write fallwright compare TABLE --%s ...", misplaced)
	case !table:
		return nil
	case c.value == "" && len(c.wide) == 0:
		return problem.New(problem.Invalid, "--value", "it is not said which column has the values").Hint("write --value COLUMN, or --wide COLUMNS where they stand beside each other")
	case c.within != "" && !c.randomise:
		return problem.New(problem.Invalid, "--within", "it is about --randomise, which is not given")
	case cmd.Flags().Changed("bootstrap") && c.bootstrap < 200:
		return problem.New(problem.Invalid, "--bootstrap", "%d draws: limits of 95 %% need 200 at the least", c.bootstrap)
	}
	for _, one := range c.choices() {
		if slices.Contains(one.of, one.said) {
			continue
		}
		known := slices.DeleteFunc(slices.Clone(one.of), func(s string) bool { return s == "" })
		p := problem.New(problem.Invalid, "--"+one.flag, "%q is none of %s", one.said, strings.Join(known, ", "))
		if near, ok := problem.Nearest(one.said, known); ok {
			p.Hint("write --%s %s", one.flag, near)
		}
		return p
	}
	return nil
}

// run reads the table, compares and prints.
func (c *comparison) run(cmd *cobra.Command) error {
	table, err := c.read(cmd)
	if err != nil {
		return err
	}
	data, ask, err := c.ask(table)
	if err != nil {
		return err
	}
	a, err := compare.Analyse(data, ask)
	if err != nil {
		return at(table.Name, err)
	}
	r := &compared{ask: c, table: table, data: data, analysis: a}
	if err := r.more(); err != nil {
		return at(table.Name, err)
	}
	if c.asJSON {
		return printJSON(cmd, r)
	}
	r.print(cmd.OutOrStdout())
	return nil
}

// at puts the table's name before what a refusal is about.
func at(name string, err error) error {
	for _, p := range problem.All(err) {
		if !strings.HasPrefix(p.Where, name) {
			p.Where = strings.TrimSuffix(name+", "+p.Where, ", ")
		}
	}
	return err
}

func (c *comparison) read(cmd *cobra.Command) (*tableio.Table, error) {
	var table *tableio.Table
	var err error
	if c.path == "-" {
		data, readErr := io.ReadAll(io.LimitReader(cmd.InOrStdin(), tableio.MostBytes+1))
		if readErr != nil {
			return nil, readErr
		}
		table, err = tableio.ReadFrom("standard input", data, c.file)
	} else {
		table, err = tableio.Read(c.path, c.file)
	}
	if err != nil || len(c.wide) == 0 {
		return table, err
	}
	columns, err := table.Match(c.wide)
	if err != nil {
		return nil, err
	}
	if c.fall == "" {
		c.fall = "fall"
	}
	if c.value == "" {
		c.value = "value"
	}
	return table.Long(columns, c.fall, c.value)
}

// ask makes data and model of the table.
func (c *comparison) ask(table *tableio.Table) (data compare.Data, ask compare.Ask, err error) {
	used := map[string]bool{}
	own := func(name string) string {
		if name == "" || err != nil {
			return ""
		}
		var found string
		if found, err = table.Find(name); err == nil {
			used[found] = true
		}
		return found
	}
	text := func(name string) []string {
		var out []string
		if name = own(name); name != "" {
			out, err = table.Text(name)
		}
		return out
	}
	if name := own(c.value); name != "" {
		data.Value, err = table.Numbers(name)
		ask.Measure = name
	}
	if err == nil {
		ask.Unit, err = table.Unit(c.value)
	}
	data.Specimen, data.Condition = text(c.specimen), text(c.condition)
	for _, f := range text(c.fall) {
		data.Fall = append(data.Fall, compare.Fall(f))
	}
	for i := range table.Rows {
		row := table.Row(i)
		if len(c.wide) > 0 && data.Fall != nil { // several values stand in it
			row += fmt.Sprintf(", %s %s", c.fall, data.Fall[i])
		}
		data.Row = append(data.Row, row)
	}
	for _, b := range c.blocks {
		var parts []string
		for part := range strings.SplitSeq(b, ":") {
			name := own(part)
			parts = append(parts, name)
			if !slices.ContainsFunc(data.Columns, func(c compare.Column) bool { return c.Name == name }) {
				data.Columns = append(data.Columns, compare.Column{Name: name, Value: text(name)})
			}
		}
		ask.Blocks = append(ask.Blocks, strings.Join(parts, ":"))
	}
	for _, name := range c.covariates {
		if name = own(name); name != "" {
			m := compare.Measured{Name: name}
			m.Value, err = table.Numbers(name)
			data.Measured = append(data.Measured, m)
			ask.Covariates = append(ask.Covariates, name)
		}
	}
	if err != nil {
		return data, ask, err
	}
	c.others(table, used, &data)
	ask.Baseline, ask.FallsAs, ask.Scale, ask.Adjust = c.baseline, compare.FallsAs(c.fallsAs), compare.Scale(c.scale), compare.Adjust(c.adjust)
	ask.EachFall, ask.SpreadByCondition = c.family == "fall", c.spread == "condition"
	if c.df == "satterthwaite" {
		ask.DF = lmm.Satterthwaite
	}
	ask.Margin, err = marginOf(c.margin, ask.Unit)
	return data, ask, err
}

// others brings in the columns that the model does not use, for the checks to
// look at: as numbers where they hold numbers that do not repeat as names do.
func (c *comparison) others(table *tableio.Table, used map[string]bool, data *compare.Data) {
	for _, name := range table.Names {
		if used[name] {
			continue
		}
		text, err := table.Text(name)
		if err != nil {
			continue
		}
		numbers, err := table.Numbers(name)
		if err == nil && measured(numbers) {
			data.Measured = append(data.Measured, compare.Measured{Name: name, Value: numbers})
			continue
		}
		data.Columns = append(data.Columns, compare.Column{Name: name, Value: text})
	}
}

// measured reports whether a column of numbers is measured rather than names,
// such as days 1, 2, 3: names are whole numbers that repeat.
func measured(numbers []float64) bool {
	seen := map[float64]bool{}
	n := 0
	for _, v := range numbers {
		if math.IsNaN(v) {
			continue
		}
		if v != math.Trunc(v) {
			return true
		}
		seen[v] = true
		n++
	}
	return 2*len(seen) > n && n > 0
}

// compared is a table that was compared, and all that is printed of it.
type compared struct {
	ask      *comparison
	table    *tableio.Table
	data     compare.Data
	analysis *compare.Analysis
	answers  []compare.Answer // where there is a margin

	checks    *compare.Checks
	bootstrap *compare.Bootstrap
	dealt     []dealt
	notes     []string
}

// dealt is one comparison over falls, tested by dealing anew.
type dealt struct {
	Condition string `json:"condition"`
	Baseline  string `json:"baseline"`
	*compare.Randomisation
}

// mostChecked is how many rows are checked without being asked: beyond it a
// check takes longer than the fit.
const mostChecked = 5000

// more makes what stands beside the analysis.
func (r *compared) more() error {
	a, c := r.analysis, r.ask
	r.notes = slices.Concat(r.table.Notes, a.Notes)
	var err error
	if a.Ask.Margin != (compare.Margin{}) && len(a.Overall) > 0 {
		if r.answers, err = a.Put(r.questions()); err != nil {
			return err
		}
	}
	if c.checks || a.N <= mostChecked {
		if r.checks, err = a.Check(); err != nil {
			return err
		}
		for _, h := range r.checks.Hidden {
			r.notes = append(r.notes, h.Said)
		}
	} else {
		r.notes = append(r.notes, fmt.Sprintf("columns that the model does not hold were not looked at, for there are %d rows; --checks does it", a.N))
	}
	if len(a.Overall) == 0 && (c.bootstrap > 0 || c.randomise) {
		r.notes = append(r.notes, "there is no comparison to draw or to deal anew: --condition names the column of conditions")
		return nil
	}
	if c.bootstrap > 0 {
		if r.bootstrap, err = a.Bootstrap(c.bootstrap, c.seed, runtime.GOMAXPROCS(0)); err != nil {
			return err
		}
	}
	if c.randomise {
		return r.deal()
	}
	return nil
}

// questions are one for each condition over all falls.
func (r *compared) questions() []compare.Question {
	a := r.analysis
	var out []compare.Question
	for _, d := range a.Overall {
		out = append(out, compare.Question{
			Name: d.Condition, Measure: a.Ask.Measure, Unit: a.Ask.Unit, Condition: d.Condition, Baseline: d.Baseline,
			Share: a.Ask.Margin.Share, Amount: a.Ask.Margin.Amount, Within: r.ask.within,
		})
	}
	return out
}

// deal tests each comparison over falls by dealing the specimens anew.
func (r *compared) deal() error {
	var strata []string
	if r.ask.within != "" {
		var err error
		if strata, err = r.table.Text(r.ask.within); err != nil {
			return err
		}
	}
	r.dealt = []dealt{}
	for _, d := range r.analysis.Overall {
		x, err := r.analysis.Randomise(d.Condition, d.Baseline, nil, strata, r.ask.seed)
		if err != nil {
			for _, p := range problem.All(err) {
				r.notes = append(r.notes, fmt.Sprintf("%s against %s cannot be dealt anew: %s", d.Condition, d.Baseline, p.Error()))
			}
			if len(problem.All(err)) == 0 {
				return err
			}
			continue
		}
		r.dealt = append(r.dealt, dealt{d.Condition, d.Baseline, x})
	}
	return nil
}
