package main

import (
	"context"
	"errors"
	"math"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/tableio"
)

// weighFlags are what the command line says of weighings.
type weighFlags struct {
	bookFlags
	of, soak, hung, state, at, replaces string
	table                               string
}

func weighCommand() *cobra.Command {
	f := weighFlags{}
	cmd := &cobra.Command{
		Use:   "weigh SPECIMEN MASS",
		Short: "Record a specimen's mass, or a table of masses",
		Long: `Weigh records one mass of a specimen: dry, soaked so long and drained and blotted
as the study's [water] says, drained another time, or dried so long. A mass that
the specimen cannot have is refused. With --table each line of a table is recorded;
it stops at the first that cannot be, and run again it passes over those that are
stored. docs/FORMATS.md describes the table.`,
		Example: `  fallwright book weigh M-07 "212.4 g"
  fallwright book weigh M-07 "281.9 g" --soak 5min
  fallwright book weigh --table weighings.csv`,
		Args: func(cmd *cobra.Command, args []string) error {
			if f.table != "" {
				return cobra.NoArgs(cmd, args)
			}
			return cobra.ExactArgs(2)(cmd, args)
		},
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			return withDesk(cmd, &f.bookFlags, func(ctx context.Context, desk *study.Desk) error {
				if f.table != "" {
					return f.all(ctx, cmd, desk)
				}
				return f.one(ctx, cmd, desk, args[0], args[1])
			})
		}),
	}
	f.register(cmd, true, true)
	s := cmd.Flags()
	s.StringVar(&f.of, "of", "", "`WHAT` was weighed: dry, soaked, drained or dried; told by the other flags when left out")
	s.StringVar(&f.soak, "soak", "", "`TIME` under water before: 5min")
	s.StringVar(&f.hung, "hung", "", "`TIME` hung to drain or dry before, where it is not the protocol's: 2min, 18h")
	s.StringVar(&f.state, "state", "", "the `STATE` in words of your own; dry when nothing is said")
	s.StringVar(&f.at, "at", "", "`TIME` of the weighing, such as 2026-05-04T14:26; now when left out")
	s.StringVar(&f.replaces, "replaces", "", "`ID` of a weighing that this one corrects")
	s.StringVar(&f.table, "table", "", "`FILE` with a weighing a line, in the place of SPECIMEN and MASS")
	return cmd
}

func (f *weighFlags) one(ctx context.Context, cmd *cobra.Command, desk *study.Desk, specimen, mass string) error {
	w, err := weighedBy(specimen, f.of, f.state, f.soak, f.hung)
	if err != nil {
		return err
	}
	if w.Mass, err = quantityOf("mass", mass, quantity.Mass); err != nil {
		return err
	}
	w.Stamp, w.Replaces = campaign.Stamp{At: desk.Clock(), By: f.by}, f.replaces
	if f.at != "" {
		if w.At, err = momentOf("--at", f.at); err != nil {
			return err
		}
	}
	if err := desk.Weigh(ctx, f.study, w); err != nil {
		return err
	}
	terminal{cmd.OutOrStdout()}.line("stored %s %s, %s", specimen, mass, w.Said())
	return nil
}

// weighedBy is a weighing by words for what it is of: those that are left out
// follow from the times, and a mass without any word is a dry one.
func weighedBy(specimen, of, state, soak, hung string) (w campaign.Weighing, err error) {
	w = campaign.Weighing{Specimen: specimen, Of: campaign.WeighedAs(strings.ToLower(strings.TrimSpace(of))), State: state}
	for _, t := range []struct {
		name, text string
		to         *float64
	}{{"soak", soak, &w.Soak}, {"hung", hung, &w.Hung}} {
		if t.text != "" {
			if *t.to, err = quantityOf(t.name, t.text, quantity.Time); err != nil {
				return w, err
			}
		}
	}
	switch {
	case w.Of != campaign.AsSaid:
	case w.Soak != 0 && w.Hung != 0: // below zero too, which is refused by its own name
		w.Of = campaign.Drained
	case w.Soak != 0:
		w.Of = campaign.Soaked
	case w.Hung != 0:
		w.Of = campaign.Dried
	case state == "" || state == string(campaign.DryMassOf):
		w.Of = campaign.DryMassOf
	}
	w.State = w.Said()
	return w, nil
}

// quantityOf reads a quantity of the command line.
func quantityOf(where, text string, d quantity.Dimension) (float64, error) {
	v, err := quantity.Parse(text, d)
	var fault *quantity.Fault
	if errors.As(err, &fault) {
		return 0, problem.New(problem.Invalid, where, "%s", fault.What).Hint("%s", fault.Hint)
	}
	return v, err
}

