package main

import (
	"context"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
)

func bookCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "book",
		Short: "Record in a book, and look after it",
		Args:  subcommand,
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	cmd.AddCommand(studiesCommand(), dropsCommand(), seriesCommand(), voidCommand(), weighCommand(), gaugeCommand(), pullCommand(), deviateCommand(),
		recipesCommand(), keepRecipeCommand(), examineCommand())
	return cmd
}

func studiesCommand() *cobra.Command {
	var b bookFlags
	cmd := &cobra.Command{
		Use: "studies", Short: "List the studies of a book", Args: noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				all, err := desk.Studies(ctx)
				if err != nil {
					return err
				}
				w := tabwriter.NewWriter(cmd.OutOrStdout(), 0, 0, 2, ' ', 0)
				for _, s := range all {
					state := "plan open"
					if s.Frozen {
						state = "plan frozen"
					}
					if s.Invented {
						state += ", invented"
					}
					fmt.Fprintf(w, "%s\t%s\t%d of %s\t%s\n", s.Name, s.Title, s.Counting, figure.Counted(s.Planned, "fall"), state)
				}
				return w.Flush()
			})
		}),
	}
	b.register(cmd, false, false)
	return cmd
}

func dropsCommand() *cobra.Command {
	var b bookFlags
	cmd := &cobra.Command{
		Use:   "drops TABLE.csv",
		Short: "Record drops with their traces from a table",
		Long: `Drops records each line of a table as one drop, with its trace and the reading
taken from it. A drop is stored whole or not at all, and reported once it is on
the disk. It stops at the first line that cannot be recorded; run again, it
passes over the lines whose drops are stored as they say, and stops at one that
was altered since. Trace files are looked for beside the table.
docs/FORMATS.md describes the table.`,
		Args: cobra.ExactArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				run := tableRun{desk: desk, name: b.study, by: b.by, table: args[0], say: terminal{cmd.OutOrStdout()}, warn: terminal{cmd.ErrOrStderr()}}
				if err := run.record(ctx); err != nil {
					return err
				}
				run.warn.line("%s stored, %s there already", figure.Counted(run.stored, "drop"), were(run.there))
				return nil
			})
		}),
	}
	b.register(cmd, true, true)
	return cmd
}

func voidCommand() *cobra.Command {
	var b bookFlags
	var reason string
	var loaded, slack bool
	cmd := &cobra.Command{
		Use:   "void SPECIMEN/FALL",
		Short: "Mark a fall void, with the reason",
		Example: `  fallwright book void M-07/3 --because "mass touched the guide" --loaded
  fallwright book void M-07/3 --because "released early, rope never tight" --not-loaded`,
		Args: cobra.ExactArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				id, err := findFall(ctx, desk, b.study, args[0])
				if err != nil {
					return err
				}
				if err := desk.VoidDrop(ctx, b.study, id, reason, loaded, b.by); err != nil {
					return err
				}
				terminal{cmd.OutOrStdout()}.line("%s is void: %s", args[0], reason)
				return nil
			})
		}),
	}
	b.register(cmd, true, true)
	cmd.Flags().StringVar(&reason, "because", "", "the `REASON` why it does not count")
	cmd.Flags().BoolVar(&loaded, "loaded", false, "the rope was loaded: the fall number stays taken")
	cmd.Flags().BoolVar(&slack, "not-loaded", false, "the rope was not loaded: the fall number is free again")
	_ = cmd.MarkFlagRequired("because")
	cmd.MarkFlagsMutuallyExclusive("loaded", "not-loaded")
	cmd.MarkFlagsOneRequired("loaded", "not-loaded")
	return cmd
}

// findFall finds the fall named SPECIMEN/N that is not void.
func findFall(ctx context.Context, desk *study.Desk, name, which string) (string, error) {
	o, err := desk.Overview(ctx, name)
	if err != nil {
		return "", err
	}
	for _, d := range o.Study.Counting() {
		if fmt.Sprintf("%s/%d", d.Specimen, d.Fall) == which {
			return d.ID, nil
		}
	}
	return "", problem.New(problem.NotFound, which, "study %s has no such fall that counts", name).
		Hint("write the specimen's label, a slash and the fall's number: M-07/3").
		In("nothing was changed")
}

func deviateCommand() *cobra.Command {
	var b bookFlags
	cmd := &cobra.Command{
		Use:   "deviate TEXT",
		Short: "Record what was done other than the plan says, and why",
		Args:  cobra.ExactArgs(1),
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				if err := desk.Deviate(ctx, b.study, args[0], b.by); err != nil {
					return err
				}
				terminal{cmd.OutOrStdout()}.line("stored a deviation of study %s", b.study)
				return nil
			})
		}),
	}
	b.register(cmd, true, true)
	return cmd
}

func examineCommand() *cobra.Command {
	var b bookFlags
	cmd := &cobra.Command{
		Use:   "examine",
		Short: "Check a book: the database, and the SHA-256 of every file in it",
		Args:  noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				e, err := desk.Store.Examine(ctx)
				if err != nil {
					return err
				}
				terminal{cmd.OutOrStdout()}.line("%s is whole: %s, %s, %s of %s MB, schema %d",
					b.book, counted(e.Studies, "study", "studies"), figure.Counted(e.Drops, "drop"), figure.Counted(e.Files, "file"),
					figure.Fixed(float64(e.Bytes)/1e6, 1), e.Schema)
				return nil
			})
		}),
	}
	b.register(cmd, false, false)
	return cmd
}
