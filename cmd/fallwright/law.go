package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"fallwright.example/fall/fit"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// lawFlags are what law is asked.
type lawFlags struct {
	read                readAsk
	form, name, rest    string
	series, asJSON      bool
	out, svg            string
	book                bookFlags
	specimen, condition string
}

func lawCommand() *cobra.Command {
	var f lawFlags
	cmd := &cobra.Command{
		Use:   "law TRACE...",
		Short: "Fit a law of rope to falls",
		Long: `Law finds the parameters of a law of rope from traces: of a fall with all its
bounces, with --series of the falls of one specimen in the order given, or of
the falls of a study in a book. It says how well the law holds and where it
fails, and writes the rope's states for "fallwright wall".`,
		Example: `  fallwright law fall-1.csv --mass 80 --drop 1.42 --length 2.6
  fallwright law M-01-*.csv --series --rest 3min --mass 80 --drop 1.42 --length 2.6 --out m-01.toml
  fallwright law --book club.book --specimen M-07
  fallwright law --book club.book --condition "Marram soaked" --out ropes.toml`,
		Args:    f.args,
		PreRunE: func(cmd *cobra.Command, _ []string) error { return f.read.check(cmd) },
		RunE:    doing(f.run),
	}
	f.register(cmd)
	return cmd
}

func (f *lawFlags) register(cmd *cobra.Command) {
	s, a := cmd.Flags(), &f.read
	s.SortFlags = false
	s.Float64Var(&a.set.Mass, "mass", 0, "falling mass in `KG`")
	s.Float64Var(&a.set.Drop, "drop", 0, "free fall before the rope goes tight, in `M`")
	s.Float64Var(&a.set.Length, "length", 0, "free length of rope, in `M`")
	s.StringVar(&f.form, "form", "", "`LAW`: linear, kelvin-voigt, zener, stiffening or sliding, or all to choose (all; stiffening for a condition)")
	s.BoolVar(&f.series, "series", false, "the traces are the falls of one specimen, in their order")
	s.StringVar(&f.rest, "rest", "", "`TIME` between two falls of the series, as 3min; or one for each pause, as 3min,3min,12h")
	s.StringVar(&f.out, "out", "", "write the rope's states to a new TOML `FILE` for fallwright wall")
	s.StringVar(&f.name, "name", "", "`NAME` before the fall in the states' names")
	s.StringVar(&f.svg, "svg", "", "draw measured and predicted force to an SVG `FILE`")
	s.BoolVar(&f.asJSON, "json", false, "print JSON")
	s.Float64Var(&a.set.Gravity, "gravity", 0, "local gravity in `M/S2`; 9.80665 when not given")
	s.StringVar(&a.class, "cfc", "none", "filter `CLASS` of the measured peak beside the law's; the law is fitted without")
	s.Float64Var(&a.set.Edge.Friction, "edge-friction", 0, "`COEFFICIENT` of friction of an edge between rope and cell")
	s.Float64Var(&a.angle, "edge-angle", 0, "`DEGREES` that the rope bends over that edge")
	s.Float64Var(&a.file.Rate, "rate", 0, "samples a second in `HZ`, when the file has no time column or a poor one")
	s.StringVar(&a.file.Force, "force", "", "force `COLUMN`, by name or by number from 1")
	s.StringVar(&a.file.Time, "time", "", "time `COLUMN`, likewise")
	s.StringVar(&a.file.Unit, "unit", "", "force `UNIT` of the file")
	s.StringVar(&a.file.Sheet, "sheet", "", "`SHEET` of a workbook")
	s.StringVar(&a.file.Part, "part", "", "the one `DROP` of several in a file")
	s.StringVar(&a.pull, "pull", "", "`SIGN` of a pull in the file: positive or negative")
	s.StringVar(&a.recipe, "recipe", "", "take how files are read from a recipe: a TOML `FILE`, or the name of one kept in --book")
	s.StringVar(&f.book.book, "book", "", "`FILE` that is the book, in the place of traces")
	s.StringVar(&f.book.study, "study", "", "`NAME` of the study; may be left out when the book has one")
	s.StringVar(&f.specimen, "specimen", "", "`LABEL` of one specimen of the study")
	s.StringVar(&f.condition, "condition", "", "`NAME` of one condition of the study")
}

