package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
	"fallwright.example/traceio/parquet"
	"fallwright.example/traceio/uff"
	"fallwright.example/traceio/wav"
	"fallwright.example/traceio/xlsx"
)

// readers are the formats of trace files that this program knows.
func readers() *traceio.Readers {
	return traceio.New(delimited.Format{}, xlsx.Format{}, wav.Format{}, parquet.Format{}, uff.Format{})
}

// readAsk is everything that read's flags say.
type readAsk struct {
	file  trace.Ask
	set   trace.Settings
	class string
	pull  string
	cell  string
	angle float64 // degrees
	gate  string
	guide string

	doubtGuide string

	recipe     string
	keepRecipe string
	book       string

	asJSON, bounces, budget, preview bool
	table, plot                      string
}

func readCommand() *cobra.Command {
	var ask readAsk
	cmd := &cobra.Command{
		Use:   "read FILE...",
		Short: "Take the readings of force traces",
		Long: `Read takes each file's peak, time to peak, impulse and bounce peaks, and with
--mass and --drop also stretch, energy and rebound speed, each with its
uncertainty. Columns, delimiter, decimal sign, units and sign are found in the
file where they can be; --preview shows what was understood and why. A folder
stands for the traces in it, and * and ? work in names.`,
		Example: `  fallwright read fall-01.csv --mass 80 --drop 1.42 --cfc 60
  fallwright read logger.txt --rate 2000 --unit kN --preview --keep-recipe tower.toml
  fallwright read monday/ --recipe tower.toml --mass 80 --table monday.csv --plot monday.svg`,
		Args: cobra.MinimumNArgs(1),
		PreRunE: func(cmd *cobra.Command, _ []string) error {
			return ask.check(cmd)
		},
		RunE: doing(func(cmd *cobra.Command, files []string) error { return ask.run(cmd, files) }),
	}
	ask.flags(cmd)
	return cmd
}

func (a *readAsk) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.Float64Var(&a.file.Rate, "rate", 0, "samples a second in `HZ`, when the file has no time column or a poor one")
	f.StringVar(&a.file.Force, "force", "", "force `COLUMN`, by name or by number from 1")
	f.StringVar(&a.file.Time, "time", "", "time `COLUMN`, likewise")
	f.StringVar(&a.file.Stretch, "stretch", "", "`COLUMN` of a recorded displacement, likewise; none for none")
	f.StringVar(&a.file.Gate, "gate", "", "`COLUMN` of a light gate's level, likewise")
	f.StringVar(&a.file.Unit, "unit", "", "force `UNIT` of the file: N, mN, daN, kN, lbf or kgf; g or m/s2 of a sensor in the mass")
	f.StringVar(&a.file.Delimiter, "delimiter", "", "`WHAT` parts the cells of text: comma, semicolon, tab, space or bar")
	f.StringVar(&a.file.Decimal, "decimal", "", "`MARK` before the decimals: point or comma")
	f.StringVar(&a.file.Sheet, "sheet", "", "`SHEET` of a workbook, by name or by number from 1")
	f.StringVar(&a.file.Part, "part", "", "the one `DROP` of several in a file, by name or by number from 1")
	f.Float64Var(&a.file.FullScale, "full-scale", 0, "`FORCE` at full scale, in --unit, of a WAV file")
	f.StringVar(&a.pull, "pull", "", "`SIGN` of a pull in the file: positive or negative")
	f.StringVar(&a.recipe, "recipe", "", "take these from a recipe: a TOML `FILE`, or the name of one kept in --book")
	f.StringVar(&a.keepRecipe, "keep-recipe", "", "keep what these flags say as a recipe in a new TOML `FILE`")
	f.StringVar(&a.book, "book", "", "`FILE` that is the book in which --recipe is looked up")

	f.Float64Var(&a.set.Mass, "mass", 0, "falling mass in `KG`")
	f.Float64Var(&a.set.Drop, "drop", 0, "free fall before the rope goes tight, in `M`")
	f.Float64Var(&a.set.Length, "length", 0, "free length of rope, in `M`")
	f.Float64Var(&a.set.Gravity, "gravity", 0, "local gravity in `M/S2`; 9.80665 when not given")
	f.StringVar(&a.class, "cfc", "none", "filter `CLASS`: 60, 180, 600, 1000 or none")
	f.Float64Var(&a.set.Edge.Friction, "edge-friction", 0, "`COEFFICIENT` of friction of an edge between rope and cell")
	f.Float64Var(&a.angle, "edge-angle", 0, "`DEGREES` that the rope bends over that edge")
	f.Float64Var(&a.set.Gate.Flag, "gate-flag", 0, "width in `M` of the flag that breaks a light gate's beam")
	f.Float64Var(&a.set.Gate.Time, "gate-time", 0, "`S` that the beam was broken, when no --gate column has it")
	f.Float64Var(&a.set.Gate.Above, "gate-above", 0, "`M` from the flag's middle in the beam down to first contact")

	f.StringVar(&a.cell, "u-cell", "", "standard uncertainty of the cell's calibration, as `0.5%`")
	f.Float64Var(&a.set.Doubt.Mass, "u-mass", 0, "standard uncertainty of the mass, in `KG`")
	f.Float64Var(&a.set.Doubt.Drop, "u-drop", 0, "standard uncertainty of the drop, in `M`")
	f.Float64Var(&a.set.Doubt.Friction, "u-edge-friction", 0, "standard uncertainty of the edge's friction, a `COEFFICIENT`")
	f.StringVar(&a.gate, "u-gate", "", "standard uncertainty of the gate's speed, as `1%`")
	f.StringVar(&a.guide, "guide", "", "`SHARE` of the drop's energy that the guide takes, as 2%")
	f.StringVar(&a.doubtGuide, "u-guide", "", "standard uncertainty of that `SHARE`, as 0.5%")
	f.IntVar(&a.set.Trials, "trials", 0, "propagate by Monte Carlo too, with `N` trials")
	f.Uint64Var(&a.set.Seed, "seed", 1, "`SEED` of the trials")

	f.BoolVar(&a.preview, "preview", false, "show what was understood of each file, and why, before its reading")
	f.BoolVar(&a.bounces, "bounces", false, "show every contact, not the first alone")
	f.BoolVar(&a.budget, "budget", false, "show where each uncertainty comes from")
	f.StringVar(&a.table, "table", "", "write the readings to a CSV `FILE`, one line a drop (with --bounces, a contact)")
	f.StringVar(&a.plot, "plot", "", "draw the traces to an SVG `FILE`")
	f.BoolVar(&a.asJSON, "json", false, "print JSON, one object a drop")
}

