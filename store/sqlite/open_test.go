package sqlite

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	sqlite3 "modernc.org/sqlite/lib"

	"fallwright.example/problem"
)

func TestOpenRefuses(t *testing.T) {
	database := func(statements ...string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			db := raw(t, path)
			for _, s := range statements {
				mustExec(t, db, s)
			}
			db.Close()
		}
	}
	content := func(data string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			if err := os.WriteFile(path, []byte(data), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	cases := []struct {
		name string
		path string
		make func(*testing.T, string)
		kind problem.Kind
		says string
	}{
		{"a folder", "x", func(t *testing.T, path string) { os.Mkdir(path, 0o700) }, problem.Invalid, "it is a folder"},
		{"no folder", "no/x", nil, problem.NotFound, "there is no folder"},
		{"a table", "x.csv", content(strings.Repeat("0.001;0.002\n", 100)), problem.Unreadable, "no book: its first bytes"},
		{"one byte", "x", content("0"), problem.Unreadable, "no book: it has 1 bytes"},
		{"the longest of short files", "x", content(strings.Repeat("\x00", 511)), problem.Unreadable, "no book: it has 511 bytes"},
		{"nothing but zeros", "x", content(strings.Repeat("\x00", 512)), problem.Unreadable, "no book: its first bytes"},
		{"a picture", "x.png", content("\x89PNG\r\n\x1a\n" + strings.Repeat("\x00", 2000)), problem.Unreadable, "no book: its first bytes"},
		{"another program's database", "x", database(`CREATE TABLE rope (id TEXT)`), problem.Unreadable, "another program"},
		{"another program's database, empty", "x", database(`PRAGMA application_id = 7`), problem.Unreadable, "another program"},
		{"a newer book", "x", func(t *testing.T, path string) {
			mustOpen(t, path).Close()
			database(`INSERT INTO goose_db_version (version_id, is_applied) VALUES (99, TRUE)`)(t, path)
		}, problem.Unreadable, "the book has schema version 99, and this program knows versions up to 3"},
		{"half a book", "x", func(t *testing.T, path string) {
			mustOpen(t, path).Close()
			os.Truncate(path, 5000)
		}, problem.Unreadable, "the book is damaged"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, c.path)
			if c.make != nil {
				c.make(t, path)
			}
			before := bytesUnder(t, dir)
			s, err := Open(t.Context(), path)
			if err == nil {
				s.Close()
				t.Fatal("it opened")
			}
			var p *problem.Problem
			if !errors.As(err, &p) || p.Kind != c.kind || !strings.Contains(p.What, c.says) || p.Where != path || len(p.Hints) == 0 {
				t.Errorf("refused with %#v (%v), want kind %d, %q, the path and a hint", p, err, c.kind, c.says)
			}
			if after := bytesUnder(t, dir); !bytes.Equal(before, after) {
				t.Error("the refusal altered what was there")
			}
		})
	}
}

