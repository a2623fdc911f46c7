package main

import (
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
	"fallwright.example/tableio"
	"fallwright.example/uptake"
)

// soakFlags are what the command line says of a table of weighings.
type soakFlags struct {
	minutes, uptake, mass, dry    string
	specimen, condition, protocol string
	law, baseline                 string
	at                            []float64
	resolution, repeatability     string
	weighted, force               bool
	svg                           string
	asJSON                        bool
	kept                          bookFlags // in the place of a table
	against                       string
	file                          tableio.Ask
}

func soakCommand() *cobra.Command {
	f := soakFlags{}
	cmd := &cobra.Command{
		Use:   "soak TABLE",
		Short: "Weigh the water: uptake against time, where it ends, and when",
		Long: `Soak reads a table of weighings (CSV or xlsx, one row a weighing) and fits how
much water ropes took up against the minutes under water: where it ends, how soon
half and 95 % of that were there, and whether the weighings show it at all.

Uptake is the mass gained over the dry mass. Say which column has it, or which have
the mass and the dry mass. With --specimen the weighings of one specimen are known
to hang together; without it each is taken as of a specimen of its own. With
--condition each is fitted by itself and compared with the first, or --baseline.
With --book, and without a table, it is the weighings of a study.
docs/FORMATS.md says which tables are read, docs/METHODS.md how they are fitted.`,
		Example: `  fallwright soak soak.csv --minutes minutes --mass "wet [g]" --dry "dry [g]" --specimen label --condition treatment
  fallwright soak soak.xlsx --minutes min --uptake "uptake [%]" --condition rope --at 1 --at 15 --law weibull --svg soak.svg
  fallwright soak --book club.book --study sea-water --at 1 --at 15`,
		Args: func(cmd *cobra.Command, args []string) error {
			if cmd.Flags().Changed("book") {
				return noArgs(cmd, args)
			}
			return cobra.ExactArgs(1)(cmd, args)
		},
		PreRunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("book") {
				return f.fitsStudy()
			}
			return f.fits()
		},
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return f.runStudy(cmd)
			}
			return f.run(cmd, args[0])
		}),
	}
	f.register(cmd)
	return cmd
}

func (f *soakFlags) register(cmd *cobra.Command) {
	s := cmd.Flags()
	s.SortFlags = false
	s.StringVar(&f.minutes, "minutes", "", "`COLUMN` with the time under water; minutes, or the unit of its title (needed)")
	s.StringVar(&f.uptake, "uptake", "", "`COLUMN` with the uptake, [%] or [kg/kg] of the dry mass")
	s.StringVar(&f.mass, "mass", "", "`COLUMN` with the mass as weighed, in the place of --uptake")
	s.StringVar(&f.dry, "dry", "", "`COLUMN` with the dry mass, beside --mass")
	s.StringVar(&f.specimen, "specimen", "", "`COLUMN` with the specimen")
	s.StringVar(&f.condition, "condition", "", "`COLUMN` with the condition")
	s.StringVar(&f.protocol, "protocol", "", "`COLUMN` that names how it was soaked, drained and blotted; different names are not compared")
	s.BoolVar(&f.force, "force", false, "compare across protocols all the same, marked")
	s.StringVar(&f.baseline, "baseline", "", "`LEVEL` of the condition that others are compared with; the first when left out")
	s.StringVar(&f.law, "law", "", "`NAME` of the law to fit, in the place of the best: "+strings.Join(lawNames(), ", "))
	s.Float64SliceVar(&f.at, "at", nil, "uptake, and its differences, at these `MINUTES`; again, or commas, for more")
	s.StringVar(&f.resolution, "resolution", "", "last `STEP` of the scale: 0.1g")
	s.StringVar(&f.repeatability, "repeatability", "", "standard deviation of one load weighed again, a `MASS`: 0.2g")
	s.BoolVar(&f.weighted, "weighted", false, "weight separate specimens by the scale's uncertainty; needs --mass and --resolution")
	s.StringVar(&f.svg, "svg", "", "draw curves and weighings into this `FILE`")
	s.StringVar(&f.file.Sheet, "sheet", "", "`SHEET` of a workbook, by name or by number; the first when left out")
	s.StringVar(&f.file.Delimiter, "delimiter", "", "`WHAT` parts the cells of text: comma, semicolon, tab, space or bar")
	s.StringVar(&f.file.Decimal, "decimal", "", "`MARK` before the decimals: point or comma")
	f.kept.register(cmd, true, false)
	s.StringVar(&f.against, "against", "", "`NAME` of another study of the book that is compared with too")
	s.BoolVar(&f.asJSON, "json", false, "print JSON, SI: s, and kg of water to a kg of dry rope")
}

func lawNames() []string {
	var out []string
	for _, l := range uptake.Laws() {
		out = append(out, l.Name)
	}
	return out
}

