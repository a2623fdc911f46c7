package main

import (
	"context"
	"os"
	"os/user"
	"time"

	"github.com/google/uuid"
	"github.com/spf13/cobra"

	"fallwright.example/problem"
	"fallwright.example/store/sqlite"
	"fallwright.example/study"
)

// bookFlags are the flags of every command that works on a book.
type bookFlags struct {
	book  string
	study string
	by    string
}

func (b *bookFlags) register(cmd *cobra.Command, withStudy, withBy bool) {
	cmd.Flags().StringVar(&b.book, "book", "fallwright.book", "`FILE` that is the book")
	if withStudy {
		cmd.Flags().StringVar(&b.study, "study", "", "`NAME` of the study; may be left out when the book has one")
	}
	if withBy {
		cmd.Flags().StringVar(&b.by, "by", userName(), "`NAME` of whoever does this, kept with it")
	}
}

func userName() string {
	if u, err := user.Current(); err == nil {
		if u.Name != "" {
			return u.Name
		}
		return u.Username
	}
	return ""
}

// newDesk is a desk on an open book, with the process's clock.
func newDesk(store study.Store) *study.Desk {
	known := readers()
	return &study.Desk{
		Store:   store,
		Read:    known.Read,
		Now:     time.Now,
		Zone:    time.Local,
		NewID:   func() string { return uuid.Must(uuid.NewV7()).String() },
		Program: programName(),
	}
}

// openDesk opens a book that must be there.
func openDesk(ctx context.Context, path string) (*study.Desk, error) {
	if _, err := os.Stat(path); os.IsNotExist(err) {
		return nil, problem.New(problem.NotFound, path, "there is no such book").
			Hint("put a study into a new one: fallwright plan STUDY.toml --book %s", path).
			Hint("or name the book you mean with --book FILE")
	}
	store, err := sqlite.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	return newDesk(store), nil
}

// withDesk opens the book, finds the study that is meant, and closes the book
// again.
func withDesk(cmd *cobra.Command, b *bookFlags, do func(ctx context.Context, desk *study.Desk) error) error {
	ctx := cmd.Context()
	desk, err := openDesk(ctx, b.book)
	if err != nil {
		return err
	}
	defer desk.Store.Close()
	if cmd.Flags().Lookup("study") != nil && b.study == "" {
		if b.study, err = onlyStudy(ctx, desk, b.book); err != nil {
			return err
		}
	}
	return do(ctx, desk)
}

func onlyStudy(ctx context.Context, desk *study.Desk, book string) (string, error) {
	all, err := desk.Studies(ctx)
	if err != nil {
		return "", err
	}
	switch len(all) {
	case 0:
		return "", problem.New(problem.NotFound, book, "the book has no study yet").
			Hint("fallwright plan STUDY.toml --book %s", book)
	case 1:
		return all[0].Name, nil
	}
	p := problem.New(problem.Invalid, "--study", "the book has %d studies, which one is meant", len(all))
	for _, s := range all {
		p.Hint("--study %s is %q", s.Name, s.Title)
	}
	return "", p
}
