package main

import (
	"fmt"
	"io"
	"regexp"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/cutlist"
	"fallwright.example/draw"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// printPlan says what a plan comes to.
func printPlan(cmd *cobra.Command, planned *study.Planned) {
	out, p := cmd.OutOrStdout(), &planned.Plan
	fmt.Fprintf(out, "%s: %s\n", p.Name, p.Title)
	if p.Invented {
		fmt.Fprintln(out, "INVENTED: a demonstration, no rope was tested")
	}
	fmt.Fprintln(out)
	if len(p.Questions) == 0 {
		fmt.Fprintln(out, "no question is put: the drops will answer none")
	}
	for i, q := range planned.Questions {
		printPlanned(out, planned, i, q)
	}
	printConditions(out, p)
	printTotals(out, planned)
	printNumbers(out, planned)
	printCutList(out, planned)
	printOrder(out, p)
	printTimetable(out, planned)
}

// printPlanned says what a question compares, which drops answer it, and with
// what chance.
func printPlanned(out io.Writer, planned *study.Planned, i int, q study.PlannedQuestion) {
	fmt.Fprintf(out, "question %d  %s\n", i+1, q.Question.Asks)
	put := func(format string, args ...any) {
		const lead = "            "
		fmt.Fprintln(out, wrap(lead, lead, tied(fmt.Sprintf(format, args...))))
	}
	put("%s", contrastText(q.Question))
	put("answered by %s: %s", answering(planned, q), figure.Counted(q.Drops, "drop"))
	for _, h := range planned.HowMany {
		if h.Result == nil {
			continue
		}
		for _, c := range h.Result.Chances {
			if c.Question.Name == q.Question.Name {
				put("%s", chanceText(c))
			}
		}
	}
}

// answering lists the drops of both sides; where labels hide the condition, how
// many specimens they are of.
func answering(planned *study.Planned, q study.PlannedQuestion) string {
	var sides []string
	for _, s := range q.Sides {
		of := strings.Join(s.Specimens, ", ")
		if planned.Plan.Order.Blind {
			of = fmt.Sprintf("%s of %s", figure.Counted(len(s.Specimens), "specimen"), s.Condition)
		}
		sides = append(sides, fmt.Sprintf("%s of %s", strings.TrimSuffix(fallList(s.Falls), " together"), of))
	}
	if q.Question.Compare == q.Question.Baseline {
		return sides[0] + " with " + strings.TrimSuffix(fallList(q.Sides[1].Falls), " together")
	}
	return strings.Join(sides, " with ")
}

func printConditions(out io.Writer, p *campaign.Plan) {
	g := newGrid(1, "condition", "specimens", "spares", "falls")
	total := 0
	for _, c := range p.Conditions {
		n, spares := 0, 0
		for _, s := range p.Specimens {
			switch {
			case s.Condition != c.Name:
			case s.Spare:
				spares++
			default:
				n++
			}
		}
		name := c.Name
		if c.Baseline {
			name += " (baseline)"
		}
		g.row(name, fmt.Sprint(n), numberOrNone(spares), fmt.Sprint(n*p.Series.Falls))
		total += n
	}
	g.row("together", fmt.Sprint(total), "", fmt.Sprint(total*p.Series.Falls))
	fmt.Fprintln(out)
	g.lines(out)
}

// tied keeps numbers with their units on one line.
func tied(text string) string { return unitAfter.ReplaceAllString(text, "$1\u00a0$2") }

var unitAfter = regexp.MustCompile(`(\d) (%|(?:kN|N|m/s|m|J|h|min|s)\b)`)

func numberOrNone(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func printTotals(out io.Writer, planned *study.Planned) {
	r, t := planned.Plan.Series.Rest, planned.Totals
	if r.Set > 0 {
		waiting := "rests come to"
		if planned.Plan.Days.Settle > 0 {
			waiting = "rests and settling come to"
		}
		fmt.Fprintf(out, "\nrest between falls %s ± %s\n%s %s of waiting when no two overlap\n",
			spellTime(r.Set), spellTime(r.Tolerance), waiting, spellTime(time.Duration(t.Waiting)*time.Second))
	}
	if o := planned.Plan.Series.Overnight; o.After > 0 {
		fmt.Fprintf(out, "after fall %d a rest of %s ± %s\n", o.After, spellTime(o.Rest.Set), spellTime(o.Rest.Tolerance))
	}
}

func spellTime(d time.Duration) string { return quantity.Format(d.Seconds(), quantity.Time) }

// printCutList prints the pieces rope by rope.
func printCutList(out io.Writer, planned *study.Planned) {
	list := planned.Cut
	if list == nil {
		return
	}
	g := newGrid(2, "rope", "label", "from m", "to m", "condition", "place in the rope")
	for _, piece := range list.Pieces {
		g.row(piece.Rope, piece.Label, fmt.Sprintf("%.3f", piece.From), fmt.Sprintf("%.3f", piece.To), pieceCondition(planned, piece.Label), piece.Place)
	}
	g.print(out, "CUT LIST")
	for _, u := range list.Uses {
		if u.Pieces > 0 {
			kept := ""
			if whole := lengthOf(u.Left); whole > 0 {
				kept = fmt.Sprintf(", %.2f m stay for another time", whole)
			}
			fmt.Fprintln(out, wrap("", "  ", tied(fmt.Sprintf("%s: %s, together %.2f m%s, %.2f m lost in cuts or too short for a piece, %.2f m not usable",
				u.Rope, figure.Counted(u.Pieces, "piece"), u.Cut, kept, u.Lost+u.Waste, u.Unusable))))
		}
	}
	if list.Proven {
		fmt.Fprintln(out, "no list that is as balanced opens less rope")
	}
	for _, n := range list.Notes {
		fmt.Fprintln(out, wrap("note: ", "  ", n))
	}
}

func lengthOf(left []cutlist.Interval) float64 {
	sum := 0.0
	for _, i := range left {
		sum += i.To - i.From
	}
	return sum
}

// pieceCondition is the condition of a label, or what stands in its place where
// labels hide it.
func pieceCondition(planned *study.Planned, label string) string {
	if planned.Plan.Order.Blind {
		return "(hidden)"
	}
	s, _ := planned.Plan.Specimen(label)
	if s.Spare {
		return s.Condition + ", spare"
	}
	return s.Condition
}

// printOrder prints the order drawn.
func printOrder(out io.Writer, p *campaign.Plan) {
	order := draw.Order(p)
	if len(order) == 0 || order[len(order)-1].Place == 0 {
		return
	}
	fmt.Fprintf(out, "\nORDER OF DROPS, seed %d\n", p.Order.Seed)
	day, labels := order[0].Day, []string{}
	flush := func() {
		mark := ""
		if day > 0 {
			mark = fmt.Sprintf("day %d: ", day)
		}
		fmt.Fprintln(out, wrap(mark, "  ", strings.Join(labels, " ")))
	}
	for _, s := range order {
		if s.Day != day {
			flush()
			day, labels = s.Day, nil
		}
		labels = append(labels, s.Label)
	}
	flush()
}

// printTimetable says day by day what is done when.
func printTimetable(out io.Writer, planned *study.Planned) {
	t := planned.Timetable
	if t == nil {
		if planned.Ask != nil {
			fmt.Fprintln(out, "\nTIMETABLE: there is none")
			sayProblems(out, planned.NoTimetable)
		}
		return
	}
	printDays(out, t)
	fmt.Fprintln(out, "--out writes every step with its time, as a table and for a calendar")
}

// printDays says day by day what a timetable comes to.
func printDays(out io.Writer, t *timetable.Table) {
	g := newGrid(1, "day", "from", "to", "series", "falls", "waiting", "tower idle")
	for _, d := range t.Days {
		if d.First.IsZero() {
			g.row(d.Open.Format(time.DateOnly), "free", "", "0", "0", "", "")
			continue
		}
		g.row(d.Open.Format(time.DateOnly), d.First.Format("15:04"), d.Last.Format("15:04"), fmt.Sprint(d.Series), fmt.Sprint(d.Falls),
			timetable.Clock(d.Waiting), timetable.Clock(d.TowerIdle))
	}
	g.print(out, "TIMETABLE")
	fmt.Fprintln(out, wrap("", "  ", tied(fmt.Sprintf("%s of open days, and no timetable of this takes less than %s (%s); %s of settling and rests in all",
		timetable.Clock(t.Makespan), timetable.Clock(t.Bound), t.BoundBy, timetable.Clock(t.Waiting)))))
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
