package main

import (
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"fallwright.example/dial"
	"fallwright.example/planfile"
	"fallwright.example/problem"
)

func dialCommand() *cobra.Command {
	var asJSON bool
	var level float64
	cmd := &cobra.Command{
		Use:   "dial RIG.toml",
		Short: "Find the setting that brings the peak into the window, with few trial drops",
		Long: `Dial reads a file with the window, the tower, what is known of the rope and the
trial drops so far. It says what to set next, which peak to expect, the chance
that it lands in the window, and the chance that it stays there for the whole
series, as the peak rises from fall to fall. Drop that, add it to the file as a
[[trial]] and ask again; it says when to stop.

Trials are taken to be of fresh specimens. One dropped again has a fall number,
and the same specimen name in all its trials.`,
		Example: `  fallwright dial rig.toml
  fallwright dial rig.toml --level 0.95 --json`,
		Args: cobra.ExactArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			d, err := readDialling(args[0])
			if err != nil {
				return err
			}
			d.Level = level
			a, err := dial.Ask(d.Question)
			if err != nil {
				for _, p := range problem.All(err) {
					p.Where = args[0] + ": " + p.Where
				}
				return err
			}
			if asJSON {
				return printJSON(cmd, dialJSON(d.Question, a))
			}
			dialPage{terminal{cmd.OutOrStdout()}, d.Question, a}.print()
			return nil
		}),
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().Float64Var(&level, "level", 0.9, "`CHANCE` that an interval holds the peak: 0.9 or 0.95")
	return cmd
}

// readDialling reads the file and the traces that its trials name, from where
// the file is.
func readDialling(name string) (planfile.Dialling, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return planfile.Dialling{}, cannotOpen(name, err)
	}
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