// check refuses flags that cannot be meant.
func (a *readAsk) check(cmd *cobra.Command) error {
	classes := map[string]int{"none": 0, "60": 60, "180": 180, "600": 600, "1000": 1000}
	class, ok := classes[a.class]
	if !ok {
		return fmt.Errorf("--cfc %s is no class: 60, 180, 600, 1000 or none", a.class)
	}
	a.set.Class = class
	for _, f := range []struct {
		name string
		v    float64
		unit string
	}{
		{"rate", a.file.Rate, "Hz"},
		{"mass", a.set.Mass, "kg"},
		{"drop", a.set.Drop, "m"},
		{"length", a.set.Length, "m"},
		{"gravity", a.set.Gravity, "m/s2"},
		{"full-scale", a.file.FullScale, ""},
		{"edge-friction", a.set.Edge.Friction, ""},
		{"edge-angle", a.angle, "degrees"},
		{"gate-flag", a.set.Gate.Flag, "m"},
		{"gate-time", a.set.Gate.Time, "s"},
		{"gate-above", a.set.Gate.Above, "m"},
		{"u-mass", a.set.Doubt.Mass, "kg"},
		{"u-drop", a.set.Doubt.Drop, "m"},
		{"u-edge-friction", a.set.Doubt.Friction, ""},
		{"trials", float64(a.set.Trials), ""},
	} {
		if cmd.Flags().Changed(f.name) && !(f.v > 0 && f.v < 1e9) {
			return fmt.Errorf("--%s %s: it must be above zero", f.name, strings.TrimSpace(fmt.Sprintf("%g %s", f.v, f.unit)))
		}
	}
	a.set.Edge.Angle = a.angle * degree
	var err error
	if a.set.Doubt.Cell, err = share("u-cell", a.cell); err != nil {
		return err
	}
	if a.set.Doubt.Gate, err = share("u-gate", a.gate); err != nil {
		return err
	}
	if a.set.Guide, err = share("guide", a.guide); err != nil {
		return err
	}
	if a.set.Doubt.Guide, err = share("u-guide", a.doubtGuide); err != nil {
		return err
	}
	switch a.pull {
	case "":
	case "positive":
		a.file.Pull = trace.PullPositive
	case "negative":
		a.file.Pull = trace.PullNegative
	default:
		return fmt.Errorf("--pull %s: positive or negative", a.pull)
	}
	return nil
}

const degree = 3.14159265358979323846 / 180

// share reads "0.5%", "0.5 %" or "0.005".
func share(flag, text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	number, percent := strings.CutSuffix(text, "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if percent {
		v /= 100
	}
	if err != nil || !(v > 0 && v < 0.5) {
		return 0, fmt.Errorf("--%s %s: write a share, as 0.5%%", flag, text)
	}
	return v, nil
}

// run reads the files and gives what was asked for.
func (a *readAsk) run(cmd *cobra.Command, names []string) error {
	if err := a.useRecipe(cmd); err != nil {
		return err
	}
	files, err := expand(names)
	if err != nil {
		return err
	}
	if err := a.spare(files); err != nil {
		return err
	}
	given, err := a.outputs(cmd)
	if err != nil {
		return err
	}
	var refused problem.List
	read := 0
	err = a.each(cmd, files, func(d drops) error {
		refused = append(refused, problem.All(d.err)...)
		if d.err == nil {
			read++
		}
		return given.take(d)
	})
	if err != nil {
		return err
	}
	if err := given.close(); err != nil {
		return err
	}
	if a.keepRecipe != "" && len(refused) == 0 {
		if err := a.writeRecipe(cmd); err != nil {
			return err
		}
	}
	if n := len(files) - read; n > 0 && len(files) > 1 {
		refused[len(refused)-1].State = fmt.Sprintf("%d of %d files were read", read, len(files))
	}
	return refused.Err()
}

