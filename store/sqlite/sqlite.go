// Package sqlite keeps a book in one file: SQLite by modernc.org/sqlite, which
// needs no C compiler. The statements are those of store/book; here is how the
// file is opened, and what SQLite's errors mean.
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the driver "sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"fallwright.example/problem"
	"fallwright.example/store/book"
	"fallwright.example/study"
)

// applicationID marks a file as a book: the bytes "fwbk" at offset 68 of an
// SQLite file [SQLite2026].
const applicationID = 0x6677626b

var setID = "PRAGMA application_id = " + strconv.Itoa(applicationID)

// Open opens the book in a file, or makes one where there is no file. Several
// processes may have the same book open.
//
// Refusals are problems: NotFound when the folder is not there, Invalid for a
// folder in the file's place, Unreadable for a file that is no book or that a
// newer program wrote, Conflict for a book that cannot be written to.
func Open(ctx context.Context, path string) (study.Store, error) {
	for until := time.Now().Add(busyTimeout); ; {
		b, err := open(ctx, path)
		switch {
		case err == nil:
			return b, nil
		case code(err)&0xff != sqlite3.SQLITE_BUSY || time.Now().After(until):
			return nil, refused(path, err)
		}
		// While another process makes the book or is the last to leave it,
		// SQLite does not wait whatever the busy timeout.
		select {
		case <-time.After(10 * time.Millisecond):
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// open tries once; errors of SQLite come back as they are.
func open(ctx context.Context, path string) (*book.Book, error) {
	fresh, err := look(path)
	if err == nil && !fresh {
		fresh, err = identify(ctx, path)
	}
	if err == nil && fresh {
		err = mark(ctx, path)
	}
	if err != nil {
		return nil, err
	}
	db, err := connect(path)
	if err != nil {
		return nil, err
	}
	if err := writable(ctx, db); err != nil {
		db.Close()
		return nil, err
	}
	b, err := book.Open(ctx, db, dialect(path))
	if err != nil {
		db.Close()
		return nil, err
	}
	return b, nil
}

// connect returns the pool of connections to a book.
func connect(path string) (*sql.DB, error) {
	db, err := sql.Open("sqlite", dsn(path, everyConnection()))
	if err != nil {
		return nil, err
	}
	// Each connection has a page cache of its own; more than this many would
	// only wait for each other.
	const connections = 8
	db.SetMaxOpenConns(connections)
	db.SetMaxIdleConns(connections)
	return db, nil
}

// look reports whether path is free for a new book.
func look(path string) (fresh bool, err error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		folder := filepath.Dir(path)
		if _, err := os.Stat(folder); err != nil {
			return false, problem.New(problem.NotFound, path, "there is no folder %s", folder).
				Hint("make the folder, or correct the path of the book").In("no book was made")
		}
		return true, nil
	case err != nil:
		return false, problem.New(problem.NotFound, path, "the book cannot be reached: %v", errors.Unwrap(err)).
			Hint("check who may read the folder")
	case info.IsDir():
		return false, problem.New(problem.Invalid, path, "it is a folder, and a book is one file").
			Hint("name a file in it: %s", filepath.Join(path, "book.fallwright"))
	}
	// SQLite takes the shortest files for empty databases and writes over them.
	const shortest = 512 // the smallest page it has
	if n := info.Size(); n > 0 && n < shortest {
		return false, noBook(path, "it has %d bytes", n)
	}
	return info.Size() == 0, nil
}

// identify looks at a file without altering it and reports whether it is an
// empty database. It goes through SQLite, not through os.Open: closing a file
// ends every lock that the process has on it, SQLite's own included.
func identify(ctx context.Context, path string) (fresh bool, err error) {
	fresh, err = probe(ctx, path, "ro")
	if code(err) == sqlite3.SQLITE_READONLY_ROLLBACK {
		// A write was cut short before the book kept a log. It has to be undone
		// before anything can be read, as by any program that opens the file.
		fresh, err = probe(ctx, path, "rw")
	}
	return fresh, err
}

func probe(ctx context.Context, path, mode string) (fresh bool, err error) {
	params := waiting()
	params.Set("mode", mode)
	db, err := sql.Open("sqlite", dsn(path, params))
	if err != nil {
		return false, err
	}
	defer db.Close()
	var id, tables int64
	if err := db.QueryRowContext(ctx, `PRAGMA application_id`).Scan(&id); err != nil {
		return false, err
	}
	if err := db.QueryRowContext(ctx, `SELECT COUNT(*) FROM sqlite_schema`).Scan(&tables); err != nil {
		return false, err
	}
	switch {
	case id == applicationID:
		return false, nil
	case id == 0 && tables == 0:
		return true, nil
	}
	return false, noBook(path, "it is a database of another program (application id %#x, %d tables)", id, tables)
}

// mark makes the file a book. It comes before the switch to WAL, so that the
// mark is in the file itself from its first page on.
func mark(ctx context.Context, path string) error {
	db, err := sql.Open("sqlite", dsn(path, waiting()))
	if err != nil {
		return err
	}
	defer db.Close()
	_, err = db.ExecContext(ctx, setID)
	return err
}

// writable finds out whether the book can be written to, by writing without a
// commit. To begin a write is not enough: SQLite lets a read-only one begin.
func writable(ctx context.Context, db *sql.DB) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	_, err = tx.ExecContext(ctx, setID)
	return err
}

// busyTimeout is how long a connection waits for another writer.
const busyTimeout = 5 * time.Second

// waiting is the part of every connection's parameters that probes need too.
func waiting() url.Values {
	return url.Values{
		"_busy_timeout": {strconv.FormatInt(busyTimeout.Milliseconds(), 10)},
		"_error_rc":     {"1"}, // errors say what happened to this statement
	}
}

// everyConnection is what each connection is opened with. The driver applies
// it to every connection of the pool, which a PRAGMA run once would not reach.
func everyConnection() url.Values {
	v := waiting()
	v.Set("_foreign_keys", "on")
	v.Set("_journal_mode", "WAL") // readers and a writer do not wait for each other
	v.Set("_synchronous", "FULL") // in WAL: a commit is on the disk when it returns
	v.Set("_txlock", "immediate") // a write waits its turn before it reads, and so never has to start again
	v.Set("_dqs", "0")            // a misspelt "column" is an error, not a text
	v.Set("_defensive", "1")
	v["_pragma"] = []string{"trusted_schema(0)", "cell_size_check(1)"}
	return v
}

// dsn is a file's name for the driver: a URI, so that any character may be in
// the path.
func dsn(path string, params url.Values) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // C:/...
	}
	u := url.URL{Scheme: "file", Path: path, RawQuery: params.Encode()}
	return u.String()
}

func dialect(path string) book.Dialect {
	return book.Dialect{
		Migrations: goose.DialectSQLite3,
		Write:      &sql.TxOptions{},
		Read:       &sql.TxOptions{ReadOnly: true}, // begins deferred, whatever _txlock says
		OneWriter:  true,
		Where:      path,
		Refusal:    func(err error) *problem.Problem { return refusal(path, err) },
		Integrity:  func(ctx context.Context, tx *sql.Tx) error { return integrity(ctx, tx, path) },
	}
}
