package main

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"fallwright.example/problem"
)

// badFlag says what is wrong with a flag, in the place of the flag library's own
// words.
func badFlag(cmd *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var empty *pflag.ValueRequiredError
	var odd *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		return unknownFlag(cmd, unknown)
	case errors.As(err, &empty):
		name, _ := pflag.UnquoteUsage(empty.GetFlag())
		return problem.New(problem.Invalid, "--"+empty.GetFlag().Name, "it is given without a value").
			Hint("write --%s %s", empty.GetFlag().Name, name)
	case errors.As(err, &odd):
		return oddValue(odd.GetFlag(), odd.GetValue())
	}
	return err
}

func unknownFlag(cmd *cobra.Command, e *pflag.NotExistError) error {
	if letters := e.GetSpecifiedShortnames(); letters != "" {
		return problem.New(problem.Invalid, "-"+letters, "there is no such flag").
			Hint("flags are words here, with two hyphens: --%s", letters)
	}
	p := problem.New(problem.Invalid, "--"+e.GetSpecifiedName(), "%s has no such flag", cmd.CommandPath())
	cmd.Flags().VisitAll(func(f *pflag.Flag) {
		if oneSlip(e.GetSpecifiedName(), f.Name) || len(f.Name) > 2 && strings.HasPrefix(e.GetSpecifiedName(), f.Name) {
			p.Hint("write --%s", f.Name)
		}
	})
	return p
}

// oneSlip reports whether one letter added, left out or changed, or two
// neighbours swapped, makes one word of the other.
func oneSlip(a, b string) bool {
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	swapped := len(a) == 2 && len(b) == 2 && a[0] == b[1] && a[1] == b[0]
	return len(a) <= 1 && len(b) <= 1 || swapped
}

// number at the beginning of a value, with a point or a comma.
var leadingNumber = regexp.MustCompile(`^([+-]?[0-9]+)([.,][0-9]+)?\s*(.*)$`)

// oddValue refuses a flag's value that is not of its kind.
func oddValue(f *pflag.Flag, value string) error {
	name, _ := pflag.UnquoteUsage(f)
	where := "--" + f.Name
	m := leadingNumber.FindStringSubmatch(value)
	switch kind := f.Value.Type(); {
	case kind == "bool":
		return problem.New(problem.Invalid, where, "%q is neither true nor false", value).Hint("write %s alone, or leave it out", where)
	case strings.HasPrefix(kind, "float") && m != nil && strings.HasPrefix(m[2], ",") && m[3] == "":
		return problem.New(problem.Invalid, where, "%q has a comma, and numbers here have a decimal point", value).
			Hint("write %s %s.%s", where, m[1], m[2][1:])
	case strings.HasPrefix(kind, "float") && m != nil && m[3] != "":
		return problem.New(problem.Invalid, where, "%q is not a number alone", value).
			Hint("write the number without its unit, in %s: %s %s", strings.ToLower(name), where, m[1]+strings.Replace(m[2], ",", ".", 1))
	case strings.HasPrefix(kind, "float"):
		return problem.New(problem.Invalid, where, "%q is no number that is taken here", value).Hint("write %s %s", where, name)
	case strings.Contains(kind, "int"):
		return problem.New(problem.Invalid, where, "%q is no whole number that is taken here", value).Hint("write %s %s", where, name)
	}
	return problem.New(problem.Invalid, where, "%q is not taken here", value).Hint("write %s %s", where, name)
}

// What the command library says in its own words.
var (
	argsGiven    = regexp.MustCompile(`arg\(s\).*received (\d+)`)
	flagsNeeded  = regexp.MustCompile(`^required flag\(s\) (.*) not set$`)
	groupNeeded  = regexp.MustCompile(`^at least one of the flags in the group \[(.*)\] is required$`)
	groupClashes = regexp.MustCompile(`^if any flags in the group \[.*\] are set none of the others can be; \[(.*)\] were all set$`)
)

// plainly says what the command library says as a problem; anything else comes
// back as it is.
func plainly(cmd *cobra.Command, err error) error {
	if len(problem.All(err)) > 0 {
		return err
	}
	text := err.Error()
	dashed := func(names []string, between string) string { return "--" + strings.Join(names, between+"--") }
	if m := argsGiven.FindStringSubmatch(text); m != nil {
		n, _ := strconv.Atoi(m[1])
		_, takes, _ := strings.Cut(cmd.Use, " ")
		p := problem.New(problem.Invalid, cmd.CommandPath(), "it takes %s, and %s", takes, given(n))
		if n > 1 {
			p.Hint("a name or a text with spaces needs quotes")
		}
		return p
	}
	if m := flagsNeeded.FindStringSubmatch(text); m != nil {
		names := strings.Split(strings.ReplaceAll(m[1], `"`, ""), ", ")
		p := problem.New(problem.Invalid, cmd.CommandPath(), "%s is missing", dashed(names, " and "))
		for _, name := range names {
			if f := cmd.Flags().Lookup(name); f != nil {
				value, _ := pflag.UnquoteUsage(f)
				p.Hint("write --%s %s", name, value)
			}
		}
		return p
	}
	if m := groupNeeded.FindStringSubmatch(text); m != nil {
		return problem.New(problem.Invalid, cmd.CommandPath(), "one of %s is needed", dashed(strings.Fields(m[1]), " and "))
	}
	if m := groupClashes.FindStringSubmatch(text); m != nil {
		return problem.New(problem.Invalid, cmd.CommandPath(), "%s exclude each other", dashed(strings.Fields(m[1]), " and ")).Hint("give one of them")
	}
	return err
}

func given(n int) string {
	switch n {
	case 0:
		return "nothing is given"
	case 1:
		return "one word is given"
	}
	return fmt.Sprintf("%d words are given", n)
}

// subcommand refuses a word that is none of a command's own commands.
func subcommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	p := problem.New(problem.Invalid, cmd.CommandPath(), "it has no command %q", args[0])
	for _, sub := range cmd.Commands() {
		if oneSlip(args[0], sub.Name()) || strings.HasPrefix(sub.Name(), args[0]) {
			p.Hint("write %s", sub.CommandPath())
		}
	}
	return p
}

// noArgs refuses words that a command does not take.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	return problem.New(problem.Invalid, cmd.CommandPath(), "it takes flags and nothing else, and %q is given", args[0])
}