// bytesUnder is the content of a folder with the names of its files, but for
// what SQLite puts beside a file to read it: an index, and an empty log.
func bytesUnder(t *testing.T, dir string) []byte {
	t.Helper()
	var out []byte
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() || strings.HasSuffix(path, "-shm") {
			return nil
		}
		data, err := os.ReadFile(path)
		if len(data) > 0 {
			out = append(append(out, path...), data...)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestOpenAnyPath(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, path := range []string{
		"plain", "./dots/../here.fallwright", "Skerry Head 100% #1?mode=memory&x=y;z.fallwright", "Bø, µ & 繩.fallwright", "file:x", "-x",
	} {
		os.MkdirAll("dots", 0o700)
		if err := mustOpen(t, path).Close(); err != nil {
			t.Errorf("%s: %v", path, err)
		}
		info, err := os.Stat(path)
		if err != nil || info.Size() == 0 {
			t.Errorf("the book is not at %q: %v", path, err)
		}
		if left, _ := filepath.Glob("*-wal"); len(left) > 0 {
			t.Errorf("%s: left behind after closing: %q", path, left)
		}
	}
}

// An empty file is what a file picker may have made: it becomes a book. So does
// what is left of one whose making was cut short.
func TestOpenMakesABook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	mustOpen(t, path).Close()
	half := filepath.Join(t.TempDir(), "half")
	if err := mark(t.Context(), half); err != nil {
		t.Fatal(err)
	}
	mustOpen(t, half).Close()
	vacant := filepath.Join(t.TempDir(), "vacant")
	db := raw(t, vacant)
	mustExec(t, db, `CREATE TABLE x (y TEXT)`)
	mustExec(t, db, `DROP TABLE x`)
	db.Close()
	mustOpen(t, vacant).Close()
	for _, p := range []string{path, half, vacant} {
		// offset 68: [SQLite2026]
		if data, err := os.ReadFile(p); err != nil || string(data[68:72]) != "fwbk" {
			t.Errorf("%s is not marked as a book: %v", filepath.Base(p), err)
		}
		s := mustOpen(t, p)
		if e, err := s.Examine(t.Context()); err != nil || e.Schema != 3 {
			t.Errorf("%s: %+v, %v", filepath.Base(p), e, err)
		}
		s.Close()
	}
}

func TestOpenByManyAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.fallwright")
	var all sync.WaitGroup
	for range 6 {
		all.Go(func() {
			s, err := Open(t.Context(), path)
			if err != nil {
				t.Error(err)
				return
			}
			if _, err := s.Examine(t.Context()); err != nil {
				t.Error(err)
			}
			s.Close()
		})
	}
	all.Wait()
}

// Before a book keeps a log, another process that begins to write is in the way
// of the switch, and SQLite says so at once, whatever the busy timeout. Opening
// waits all the same.
func TestOpenWaitsForTheMaker(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.fallwright")
	must(t, mark(t.Context(), path))
	maker, err := raw(t, path).Conn(t.Context())
	must(t, err)
	defer maker.Close()
	_, err = maker.ExecContext(t.Context(), `BEGIN IMMEDIATE`)
	must(t, err)
	if _, err := open(t.Context(), path); code(err) != sqlite3.SQLITE_BUSY {
		t.Fatalf("one try gave %v: the maker was not in the way, and the test proves nothing", err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if _, err := Open(ctx, path); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("a context that ends while it waits: %v", err)
	}
	time.AfterFunc(100*time.Millisecond, func() { maker.ExecContext(t.Context(), `ROLLBACK`) })
	mustOpen(t, path).Close()
}

// A process may end while SQLite still keeps a rollback journal, between the
// mark and the switch to WAL. The journal left behind has to be played back.
func TestOpenAfterAMakingCutShort(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "cut.fallwright")
	must(t, mark(t.Context(), path))
	db := raw(t, path)
	db.SetMaxOpenConns(1)
	for _, s := range []string{ // more than the cache holds, so that it reaches the file
		`PRAGMA cache_size = 2`, `BEGIN`, `CREATE TABLE half (x BLOB)`,
		`INSERT INTO half WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 50) SELECT randomblob(3000) FROM n`,
	} {
		mustExec(t, db, s)
	}
	copied := filepath.Join(dir, "left.fallwright")
	for from, to := range map[string]string{path: copied, path + "-journal": copied + "-journal"} {
		data, err := os.ReadFile(from)
		must(t, err)
		must(t, os.WriteFile(to, data, 0o600))
	}
	mustExec(t, db, `ROLLBACK`)
	if info, err := os.Stat(copied); err != nil || info.Size() < 50_000 {
		t.Fatalf("the half-written book is too short to prove anything: %v", err)
	}
	s := mustOpen(t, copied)
	defer s.Close()
	if e, err := s.Examine(t.Context()); err != nil || e.Schema != 3 {
		t.Errorf("%+v, %v", e, err)
	}
	var halves int
	must(t, raw(t, copied).QueryRow(`SELECT COUNT(*) FROM sqlite_schema WHERE name = 'half'`).Scan(&halves))
	if halves != 0 {
		t.Error("the write that was cut short is still there")
	}
}
