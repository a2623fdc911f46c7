package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// dialFlags are what the command line may say of dialling in.
type dialFlags struct {
	book   bookFlags
	told   study.Dialling // over what a study says
	level  float64
	asJSON bool
}

func dialCommand() *cobra.Command {
	var f dialFlags
	cmd := &cobra.Command{
		Use:   "dial [RIG.toml | STUDY.toml]",
		Short: "Find the setting that brings the peak into the window, with few trial drops",
		Long: `Dial reads a file with the window, the tower, what is known of the rope and the
trial drops so far. It says what to set next, which peak to expect, the chance
that it lands in the window, and the chance that it stays there for the whole
series, as the peak rises from fall to fall. Drop that, add it to the file as a
[[trial]] and ask again; it says when to stop.

With --book it takes a study of the book: its settings, its rope, and the trial
drops recorded. A study file alone has no trial drops. What a study does not
say, such as the tower's highest drop, is said by flags.

Trials are taken to be of fresh specimens. One dropped again has a fall number,
and the same specimen name in all its trials.`,
		Example: `  fallwright dial rig.toml
  fallwright dial rig.toml --level 0.95 --json
  fallwright dial --book club.book --study sea-water --highest-drop 3m`,
		Args: cobra.MaximumNArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			a, rig, err := f.ask(cmd, args)
			if err != nil {
				return err
			}
			notes := f.notes(cmd, rig)
			if f.asJSON {
				return printJSON(cmd, dialJSON(a, notes))
			}
			dialPage{terminal{cmd.OutOrStdout()}, a.Question, a, notes}.print()
			return nil
		}),
	}
	f.register(cmd)
	return cmd
}

func (f *dialFlags) register(cmd *cobra.Command) {
	f.book.register(cmd, true, false)
	s := cmd.Flags()
	s.BoolVar(&f.asJSON, "json", false, "print JSON")
	s.Float64Var(&f.level, "level", 0.9, "`CHANCE` that an interval holds the peak: 0.9 or 0.95")
	for _, o := range f.over() {
		s.StringVar(o.to, o.flag, "", o.usage)
	}
}

// overStudy is a flag that says what a study does not, or otherwise.
type overStudy struct {
	flag, usage, part string // part is what refusals call it
	to                *string
}

func (f *dialFlags) over() []overStudy {
	t := &f.told
	return []overStudy{
		{"low", "of a study: `FORCE` at the lower end of the window (3kN)", "window, low", &t.Low},
		{"high", "of a study: `FORCE` at its upper end (4kN)", "window, high", &t.High},
		{"masses", "of a study: `MASSES` at hand, the preferred one first: 80kg,70kg", "masses", &t.Masses},
		{"free-lengths", "of a study: free `LENGTHS` of rope, likewise", "free lengths", &t.FreeLengths},
		{"lowest-drop", "of a study: `LENGTH` of the tower's lowest free fall (5cm)", "lowest drop", &t.Lowest},
		{"highest-drop", "of a study: `LENGTH` of the tower's highest free fall (that of its settings)", "highest drop", &t.Highest},
		{"room", "of a study: `LENGTH` from the anchor down to the catch bed (not looked at)", "room", &t.Room},
	}
}

// ask answers from a rig file, a study file, or a study in a book; the rig is
// that of the study, nil without one.
func (f *dialFlags) ask(cmd *cobra.Command, args []string) (*study.Dialled, *study.Rig, error) {
	if len(args) == 0 {
		if _, err := os.Stat(f.book.book); err != nil && !cmd.Flags().Changed("book") {
			return nil, nil, problem.New(problem.Invalid, cmd.CommandPath(), "no rig file, no study file and no book is given").
				Hint("fallwright dial RIG.toml, or fallwright dial --book FILE; fallwright dial --help says more")
		}
		var rig *study.Rig
		err := withDesk(cmd, &f.book, func(ctx context.Context, desk *study.Desk) (err error) {
			rig, err = desk.Rig(ctx, f.book.study)
			return err
		})
		if err != nil {
			return nil, nil, err
		}
		a, err := f.askStudy(cmd, rig, "study "+f.book.study)
		return a, rig, err
	}
	name := args[0]
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, nil, cannotOpen(name, err)
	}
	if planfile.IsStudy(data) {
		rig, err := f.planned(cmd, name, data)
		if err != nil {
			return nil, nil, err
		}
		a, err := f.askStudy(cmd, rig, name)
		return a, rig, err
	}
	for _, flag := range append([]overStudy{{flag: "book"}, {flag: "study"}}, f.over()...) {
		if cmd.Flags().Changed(flag.flag) {
			return nil, nil, problem.New(problem.Invalid, "--"+flag.flag, "it goes with a study, and %s is a rig file, which says that itself", name).
				Hint("write it into %s, or leave the file out", name)
		}
	}
	d, err := readDialling(name, data)
	if err != nil {
		return nil, nil, err
	}
	d.Level = f.level
	a, err := study.Dial(d.Question)
	return a, nil, under(err, name)
}

