// Package book is the Store over database/sql: one text of SQL that SQLite and
// PostgreSQL take unchanged (docs/decisions/0002-one-sql-text.md). What differs
// between the two is a Dialect, which the package that opens the database gives.
//
// Rows are only ever added. Everything of a study has an entry, a number
// counted without a gap within the study; a write first moves the study's
// counter, which makes every other writer to that study wait, then loads the
// study, asks its rules, writes and commits.
package book

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// Book is a study.Store.
type Book struct {
	db      *sql.DB
	dialect Dialect
	turn    chan struct{} // holds one writer at a time; nil where many may write
	decoded decoded
}

var _ study.Store = (*Book)(nil)

// Open brings the schema of db up to date and returns the book in it. The book
// owns db: Close closes it. A schema newer than this program's is a Problem of
// kind Unreadable, and is left alone; errors of the driver come back as they
// are, since the caller has the dialect.
func Open(ctx context.Context, db *sql.DB, d Dialect) (*Book, error) {
	b := &Book{db: db, dialect: d}
	if d.OneWriter {
		b.turn = make(chan struct{}, 1)
	}
	if err := b.migrate(ctx); err != nil {
		return nil, err
	}
	return b, nil
}

// Close closes the database.
func (b *Book) Close() error { return b.db.Close() }

// write runs do in one transaction and commits it.
func (b *Book) write(ctx context.Context, do func(*sql.Tx) error) error {
	if b.turn != nil {
		select {
		case b.turn <- struct{}{}:
			defer func() { <-b.turn }()
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	tx, err := b.db.BeginTx(ctx, b.dialect.Write)
	if err != nil {
		return b.refuse(err)
	}
	defer tx.Rollback() // does nothing once committed
	if err := do(tx); err != nil {
		return b.refuse(err)
	}
	return b.refuse(tx.Commit())
}

// read runs do in one transaction that sees the book as it is at one moment.
func (b *Book) read(ctx context.Context, do func(*sql.Tx) error) error {
	tx, err := b.db.BeginTx(ctx, b.dialect.Read)
	if err != nil {
		return b.refuse(err)
	}
	defer tx.Rollback()
	return b.refuse(do(tx))
}

// writeTo is a write to one study: it takes as many entries as do adds, loads
// the study as the write finds it, and runs do with the first of the entries.
func (b *Book) writeTo(ctx context.Context, name string, entries int64, do func(*sql.Tx, *campaign.Study, int64) error) error {
	return b.write(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, `UPDATE study SET entries = entries + $1 WHERE name = $2`, entries, name)
		if err != nil {
			return err
		}
		s, last, err := load(ctx, tx, name)
		if err != nil {
			return err
		}
		return do(tx, s, last-entries+1)
	})
}

// querier is what a *sql.Tx and a *sql.DB have in common.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// all returns what scan makes of each row.
func all[T any](ctx context.Context, q querier, scan func(*sql.Rows) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// millis is a time in the book, and moment the time again: whole milliseconds
// in UTC.
func millis(t time.Time) int64  { return t.UnixMilli() }
func moment(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// nullable is the NULL that stands for an empty text.
func nullable(s string) sql.Null[string] { return sql.Null[string]{V: s, Valid: s != ""} }

// refuse turns the errors that a person can act on into Problems.
func (b *Book) refuse(err error) error {
	if err == nil || len(problem.All(err)) > 0 || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	if p := b.dialect.Refusal(err); p != nil {
		return p
	}
	return err
}
