package book

import (
	"context"
	"embed"
	"io/fs"

	"github.com/pressly/goose/v3"

	"fallwright.example/problem"
)

//go:embed migrations/*.sql
var migrations embed.FS

// migrate brings the schema up to date. Another process may be doing the same
// at the same moment: each migration is a transaction, so the one that loses
// finds that what it wanted is there.
func (b *Book) migrate(ctx context.Context) error {
	p, err := b.provider()
	if err != nil {
		return err
	}
	const tries = 3
	var failed error
	for range tries {
		have, known, err := p.GetVersions(ctx)
		switch {
		case err != nil:
			return err
		case have > known:
			return problem.New(problem.Unreadable, b.dialect.Where, "the book has schema version %d, and this program knows versions up to %d", have, known).
				Hint("open it with the newer fallwright that wrote it").In("the book was not touched")
		case have == known:
			return nil
		}
		_, failed = p.Up(ctx)
	}
	return failed
}

// schema is the version of the book's schema.
func (b *Book) schema(ctx context.Context) (int, error) {
	p, err := b.provider()
	if err != nil {
		return 0, err
	}
	v, err := p.GetDBVersion(ctx)
	return int(v), err
}

func (b *Book) provider() (*goose.Provider, error) {
	files, err := fs.Sub(migrations, "migrations")
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(b.dialect.Migrations, b.db, files, goose.WithDisableGlobalRegistry(true))
}