// planned is the rig of a study file, with the drops of the study of its name
// where a book is given.
func (f *dialFlags) planned(cmd *cobra.Command, name string, data []byte) (*study.Rig, error) {
	plan, err := planfile.Parse(name, data)
	if err != nil {
		return nil, err
	}
	if !cmd.Flags().Changed("book") {
		return study.NewRig(&campaign.Study{Plan: plan}, nil), nil
	}
	if f.book.study == "" {
		f.book.study = plan.Name
	}
	var rig *study.Rig
	err = withDesk(cmd, &f.book, func(ctx context.Context, desk *study.Desk) (err error) {
		rig, err = desk.Rig(ctx, f.book.study)
		return err
	})
	if err != nil {
		return nil, err
	}
	return rig.With(plan), nil
}

// askStudy asks with what a study says, and the flags over it.
func (f *dialFlags) askStudy(cmd *cobra.Command, rig *study.Rig, where string) (*study.Dialled, error) {
	over := dialFlags{told: rig.Told}
	over.told.Level = strconv.FormatFloat(100*f.level, 'f', -1, 64) + " %"
	for i, o := range f.over() {
		if cmd.Flags().Changed(o.flag) {
			*over.over()[i].to = *o.to
		}
	}
	a, err := over.told.Ask()
	return a, under(err, where)
}

// notes are what was assumed of a study and not said by a flag, and the recorded
// trials that could not be used.
func (f *dialFlags) notes(cmd *cobra.Command, rig *study.Rig) []string {
	notes := []string{}
	if rig == nil {
		return notes
	}
	said := map[string]bool{}
	for _, o := range f.over() {
		said[o.part] = cmd.Flags().Changed(o.flag)
	}
	for _, a := range rig.Assumed {
		if !said[a.About] {
			notes = append(notes, a.Sentence)
		}
	}
	for i, t := range rig.Trials {
		if t.Why != "" {
			notes = append(notes, fmt.Sprintf("Trial %d of the book is not used: %s.", i+1, t.Why))
		}
	}
	return notes
}

// under puts where a refusal belongs before its own place.
func under(err error, where string) error {
	for _, p := range problem.All(err) {
		p.Where = where + ": " + p.Where
	}
	return err
}

// readDialling reads a rig file and the traces that its trials name, from where
// the file is.
func readDialling(name string, data []byte) (planfile.Dialling, error) {
	d, err := planfile.ParseDialling(name, data)
	if err != nil {
		return d, err
	}
	r := reader{ask: &readAsk{}, known: readers()}
	for i, trace := range d.Traces {
		if trace == "" {
			continue
		}
		if !filepath.IsAbs(trace) {
			trace = filepath.Join(filepath.Dir(name), trace)
		}
		of := r.drops(trace)
		if of.err != nil {
			return d, of.err
		}
		if n := len(of.readings); n != 1 {
			return d, problem.New(problem.Invalid, trace, "the file holds %d drops, and a trial is one", n).
				Hint("read it with fallwright read, and write the peak of the trial into %s", name)
		}
		peak := of.readings[0].PeakForce
		if !(float64(peak) > 0) {
			return d, problem.New(problem.Invalid, trace, "the trace has no peak to read").Hint("look at it: fallwright read %s --preview", trace)
		}
		d.Trials[i].Peak = float64(peak)
	}
	return d, nil
}