// args takes traces, or a study in a book.
func (f *lawFlags) args(cmd *cobra.Command, args []string) error {
	ofStudy := f.book.study != "" || f.specimen != "" || f.condition != ""
	switch {
	case len(args) == 0 && f.book.book == "":
		return problem.New(problem.Invalid, cmd.CommandPath(), "it takes traces, or the study of a book, and nothing is given").
			Hint("name traces, or write --book FILE")
	case len(args) > 0 && (ofStudy || f.book.book != "" && f.read.recipe == ""):
		return problem.New(problem.Invalid, cmd.CommandPath(), "traces are given and the study of a book too").Hint("leave one of them out")
	case f.specimen != "" && f.condition != "":
		return problem.New(problem.Invalid, cmd.CommandPath(), "--specimen and --condition exclude each other").Hint("give one of them")
	case f.rest != "" && !f.series:
		return problem.New(problem.Invalid, "--rest", "it is between the falls of a series, and these are falls by themselves").Hint("add --series")
	case cmd.Flags().Changed("edge-friction") != cmd.Flags().Changed("edge-angle"):
		return problem.New(problem.Invalid, "--edge-friction, --edge-angle", "one is given, and an edge needs both").Hint("give the other too, or leave both out where the rope is straight")
	}
	return nil
}

func (f *lawFlags) run(cmd *cobra.Command, args []string) error {
	f.read.book = f.book.book
	if len(args) == 0 {
		return withDesk(cmd, &f.book, func(ctx context.Context, desk *study.Desk) error { return f.ofStudy(ctx, cmd, desk) })
	}
	if err := f.read.useRecipe(cmd); err != nil {
		return err
	}
	falls, err := f.falls(args)
	if err != nil {
		return err
	}
	form := cmp.Or(f.form, study.AllLaws)
	var laws []fittedLaw
	if f.series {
		if err := f.rests(falls); err != nil {
			return err
		}
		l, err := study.FitSeries(falls, form)
		if err != nil {
			return err
		}
		laws = append(laws, f.named(l, f.name))
	} else {
		for _, fall := range falls {
			l, err := study.FitFall(fall, form)
			if err != nil {
				return err
			}
			name := f.name
			if name == "" && len(falls) > 1 {
				name = fall.Name
			}
			laws = append(laws, f.named(l, name))
		}
	}
	return f.give(cmd, lawAnswer{laws: laws})
}

// falls reads the traces.
func (f *lawFlags) falls(names []string) ([]study.LawFall, error) {
	files, err := expand(names)
	if err != nil {
		return nil, err
	}
	r := reader{ask: &f.read, known: readers()}
	var out []study.LawFall
	for _, name := range files {
		file, err := r.open(name)
		if err != nil {
			return nil, err
		}
		for _, rec := range file.Parts {
			where, number := name, 1
			if rec.Part != "" && len(file.Parts) > 1 {
				where += ", drop " + rec.Part
			}
			if f.series {
				number = len(out) + 1
			}
			fall, err := study.NewLawFall(where, number, rec, f.read.set)
			if err != nil {
				return nil, err
			}
			out = append(out, fall)
		}
	}
	return out, nil
}

// rests puts the pauses before the falls.
func (f *lawFlags) rests(falls []study.LawFall) error {
	if f.rest == "" {
		return problem.New(problem.Invalid, "--rest", "it is missing, and what falls do to a rope depends on the rest between them").
			Hint("write --rest 3min, or one for each pause: --rest 3min,3min,12h")
	}
	parts := strings.Split(f.rest, ",")
	if len(parts) != 1 && len(parts) != len(falls)-1 {
		return problem.New(problem.Invalid, "--rest", "%s for the %s of %s", figure.Counted(len(parts), "time"), figure.Counted(len(falls)-1, "pause"), figure.Counted(len(falls), "fall")).
			Hint("give one for all, or one for each pause")
	}
	for i := 1; i < len(falls); i++ {
		text := parts[min(i-1, len(parts)-1)]
		v, err := quantityOf("--rest", text, quantity.Time)
		if err != nil {
			return err
		}
		falls[i].Rest = v
	}
	return nil
}

