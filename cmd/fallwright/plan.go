package main

import (
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/store/sqlite"
	"fallwright.example/study"
)

func planCommand() *cobra.Command {
	var b bookFlags
	var freeze, asJSON bool
	var out, from, specimens string
	cmd := &cobra.Command{
		Use:   "plan STUDY.toml",
		Short: "What a study file comes to: questions, numbers, cut list, order, timetable; freeze it",
		Long: `Plan checks a study file and says what it comes to: which drops answer each
question and with what chance, which piece is cut from where, in which order
specimens are dropped, and when. --out writes it as files for the table and the
tower.

With --book and --from it is only read: the rest of the days is planned anew from
that time, from the falls that the book has by then.

With --book it is put into that book, in the place of an earlier plan of the same
name unless that is frozen. With --freeze it is frozen: from then on it can only
be deviated from, and falls may be recorded.`,
		Example: `  fallwright plan sea-water.toml
  fallwright plan sea-water.toml --out plan
  fallwright plan sea-water.toml --specimens cut.xlsx --out plan
  fallwright plan sea-water.toml --book club.book --freeze
  fallwright plan sea-water.toml --book club.book --from "2026-05-04 11:20"`,
		Args: cobra.ExactArgs(1),
		PreRunE: func(cmd *cobra.Command, _ []string) error {
			if cmd.Flags().Changed("from") && !cmd.Flags().Changed("book") {
				return problem.New(problem.Invalid, "--from", "it needs --book: what was done by then is in a book").
					Hint("name the book: --book FILE --from %q", from)
			}
			if freeze && !cmd.Flags().Changed("book") {
				return problem.New(problem.Invalid, "--freeze", "it needs --book: a plan is frozen in a book").
					Hint("name the book: --book FILE --freeze")
			}
			return nil
		},
		RunE: doing(func(cmd *cobra.Command, args []string) error {
			data, err := os.ReadFile(args[0])
			if err != nil {
				return cannotOpen(args[0], err)
			}
			plan, data, err := readPlan(cmd, args[0], data, specimens)
			if err != nil {
				return err
			}
			if from != "" {
				return replan(cmd, &b, plan.Name, from, out, asJSON)
			}
			planned, err := draftPlan(cmd, &b, plan)
			if err != nil {
				return err
			}
			if cmd.Flags().Changed("book") {
				if err := storePlan(cmd, &b, plan, args[0], data, freeze); err != nil {
					return err
				}
			}
			if out != "" {
				if specimens == "" {
					data = nil // it is there already
				}
				if err := writePlan(cmd, planned, out, args[0], data); err != nil {
					return err
				}
			}
			if asJSON {
				return printJSON(cmd, planJSON(planned))
			}
			printPlan(cmd, planned)
			return nil
		}),
	}
	b.register(cmd, false, true)
	cmd.Flags().BoolVar(&freeze, "freeze", false, "freeze the plan in the book")
	cmd.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	cmd.Flags().StringVar(&from, "from", "", "plan the rest of the days from this `TIME` on, from what the book has by then")
	cmd.Flags().StringVar(&specimens, "specimens", "", "specimens that were cut already, in a `TABLE`: one a row, in the place of [[specimen]]")
	cmd.Flags().StringVar(&out, "out", "", "write cut list, labels, order and timetable as files into this `FOLDER`")
	return cmd
}

// readPlan reads a study file, with the specimens of a table where one is named;
// data is then the two together.
func readPlan(cmd *cobra.Command, name string, file []byte, specimens string) (plan campaign.Plan, data []byte, err error) {
	if specimens != "" {
		return attachSpecimens(cmd, name, file, specimens)
	}
	plan, err = planfile.Parse(name, file)
	return plan, file, err
}

// draftPlan is what the plan comes to. An earlier study that it names is looked
// for in the book of --book.
func draftPlan(cmd *cobra.Command, b *bookFlags, plan campaign.Plan) (*study.Planned, error) {
	if plan.Numbers.Study == "" || !cmd.Flags().Changed("book") {
		if plan.Numbers.Study != "" {
			return nil, problem.New(problem.Invalid, "numbers, study", "spreads are taken from study %q, and no book is named that it is in", plan.Numbers.Study).
				Hint("name the book: --book FILE").Hint("or give the spreads in [numbers]: specimens, falls").In("nothing was planned")
		}
		return newDesk(nil).Draft(cmd.Context(), plan, nil)
	}
	desk, err := openDesk(cmd.Context(), b.book)
	if err != nil {
		return nil, err
	}
	defer desk.Store.Close()
	return desk.Draft(cmd.Context(), plan, nil)
}

func storePlan(cmd *cobra.Command, b *bookFlags, plan campaign.Plan, name string, data []byte, freeze bool) error {
	ctx := cmd.Context()
	store, err := sqlite.Open(ctx, b.book)
	if err != nil {
		return err
	}
	defer store.Close()
	desk := newDesk(store)
	added, err := desk.PutPlan(ctx, plan, filepath.Base(name), data, b.by)
	if err != nil {
		return err
	}
	say := terminal{cmd.ErrOrStderr()}
	if added {
		say.line("study %s is in %s", plan.Name, b.book)
	} else {
		say.line("study %s has a new plan in %s, the old one is kept", plan.Name, b.book)
	}
	if !freeze {
		return nil
	}
	f, err := desk.Freeze(ctx, plan.Name, b.by)
	if err != nil {
		return err
	}
	say.line("frozen %s by %s, plan SHA-256 %s", f.At.Local().Format("2006-01-02 15:04:05 MST"), f.By, f.PlanSHA256)
	return nil
}
