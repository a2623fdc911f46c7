package main

import (
	"fmt"
	"os"
	"path/filepath"
	"text/tabwriter"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/planfile"
	"fallwright.example/problem"
	"fallwright.example/store/sqlite"
)

func planCommand() *cobra.Command {
	var b bookFlags
	var freeze bool
	cmd := &cobra.Command{
		Use:   "plan STUDY.toml",
		Short: "Check a study file, put it into a book, freeze it",
		Long: `Plan checks a study file and says what it plans. With --book it is put into
that book, in the place of an earlier plan of the same name unless that is
frozen. With --freeze it is frozen: from then on it can only be deviated from,
and falls may be recorded.`,
		Example: `  fallwright plan sea-water.toml
  fallwright plan sea-water.toml --book club.book --freeze`,
		Args: cobra.ExactArgs(1),
		PreRunE: func(cmd *cobra.Command, _ []string) error {
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
			plan, err := planfile.Parse(args[0], data)
			if err != nil {
				return err
			}
			if cmd.Flags().Changed("book") {
				if err := storePlan(cmd, &b, plan, args[0], data, freeze); err != nil {
					return err
				}
			}
			printPlan(cmd, plan)
			return nil
		}),
	}
	b.register(cmd, false, true)
	cmd.Flags().BoolVar(&freeze, "freeze", false, "freeze the plan in the book")
	return cmd
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

// printPlan says what a plan comes to.
func printPlan(cmd *cobra.Command, p campaign.Plan) {
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%s: %s\n", p.Name, p.Title)
	if p.Invented {
		fmt.Fprintln(out, "INVENTED: a demonstration, no rope was tested")
	}
	fmt.Fprintln(out)
	if len(p.Questions) == 0 {
		fmt.Fprintln(out, "no question is put: the drops will answer none")
	}
	for i, q := range p.Questions {
		fmt.Fprintf(out, "question %d  %s\n", i+1, q.Asks)
		fmt.Fprintf(out, "            %s\n", contrastText(q))
	}
	fmt.Fprintln(out)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "condition\tspecimens\tfalls")
	total := 0
	for _, c := range p.Conditions {
		n := 0
		for _, s := range p.Specimens {
			if s.Condition == c.Name {
				n++
			}
		}
		mark := ""
		if c.Baseline {
			mark = " (baseline)"
		}
		fmt.Fprintf(w, "%s%s\t%d\t%d\n", c.Name, mark, n, n*p.Series.Falls)
		total += n * p.Series.Falls
	}
	fmt.Fprintf(w, "together\t%d\t%d\n", len(p.Specimens), total)
	w.Flush()
	if r := p.Series.Rest; r.Set > 0 {
		waiting := r.Set * time.Duration(len(p.Specimens)*(p.Series.Falls-1))
		spell := func(d time.Duration) string { return quantity.Format(d.Seconds(), quantity.Time) }
		fmt.Fprintf(out, "\nrest between falls %s ± %s: %s of waiting when no two rests overlap\n", spell(r.Set), spell(r.Tolerance), spell(waiting))
	}
}

// contrastText is what a question compares.
func contrastText(q campaign.Question) string {
	text := fmt.Sprintf("%s of %s against %s, %s", q.Value, q.Compare, q.Baseline, fallList(q.Falls))
	switch {
	case q.Trend:
		text = "trend of the " + text
	case q.Compare == q.Baseline:
		text = fmt.Sprintf("%s of %s, %s against %s", q.Value, q.Compare, fallList(q.Falls), fallList(q.BaselineFalls))
	case len(q.BaselineFalls) > 0:
		text = fmt.Sprintf("%s of %s, %s, against %s, %s", q.Value, q.Compare, fallList(q.Falls), q.Baseline, fallList(q.BaselineFalls))
	}
	text += ", margin " + marginText(q)
	if q.Trend {
		text += " a fall"
	}
	switch q.Claim {
	case campaign.ClaimNone:
		text += ", to show no difference that matters"
	case campaign.ClaimHigher, campaign.ClaimLower:
		text += ", to show " + compare.Verdict(q.Claim).Word(string(q.Value))
	}
	return text
}

func fallList(falls []int) string {
	switch n := len(falls); {
	case n == 1:
		return fmt.Sprintf("fall %d", falls[0])
	case n > 1 && falls[n-1]-falls[0] == n-1:
		return fmt.Sprintf("falls %d to %d together", falls[0], falls[n-1])
	}
	return fmt.Sprintf("falls %v together", falls)
}

func marginText(q campaign.Question) string {
	if q.Margin.Share > 0 {
		return fmt.Sprintf("%g %%", 100*q.Margin.Share)
	}
	u := figure.UnitOf(q.Value)
	return fmt.Sprintf("%g %s", q.Margin.Amount*u.Scale, u.Name)
}
