package main

import (
	"context"
	"math"

	"github.com/spf13/cobra"

	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/uptake"
)

// fitsStudy refuses flags that are about a table when a study of a book is asked
// for.
func (f *soakFlags) fitsStudy() error {
	for flag, text := range map[string]string{
		"minutes": f.minutes, "uptake": f.uptake, "mass": f.mass, "dry": f.dry, "specimen": f.specimen, "condition": f.condition,
		"protocol": f.protocol, "resolution": f.resolution, "repeatability": f.repeatability,
		"sheet": f.file.Sheet, "delimiter": f.file.Delimiter, "decimal": f.file.Decimal,
	} {
		if text != "" {
			return problem.New(problem.Invalid, "--"+flag, "it is about a table, and with --book it is a study of the book that is weighed").
				Hint("leave --%s out: the study says it, or leave --book out", flag)
		}
	}
	if f.force && f.against == "" {
		return problem.New(problem.Invalid, "--force", "it is about another study, which is not named").Hint("write --against STUDY")
	}
	return f.asked()
}

// asked refuses a law or time that is none.
func (f *soakFlags) asked() error {
	if f.law != "" {
		if _, err := uptake.LawNamed(f.law); err != nil {
			return err
		}
	}
	for _, at := range f.at {
		if !(at > 0) || math.IsInf(at, 1) {
			return problem.New(problem.Invalid, "--at", "%g min is no time of a soak", at)
		}
	}
	return nil
}

// runStudy asks the use case that the page Water asks.
func (f *soakFlags) runStudy(cmd *cobra.Command) error {
	return withDesk(cmd, &f.kept, func(ctx context.Context, desk *study.Desk) error {
		ask := study.WaterAsk{Law: f.law, Baseline: f.baseline, Weighted: f.weighted, Against: f.against, Force: f.force}
		for _, at := range f.at {
			ask.Times = append(ask.Times, 60*at)
		}
		w, err := desk.Water(ctx, f.kept.study, ask)
		if err != nil {
			return err
		}
		r := &soaked{ask: f, name: "study " + f.kept.study, answers: w.Soaked, contrasts: w.Contrasts, baseline: w.Baseline, at: w.Times, notes: w.Notes}
		for _, u := range w.Unfitted {
			r.notes = append(r.notes, u.Condition+" has no curve: "+u.Why)
		}
		if len(w.Soaked) == 0 {
			p := problem.New(problem.TooFew, r.name, "no weighings of it hold a curve")
			for _, note := range r.notes {
				p.Hint("%s", note)
			}
			return p.Hint("record them with their time under water: fallwright book weigh SPECIMEN MASS --soak 5min")
		}
		return r.show(cmd)
	})
}

// weighings is how many weighings the curves go through.
func (r *soaked) weighings() int {
	if r.table != nil {
		return len(r.points)
	}
	n := 0
	for _, a := range r.answers {
		n += len(a.Points)
	}
	return n
}
