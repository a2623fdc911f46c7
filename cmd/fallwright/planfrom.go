package main

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// replan plans the rest of a study's days from a time on, and says it.
func replan(cmd *cobra.Command, b *bookFlags, name, text, dir string, asJSON bool) error {
	desk, err := openDesk(cmd.Context(), b.book)
	if err != nil {
		return err
	}
	defer desk.Store.Close()
	from, err := time.ParseInLocation("2006-01-02 15:04", strings.Replace(text, "T", " ", 1), desk.Clock().Location())
	if err != nil {
		return problem.New(problem.Invalid, "--from", "%q is no date with a time", text).Hint(`write it as "2026-05-04 11:20"`).In("nothing was planned anew")
	}
	r, err := desk.Replan(cmd.Context(), name, from)
	if err != nil {
		return err
	}
	if dir != "" && r.Table != nil {
		if err := writeReplanned(cmd, r, dir); err != nil {
			return err
		}
	}
	if asJSON {
		return printJSON(cmd, replannedOf(r))
	}
	printReplanned(cmd, r)
	return nil
}

// replannedJSON is the rest of a plan.
type replannedJSON struct {
	Study     string        `json:"study"`
	From      time.Time     `json:"from"`
	Taken     int           `json:"falls_taken"`
	Left      int           `json:"falls_left"`
	GivenUp   []string      `json:"given_up"`
	DaysOpen  bool          `json:"days_of_the_draw_given_up"`
	Broken    []brokenJSON  `json:"broken"`
	Timetable *plannedTable `json:"timetable"`
}

type brokenJSON struct {
	Specimen string    `json:"specimen"`
	At       time.Time `json:"at"`
	What     string    `json:"what"`
}

func replannedOf(r *study.Replanned) replannedJSON {
	out := replannedJSON{
		Study: r.Plan.Name, From: r.From, Taken: r.Falls, Left: r.Left, GivenUp: append([]string{}, r.GivenUp...), DaysOpen: r.DaysOpen, Broken: []brokenJSON{},
	}
	if r.Table != nil {
		out.Timetable = tableOf(r.Table)
		for _, f := range r.Table.Broken {
			out.Broken = append(out.Broken, brokenJSON{f.Job, f.At, f.What})
		}
	}
	return out
}

func printReplanned(cmd *cobra.Command, r *study.Replanned) {
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%s from %s on: %s taken by then, %d to come\n", r.Plan.Name, r.From.Format("2006-01-02 15:04"), figure.Counted(r.Falls, "fall"), r.Left)
	if len(r.GivenUp) > 0 {
		fmt.Fprintln(out, wrap("broken off and not taken up again: ", "  ", strings.Join(r.GivenUp, " ")))
	}
	if r.DaysOpen {
		fmt.Fprintln(out, "the days of the draw could not be kept to: what has not begun may fall on any")
	}
	if r.Table == nil {
		fmt.Fprintln(out, "nothing is left to plan")
		return
	}
	for _, f := range r.Table.Broken {
		fmt.Fprintln(out, wrap("broken: ", "  ", fmt.Sprintf("%s, %s: %s", f.Job, f.At.Format("2006-01-02 15:04"), f.What)))
	}
	printDays(out, r.Table)
}

// writeReplanned writes the new timetable as files.
func writeReplanned(cmd *cobra.Command, r *study.Replanned, dir string) error {
	if err := makeFolder(dir, "nothing was written"); err != nil {
		return err
	}
	w := &planFiles{dir: dir}
	w.table("timetable.csv", timeTable(r.Shown()))
	var b bytes.Buffer
	if err := calendarOf(&b, r.Shown(), &r.Plan); err != nil {
		return err
	}
	w.file("timetable.ics", b.Bytes())
	if w.err == nil {
		terminal{cmd.ErrOrStderr()}.line("%s: %s", dir, strings.Join(w.names, ", "))
	}
	return w.err
}
