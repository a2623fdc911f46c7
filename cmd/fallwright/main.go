// Command fallwright is the workbench for comparative drop tests on climbing
// ropes: command line and web app in one binary.
package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/spf13/cobra"
)

// version is the program's own; a build adds the commit it was made from.
const version = "0.1.0"

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second interrupt ends the program at once
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// Exit codes.
const (
	done       = 0
	couldNot   = 1
	badCommand = 2
)

// run is the program without the process around it.
func run(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) int {
	root := commands()
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errs)
	cmd, err := root.ExecuteContextC(ctx)
	if err == nil {
		return done
	}
	var ran *ranError
	if errors.As(err, &ran) {
		terminal{errs}.refuse(ran.err)
		return couldNot
	}
	terminal{errs}.misused(cmd.CommandPath(), plainly(cmd, err))
	return badCommand
}

// ranError marks what a command itself returned, apart from what was wrong
// with the command line.
type ranError struct{ err error }

func (e *ranError) Error() string { return e.err.Error() }

func commands() *cobra.Command {
	root := &cobra.Command{
		Use:   "fallwright",
		Short: "The workbench for comparative drop tests on climbing ropes",
		Long: `fallwright takes a comparative drop test on climbing ropes from a question
through plan, falls and force traces to a finding that others can check.

It is not a type test, gives no rope a rating and never says that a rope is safe.`,
		Version:       programName(),
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetVersionTemplate("{{.Version}}\n")
	root.SetFlagErrorFunc(badFlag)
	root.AddCommand(demoCommand(), planCommand(), dialCommand(), readCommand(), bookCommand(), compareCommand(), precisionCommand(), publishCommand(), soakCommand(), lawCommand(), wallCommand(), serveCommand())
	return root
}

// doing wraps what a command does so that run can tell it from misuse.
func doing(f func(cmd *cobra.Command, args []string) error) func(*cobra.Command, []string) error {
	return func(cmd *cobra.Command, args []string) error {
		if err := f(cmd, args); err != nil {
			return &ranError{err}
		}
		return nil
	}
}
