package main

// How the terminal speaks. Answers go to standard output and nothing else
// does; refusals, hints and progress go to standard error. Refusals begin in
// lower case and end without a full stop. A hint has its own line. What state
// things were left in is said last.

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"fallwright.example/problem"
)

type terminal struct{ w io.Writer }

// refuse shows an error: every problem in it, or the bare error when it is the
// program's own fault.
func (t terminal) refuse(err error) {
	problems := problem.All(err)
	if len(problems) == 0 {
		fmt.Fprintf(t.w, "fallwright: error: %v\n", err)
		return
	}
	t.problems(problems)
	if last := problems[len(problems)-1]; last.State != "" {
		fmt.Fprintf(t.w, "fallwright: %s\n", last.State)
	}
}

func (t terminal) problems(problems []*problem.Problem) {
	for i, p := range problems {
		if i > 0 {
			fmt.Fprintln(t.w)
		}
		fmt.Fprintf(t.w, "fallwright: error: %s\n", p.Error())
		if p.Quote != "" {
			fmt.Fprintf(t.w, "%s\n", indent(p.Quote))
		}
		for _, h := range p.Hints {
			fmt.Fprintf(t.w, "fallwright: hint: %s\n", h)
		}
	}
}

// misused shows what is wrong with a command line.
func (t terminal) misused(command string, err error) {
	if problems := problem.All(err); len(problems) > 0 {
		t.problems(problems)
	} else {
		fmt.Fprintf(t.w, "fallwright: error: %v\n", err)
	}
	fmt.Fprintf(t.w, "fallwright: hint: %s --help lists what it takes\n", command)
}

func (t terminal) line(format string, args ...any) { fmt.Fprintf(t.w, format+"\n", args...) }

// wrap breaks a text into lines of at most 80 characters, each with the lead;
// the first begins with mark instead. Spaces that do not break keep what they
// are between on one line, and are plain spaces then, which every terminal has.
func wrap(mark, lead, text string) string {
	var b strings.Builder
	line := mark
	empty := true
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\n' || r == '\t' }) {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > 80 {
			b.WriteString(line + "\n")
			line, empty = lead, true
		}
		if !empty {
			line += " "
		}
		line += word
		empty = false
	}
	return unbroken.Replace(b.String() + line)
}

var unbroken = strings.NewReplacer("\u202f", " ", "\u00a0", " ")

func indent(text string) string {
	return "    " + strings.ReplaceAll(strings.TrimRight(text, "\n"), "\n", "\n    ")
}