// momentOf reads a time of the computer's zone, or one with its own.
func momentOf(where, text string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339Nano, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"} {
		if at, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return at.Truncate(time.Millisecond), nil
		}
	}
	return time.Time{}, problem.New(problem.Invalid, where, "%q is no date with a time", text).Hint("write it as 2026-05-04T14:26")
}

// weighTable is a table of weighings being recorded.
type weighTable struct {
	table    *tableio.Table
	text     map[string][]string
	mass     []float64
	soak     []float64
	hung     []float64
	fallback string // who did it, where no column says
}

func (f *weighFlags) all(ctx context.Context, cmd *cobra.Command, desk *study.Desk) error {
	table, err := tableio.Read(f.table, tableio.Ask{})
	if err != nil {
		return err
	}
	t := weighTable{table: table, text: map[string][]string{}, fallback: f.by}
	if err := t.columns(); err != nil {
		return at(table.Name, err)
	}
	out, err := desk.Overview(ctx, f.study)
	if err != nil {
		return err
	}
	say := terminal{cmd.ErrOrStderr()}
	stored, there := 0, 0
	for i := range table.Rows {
		w, err := t.row(i, desk.Clock())
		if err != nil {
			return at(table.Name, err)
		}
		if stands(out.Study, w) {
			there++
			continue
		}
		if err := desk.Weigh(ctx, f.study, w); err != nil {
			say.line("%s stored, %s there already", figure.Counted(stored, "weighing"), were(there))
			return at(table.Name+", "+table.Row(i), err)
		}
		stored++
	}
	say.line("%s stored, %s there already", figure.Counted(stored, "weighing"), were(there))
	return nil
}

// stands reports whether the book has this weighing.
func stands(s *campaign.Study, w campaign.Weighing) bool {
	for _, h := range s.Standing() {
		if h.Specimen == w.Specimen && h.Of == w.Of && h.Soak == w.Soak && h.Hung == w.Hung && h.Mass == w.Mass && h.At.Equal(w.At) {
			return true
		}
	}
	return false
}

// columns finds the table's columns; specimen, mass and at have to be there.
func (t *weighTable) columns() error {
	for _, name := range []string{"specimen", "mass", "at", "of", "soak", "hung", "state", "by"} {
		own, err := t.table.Find(name)
		needed := name == "specimen" || name == "mass" || name == "at"
		switch {
		case err != nil && needed:
			return err
		case err != nil:
			t.text[name] = make([]string, t.table.Rows)
			continue
		}
		if t.text[name], err = t.table.Text(own); err != nil {
			return err
		}
	}
	var err error
	if t.mass, err = t.numbers("mass", quantity.Mass, "g"); err != nil {
		return err
	}
	for name, to := range map[string]*[]float64{"soak": &t.soak, "hung": &t.hung} {
		*to = make([]float64, t.table.Rows)
		if _, err := t.table.Find(name); err == nil {
			if *to, err = t.numbers(name, quantity.Time, "min"); err != nil {
				return err
			}
		}
	}
	return nil
}

// numbers is a column in SI, by the unit of its title, or a usual one.
func (t *weighTable) numbers(name string, d quantity.Dimension, usual string) ([]float64, error) {
	values, err := t.table.Numbers(name)
	if err != nil {
		return nil, err
	}
	unit, err := t.table.Unit(name)
	if err != nil {
		return nil, err
	}
	if unit == "" {
		unit = usual
	}
	per, ok := factor(unit, d)
	if !ok {
		return nil, problem.New(problem.Invalid, "column "+name, "%q is no unit of %s", unit, d).Hint("the title may have %s", "["+strings.Join(d.Units(), "], [")+"]")
	}
	return scaled(values, per), nil
}

func (t *weighTable) row(i int, now time.Time) (campaign.Weighing, error) {
	where := func(err error) error {
		for _, p := range problem.All(err) {
			p.Where = t.table.Row(i) + ", " + p.Where
		}
		return err
	}
	w, err := weighedBy(t.text["specimen"][i], t.text["of"][i], t.text["state"][i], spanText(t.soak[i]), spanText(t.hung[i]))
	if err != nil {
		return w, where(err)
	}
	if math.IsNaN(t.mass[i]) {
		return w, problem.New(problem.Invalid, t.table.Row(i), "it has no mass").Hint("take the line out, or write what the scale showed")
	}
	w.Mass = t.mass[i]
	if w.At, err = momentOf("at", t.text["at"][i]); err != nil {
		return w, where(err)
	}
	w.By = t.text["by"][i]
	if w.By == "" {
		w.By = t.fallback
	}
	return w, nil
}

// spanText is a time in s as text; empty for none.
func spanText(s float64) string {
	if s == 0 || math.IsNaN(s) {
		return ""
	}
	return quantity.Format(s, quantity.Time)
}
