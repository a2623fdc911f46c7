package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"fallwright.example/campaign"
	"fallwright.example/demo"
	"fallwright.example/planfile"
	"fallwright.example/store/sqlite"
	"fallwright.example/study"
)

// The demo's own days. They are fixed, so that two runs make the same book.
var (
	demoFrozen   = time.Date(2026, 5, 3, 17, 30, 0, 0, time.UTC)
	demoFirst    = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)
	demoReported = time.Date(2026, 5, 7, 19, 0, 0, 0, time.UTC)
)

const (
	demoSeed = 1
	demoBy   = "Skerry Head Climbing Club (invented)"
)

func demoCommand() *cobra.Command {
	var dir, addr string
	var show bool
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "The whole road on an invented study",
		Long: `Demo makes the invented study of the Skerry Head Climbing Club, which asks what
sea water does to its ropes: study file, table of drops and traces as a logger
would write them. Then it goes the road that any study goes: the plan into a
book, frozen, the drops and their traces read and stored, the findings, the
report.`,
		Args: cobra.NoArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			book, err := makeDemo(cmd.Context(), cmd, dir)
			if err != nil || !show {
				return err
			}
			desk, err := openDesk(cmd.Context(), book)
			if err != nil {
				return err
			}
			defer desk.Store.Close()
			return serve(cmd.Context(), cmd, desk, addr)
		}),
	}
	cmd.Flags().StringVar(&dir, "out", "skerry-head", "`FOLDER` to make")
	cmd.Flags().BoolVar(&show, "serve", false, "show the study in the browser afterwards")
	cmd.Flags().StringVar(&addr, "addr", "127.0.0.1:0", "`ADDRESS` for --serve")
	return cmd
}

// makeDemo makes the folder, and returns the book in it, closed.
func makeDemo(ctx context.Context, cmd *cobra.Command, dir string) (string, error) {
	files, err := demoFiles()
	if err != nil {
		return "", err
	}
	folder := demoFolder{dir: dir}
	if err := folder.clear(); err != nil {
		return "", err
	}
	if err := folder.write(files); err != nil {
		return "", err
	}
	book := filepath.Join(dir, demoBook)
	store, err := sqlite.Open(ctx, book)
	if err != nil {
		return "", err
	}
	findings, report, err := walkDemo(ctx, newDesk(store), dir)
	if closed := store.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return "", err
	}
	if err := folder.seal(demoBook, filepath.Base(report)); err != nil {
		return "", err
	}
	out := cmd.OutOrStdout()
	printFindings(out, findings)
	fmt.Fprintf(out, "\nreport  %s\nbook    %s\n", report, book)
	fmt.Fprintf(out, "look at it in the browser: fallwright serve --book %s\n", book)
	return book, nil
}

// walkDemo goes the road: plan, freeze, drops, weighings, findings, report.
func walkDemo(ctx context.Context, desk *study.Desk, dir string) (*study.Findings, string, error) {
	clock, ids := demoFrozen, 0
	desk.Zone = time.UTC
	desk.Now = func() time.Time { return clock }
	desk.NewID = func() string { ids++; return fmt.Sprintf("demo-%05d", ids) }

	file := filepath.Join(dir, "sea-water.toml")
	plan, err := planfile.Parse(file, demo.StudyFile)
	if err != nil {
		return nil, "", err
	}
	if _, err := desk.PutPlan(ctx, plan, filepath.Base(file), demo.StudyFile, demoBy); err != nil {
		return nil, "", err
	}
	if _, err := desk.Freeze(ctx, plan.Name, demoBy); err != nil {
		return nil, "", err
	}
	clock = demoReported
	run := tableRun{desk: desk, name: plan.Name, by: demoBy, table: filepath.Join(dir, "drops.csv"), say: terminal{io.Discard}, warn: terminal{io.Discard}}
	if err := run.record(ctx); err != nil {
		return nil, "", err
	}
	for _, w := range demo.Weighings(demoSeed) {
		stamp := campaign.Stamp{At: demoFirst.Add(w.At), By: demoBy}
		if err := desk.Weigh(ctx, plan.Name, campaign.Weighing{
			Stamp: stamp, Specimen: w.Specimen, Of: w.Of, Soak: w.Soak.Seconds(), Hung: w.Hung.Seconds(), State: w.State, Mass: w.Mass,
		}); err != nil {
			return nil, "", err
		}
	}
	if err := desk.Deviate(ctx, plan.Name, demo.Deviation, demoBy); err != nil {
		return nil, "", err
	}
	if err := measureDemo(ctx, desk, plan.Name); err != nil {
		return nil, "", err
	}
	findings, err := desk.Checked(ctx, plan.Name)
	if err != nil {
		return nil, "", err
	}
	report, err := writeReport(ctx, desk, plan.Name, dir)
	return findings, report, err
}

// measureDemo records the gaugings and pulls.
func measureDemo(ctx context.Context, desk *study.Desk, name string) error {
	for _, g := range demo.Gaugings(demoSeed) {
		g.Stamp = campaign.Stamp{At: demoFirst.Add(g.Since), By: demoBy}
		if err := desk.Gauge(ctx, name, g.Gauging); err != nil {
			return err
		}
	}
	for _, p := range demo.Pulls(demoSeed) {
		p.Stamp = campaign.Stamp{At: demoFirst.Add(p.Since), By: demoBy}
		if _, _, err := desk.Pull(ctx, name, p.Pull, "", nil); err != nil {
			return err
		}
	}
	return nil
}

// demoFiles are what a club would have on its disk after the days at the tower,
// by name in the folder.
func demoFiles() (map[string][]byte, error) {
	files := map[string][]byte{"sea-water.toml": demo.StudyFile}
	drops := demo.Traces(demoSeed)
	for _, d := range drops {
		if d.TraceName != "" {
			files["traces/"+d.TraceName] = d.CSV
		}
	}
	table, err := demoTable(drops)
	files["drops.csv"] = table
	return files, err
}

// demoTable is the table of drops, as docs/FORMATS.md describes it.
func demoTable(drops []demo.Drop) ([]byte, error) {
	var buf bytes.Buffer
	w := csv.NewWriter(&buf)
	rows := [][]string{{"kind", "specimen", "fall", "setting", "at", "by", "trace", "void", "loaded", "note"}}
	for _, d := range drops {
		fall, loaded, path := "", "", ""
		if d.Fall > 0 {
			fall = strconv.Itoa(d.Fall)
		}
		if d.VoidReason != "" {
			loaded = map[bool]string{true: "yes", false: "no"}[d.VoidLoaded]
		}
		if d.TraceName != "" {
			path = "traces/" + d.TraceName
		}
		rows = append(rows, []string{
			string(d.Kind), d.Specimen, fall, d.Setting, demoFirst.Add(d.At).Format(time.RFC3339Nano),
			demoBy, path, d.VoidReason, loaded, d.Note,
		})
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}