// fits refuses flags that do not go together.
func (f *soakFlags) fits() error {
	refuse := func(flag, what, hint string) error {
		return problem.New(problem.Invalid, "--"+flag, "%s", what).Hint("%s", hint)
	}
	switch {
	case f.minutes == "":
		return refuse("minutes", "it is not said which column has the time under water", "write --minutes COLUMN")
	case f.uptake == "" && f.mass == "":
		return refuse("uptake", "it is not said which column has the water", "write --uptake COLUMN, or --mass COLUMN --dry COLUMN")
	case f.uptake != "" && (f.mass != "" || f.dry != ""):
		return refuse("uptake", "uptake and masses are both given", "give --uptake, or --mass with --dry")
	case f.mass != "" && f.dry == "":
		return refuse("dry", "there is a mass and no dry mass", "write --dry COLUMN: uptake is the mass gained over the dry mass")
	case f.uptake != "" && (f.resolution != "" || f.repeatability != ""):
		return refuse("resolution", "the scale says something of masses, and the table has uptakes", "give --mass and --dry, or leave it out")
	case f.weighted && (f.mass == "" || f.resolution == "" && f.repeatability == ""):
		return refuse("weighted", "there is no scale to weight by", "give --mass, --dry and --resolution")
	case f.baseline != "" && f.condition == "":
		return refuse("baseline", "there is no column of conditions", "write --condition COLUMN")
	case f.force && f.protocol == "":
		return refuse("force", "it is about --protocol, which is not given", "write --protocol COLUMN")
	case f.against != "":
		return refuse("against", "it is about a study of a book", "write --book FILE, without a table")
	}
	return f.asked()
}

// soaked is a table of weighings, fitted.
type soaked struct {
	ask       *soakFlags
	name      string // of the table, or the study
	table     *tableio.Table
	points    []uptake.Point
	answers   []*uptake.Answer
	contrasts []uptake.Contrast
	baseline  string
	at        []float64 // s
	notes     []string
}

func (f *soakFlags) run(cmd *cobra.Command, path string) error {
	table, err := (&comparison{path: path, file: f.file}).read(cmd)
	if err != nil {
		return err
	}
	r := &soaked{ask: f, name: table.Name, table: table, notes: slices.Clone(table.Notes)}
	if err := r.take(); err != nil {
		return at(table.Name, err)
	}
	if r.answers, err = uptake.Answers(r.points, f.law, f.weighted); err != nil {
		return at(table.Name, err)
	}
	if err := r.compare(); err != nil {
		return at(table.Name, err)
	}
	return r.show(cmd)
}

// show draws and prints what was fitted.
func (r *soaked) show(cmd *cobra.Command) error {
	f := r.ask
	if f.svg != "" {
		scene := figure.Uptake(r.answers, nil, true, figure.Canvas{Width: 720, Height: 420})
		if err := os.WriteFile(f.svg, []byte(standing(scene.SVG())), 0o644); err != nil {
			return problem.New(problem.Invalid, f.svg, "the picture could not be written: %v", err)
		}
	}
	if f.asJSON {
		return printJSON(cmd, soakAnswer(r))
	}
	r.print(cmd.OutOrStdout())
	return nil
}

// compare puts the conditions against the baseline.
func (r *soaked) compare() error {
	for _, at := range r.ask.at {
		r.at = append(r.at, 60*at)
	}
	base := 0
	if r.ask.baseline != "" {
		base = slices.IndexFunc(r.answers, func(a *uptake.Answer) bool { return a.Condition == r.ask.baseline })
		if base < 0 {
			var have []string
			for _, a := range r.answers {
				have = append(have, a.Condition)
			}
			return problem.New(problem.NotFound, "baseline "+r.ask.baseline, "no weighing of it").Hint("the conditions are: %s", strings.Join(have, ", "))
		}
	}
	if len(r.answers) < 2 {
		return nil
	}
	r.baseline = r.answers[base].Condition
	marks, err := r.protocols()
	if err != nil {
		return err
	}
	r.contrasts = uptake.Differences(r.answers, base, r.at)
	for i := range r.contrasts {
		r.contrasts[i].Marks = marks
	}
	return nil
}

// protocols refuses conditions that were not soaked by one protocol, by name.
func (r *soaked) protocols() ([]string, error) {
	if r.ask.protocol == "" {
		r.notes = append(r.notes, "nothing says how the ropes were drained and blotted: --protocol names the column, and figures of two protocols are not comparable")
		return nil, nil
	}
	text, err := r.column(r.ask.protocol)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, name := range text {
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	switch {
	case len(names) < 2:
		return nil, nil
	case !r.ask.force:
		return nil, problem.New(problem.Conflict, "--protocol", "the weighings are of %d protocols: %s", len(names), strings.Join(names, ", ")).
			Hint("compare what was soaked, drained and blotted alike, or write --force, and the comparison is marked")
	}
	return []string{"of different protocols: " + strings.Join(names, ", ")}, nil
}

// factor is what a unit of a title is in SI.
func factor(unit string, of quantity.Dimension) (float64, bool) {
	v, err := quantity.Parse("1 "+unit, of)
	return v, err == nil
}