// useRecipe puts a recipe under what the flags say.
func (a *readAsk) useRecipe(cmd *cobra.Command) error {
	if a.recipe == "" {
		a.set.Pull = a.file.Pull
		return nil
	}
	r, err := a.findRecipe(cmd)
	if err != nil {
		return err
	}
	flags := a.file
	a.file = r.Ask
	for _, f := range []struct {
		own *string
		say string
	}{
		{&a.file.Force, flags.Force},
		{&a.file.Time, flags.Time},
		{&a.file.Stretch, flags.Stretch},
		{&a.file.Gate, flags.Gate},
		{&a.file.Unit, flags.Unit},
		{&a.file.Delimiter, flags.Delimiter},
		{&a.file.Decimal, flags.Decimal},
		{&a.file.Sheet, flags.Sheet},
		{&a.file.Part, flags.Part},
	} {
		if f.say != "" {
			*f.own = f.say
		}
	}
	if flags.Rate > 0 {
		a.file.Rate = flags.Rate
	}
	if flags.FullScale > 0 {
		a.file.FullScale = flags.FullScale
	}
	if flags.Pull != trace.PullFound {
		a.file.Pull = flags.Pull
	}
	a.set.Pull = a.file.Pull
	return nil
}

// findRecipe reads a recipe's file, or looks its name up in the book.
func (a *readAsk) findRecipe(cmd *cobra.Command) (campaign.Recipe, error) {
	data, err := os.ReadFile(a.recipe)
	if err == nil {
		return planfile.ParseRecipe(a.recipe, data)
	}
	if a.book == "" {
		if !os.IsNotExist(err) {
			return campaign.Recipe{}, cannotOpen(a.recipe, err)
		}
		return campaign.Recipe{}, problem.New(problem.NotFound, a.recipe, "there is no such recipe file").
			Hint("if it is the name of a recipe in a book, say which book: --book FILE").In("nothing was read")
	}
	desk, err := openDesk(cmd.Context(), a.book)
	if err != nil {
		return campaign.Recipe{}, err
	}
	defer desk.Store.Close()
	return recipeIn(cmd, desk, a.recipe, a.book)
}

func recipeIn(cmd *cobra.Command, desk *study.Desk, name, book string) (campaign.Recipe, error) {
	all, err := desk.Store.Recipes(cmd.Context(), "")
	if err != nil {
		return campaign.Recipe{}, err
	}
	var names []string
	for _, r := range all {
		if r.Name == name {
			return r, nil
		}
		names = append(names, r.Name)
	}
	p := problem.New(problem.NotFound, book, "the book keeps no recipe %q", name)
	if len(names) > 0 {
		p.Hint("it keeps: %s", strings.Join(names, ", "))
	}
	return campaign.Recipe{}, p.In("nothing was read")
}

// writeRecipe keeps the flags as a recipe in a file that is not there yet.
func (a *readAsk) writeRecipe(cmd *cobra.Command) error {
	if a.file == (trace.Ask{}) {
		return problem.New(problem.Invalid, "--keep-recipe", "nothing was said about the file that a recipe could keep").
			Hint("add what corrects its reading, as --force, --rate or --unit").In("no recipe was written")
	}
	name := strings.TrimSuffix(filepath.Base(a.keepRecipe), ".toml")
	f, err := os.OpenFile(a.keepRecipe, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return cannotWrite(a.keepRecipe, err)
	}
	_, err = f.Write(planfile.WriteRecipe(campaign.Recipe{Name: name, Ask: a.file}))
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return cannotWrite(a.keepRecipe, err)
	}
	terminal{cmd.ErrOrStderr()}.line("the recipe is kept in %s: use it with --recipe %q", a.keepRecipe, a.keepRecipe)
	return nil
}

// outputs are what a run gives: on the terminal or as JSON, and files beside.
type outputs struct{ all []output }

// output takes drops as they are read, in the order of the files.
type output interface {
	take(d drops) error
	close() error
}

func (a *readAsk) outputs(cmd *cobra.Command) (*outputs, error) {
	var o outputs
	if a.asJSON {
		o.all = append(o.all, &jsonOutput{w: cmd.OutOrStdout()})
	} else {
		o.all = append(o.all, &plainOutput{w: cmd.OutOrStdout(), ask: a})
	}
	if a.table != "" {
		o.all = append(o.all, &tableOutput{path: a.table, bounces: a.bounces})
	}
	if a.plot != "" {
		o.all = append(o.all, &plotOutput{path: a.plot})
	}
	return &o, nil
}

func (o *outputs) take(d drops) error {
	for _, one := range o.all {
		if err := one.take(d); err != nil {
			return err
		}
	}
	return nil
}

func (o *outputs) close() error {
	for _, one := range o.all {
		if err := one.close(); err != nil {
			return err
		}
	}
	return nil
}
