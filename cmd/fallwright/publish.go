package main

import (
	"context"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"fallwright.example/problem"
	"fallwright.example/report/html"
	"fallwright.example/study"
)

func publishCommand() *cobra.Command {
	var b bookFlags
	var dir string
	cmd := &cobra.Command{
		Use:   "publish",
		Short: "Write the report of a study",
		Long:  `Publish writes the report: one HTML file that needs nothing else and prints well.`,
		Args:  noArgs,
		RunE: doing(func(cmd *cobra.Command, _ []string) error {
			return withDesk(cmd, &b, func(ctx context.Context, desk *study.Desk) error {
				path, err := writeReport(ctx, desk, b.study, dir)
				if err != nil {
					return err
				}
				terminal{cmd.OutOrStdout()}.line("%s", path)
				return nil
			})
		}),
	}
	b.register(cmd, true, false)
	cmd.Flags().StringVar(&dir, "out", ".", "`FOLDER` to write into")
	return cmd
}

// writeReport writes NAME-report.html whole or not at all.
func writeReport(ctx context.Context, desk *study.Desk, name, dir string) (string, error) {
	r, err := desk.Report(ctx, name)
	if err != nil {
		return "", err
	}
	const state = "no report was written"
	if err := makeFolder(dir, state); err != nil {
		return "", err
	}
	path := filepath.Join(dir, name+"-report.html")
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return "", problem.New(problem.Conflict, path, "a folder is in the report's place").
			Hint("move it away, or write the report elsewhere: --out FOLDER").In(state)
	}
	part, err := os.CreateTemp(dir, name+"-report-*.part")
	if err != nil {
		return "", left(cannotWrite(dir, err), state)
	}
	defer os.Remove(part.Name())
	if err := html.Write(part, *r); err != nil {
		part.Close()
		return "", left(cannotWrite(path, err), state)
	}
	if err := finish(part, path); err != nil {
		return "", left(cannotWrite(path, err), state)
	}
	return path, nil
}

// finish closes a part file and gives it its name.
func finish(part *os.File, path string) error {
	if err := part.Chmod(0o644); err != nil {
		part.Close()
		return err
	}
	if err := part.Close(); err != nil {
		return err
	}
	return os.Rename(part.Name(), path)
}
