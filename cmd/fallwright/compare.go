package main

import (
	"context"

	"github.com/spf13/cobra"

	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
)

func compareCommand() *cobra.Command {
	var b bookFlags
	var table comparison
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "compare [TABLE]",
		Short: "Answer a study's questions from its falls, or compare the values in a table",
		Long: `Compare answers the questions of a study in a book. With TABLE it compares the
values in a CSV or xlsx table instead: means by condition and fall, differences to
the baseline with honest intervals, and with --margin what they amount to. The
specimen a value is from is a random effect, and so is each --block; without
--condition or --fall the model is what remains. docs/FORMATS.md says which tables
are read, docs/METHODS.md how they are compared.`,
		Example: `  fallwright compare --book club.book
  fallwright compare peaks.csv --value "peak [kN]" --specimen specimen --condition treatment --fall fall --baseline dry --margin 5%
  fallwright compare wide.xlsx --wide "fall *" --value peak --specimen label --condition rope --scale log --margin 10% --adjust joint
  fallwright compare yields.csv --value Yield --specimen Batch --json`,
		Args: oneTable,
		PreRunE: func(cmd *cobra.Command, args []string) error {
			return table.fits(cmd, len(args) == 1)
		},
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			if len(args) == 1 {
				table.path, table.asJSON = args[0], asJSON
				return table.run(cmd)
			}
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				f, err := desk.Checked(ctx, b.study)
				if err != nil {
					return err
				}
				if asJSON {
					return printJSON(cmd, findingsJSON(f))
				}
				printFindings(cmd.OutOrStdout(), f)
				return nil
			})
		}),
	}
	b.register(cmd, true, false)
	table.flags(cmd)
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON: of a study in SI, of a table in its unit")
	return cmd
}

// oneTable takes one table or none.
func oneTable(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return problem.New(problem.Invalid, cmd.CommandPath(), "it takes one table, and %d words are given", len(args)).
			Hint("a name or a title with spaces needs quotes")
	}
	return nil
}

// sign is the mark of a verdict.
func sign(verdict string) string { return figure.VerdictSign(compare.Verdict(verdict)) }