// named gives the states of a law their names.
func (f *lawFlags) named(l *study.Law, prefix string) fittedLaw {
	out := fittedLaw{name: prefix, law: l}
	from := "fitted to the trace"
	if l.Fails() {
		from += ", and the law does not hold: it leaves more than the noise"
	}
	for _, fall := range l.Falls {
		k, _ := l.Known(fall.Number)
		name := strings.TrimPrefix(fmt.Sprintf("%s, %s fall", prefix, study.Ordinal(fall.Number)), ", ")
		out.states = append(out.states, lawState{name: name, from: from, known: k})
	}
	return out
}

// ofStudy fits the falls of a specimen, or those of a study's conditions.
func (f *lawFlags) ofStudy(ctx context.Context, cmd *cobra.Command, desk *study.Desk) error {
	if f.specimen != "" {
		one, err := desk.SpecimenLaw(ctx, f.book.study, f.specimen, cmp.Or(f.form, study.AllLaws))
		if err != nil {
			return err
		}
		return f.give(cmd, lawAnswer{laws: []fittedLaw{f.named(one.Law, cmp.Or(f.name, f.specimen))}})
	}
	all, err := desk.Laws(ctx, f.book.study, cmp.Or(f.form, study.UsualLaw), nil)
	if err != nil {
		return err
	}
	a := lawAnswer{study: all}
	for _, s := range all.States {
		if f.condition == "" || s.Condition == f.condition {
			a.states = append(a.states, lawState{name: s.Name(), from: s.From(), known: s.Known, of: s})
		}
	}
	if len(a.states) == 0 {
		return f.noStates(all)
	}
	return f.give(cmd, a)
}

// noStates refuses a condition that is not there, or has no law.
func (f *lawFlags) noStates(all *study.Laws) error {
	var names []string
	for _, c := range all.Study.Plan.Conditions {
		names = append(names, c.Name)
	}
	for _, one := range all.Specimens {
		if one.Refused != nil && (f.condition == "" || one.Condition == f.condition) {
			return one.Refused
		}
	}
	for _, n := range names {
		if n == f.condition || f.condition == "" {
			return problem.New(problem.TooFew, "study "+all.Study.Plan.Name, "it has no fall that counts with a trace, and a law is fitted to traces").Hint("record its falls with their traces")
		}
	}
	return problem.New(problem.NotFound, "--condition", "the study has no condition %q", f.condition).Hint("it has: %s", strings.Join(names, "; "))
}

// lawAnswer is what law gives: laws of traces or a specimen, or the states of a study.
type lawAnswer struct {
	laws   []fittedLaw
	study  *study.Laws
	states []lawState
}

type fittedLaw struct {
	name   string
	law    *study.Law
	states []lawState
}

// lawState is the rope after one fall.
type lawState struct {
	name, from string
	known      fit.Known
	of         study.LawState // of a study; empty for others
}

func (a lawAnswer) all() []lawState {
	out := a.states
	for _, l := range a.laws {
		out = append(out, l.states...)
	}
	return out
}

// give writes the files, and prints.
func (f *lawFlags) give(cmd *cobra.Command, a lawAnswer) error {
	if f.out != "" {
		if err := writeStates(f.out, a.all()); err != nil {
			return err
		}
	}
	if f.svg != "" {
		if len(a.laws) == 0 {
			return problem.New(problem.Invalid, "--svg", "falls of one specimen or of traces are drawn, and these are means over specimens").Hint("name one: --specimen LABEL")
		}
		if err := os.WriteFile(f.svg, []byte(standing(a.picture().SVG())), 0o644); err != nil {
			return cannotWrite(f.svg, err)
		}
	}
	if f.asJSON {
		return printJSON(cmd, a.json())
	}
	lawPage{cmd.OutOrStdout()}.print(a)
	return nil
}
