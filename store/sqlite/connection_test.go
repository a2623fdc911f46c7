package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"testing"
	"time"

	"fallwright.example/store/storetest"
)

// Every connection has to have the pragmas, so two are held at once: a PRAGMA
// run on the pool would reach one of them only.
func TestPragmasOnEveryConnection(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.fallwright")
	defer mustOpen(t, path).Close()
	db, err := connect(path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	looked := 0
	for i := range 2 {
		conn, err := db.Conn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close() // at the end of the test: both are held
		for pragma, want := range map[string]string{
			"foreign_keys": "1", "journal_mode": "wal", "synchronous": "2", "busy_timeout": "5000",
			"trusted_schema": "0", "cell_size_check": "1", "application_id": strconv.Itoa(applicationID),
		} {
			var got string
			if err := conn.QueryRowContext(t.Context(), "PRAGMA "+pragma).Scan(&got); err != nil {
				t.Fatal(err)
			}
			if got != want {
				t.Errorf("connection %d: %s is %s, want %s", i+1, pragma, got, want)
			}
			looked++
		}
		if _, err := conn.ExecContext(t.Context(), `PRAGMA writable_schema = ON`); err != nil {
			t.Fatal(err)
		}
		var writable int
		if err := conn.QueryRowContext(t.Context(), `PRAGMA writable_schema`).Scan(&writable); err != nil || writable != 0 {
			t.Errorf("connection %d lets the schema be written to: %d, %v", i+1, writable, err)
		}
		if _, err := conn.ExecContext(t.Context(), `SELECT "no such column"`); err == nil {
			t.Errorf("connection %d takes a misspelt column for a text", i+1)
		}
	}
	if open := db.Stats().OpenConnections; looked != 14 || open != 2 {
		t.Errorf("%d pragmas looked at on %d connections, want 14 on 2", looked, open)
	}
}

// A transaction that writes has the book to itself from its beginning, one that
// reads waits for nobody.
func TestWritesBeginImmediate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.fallwright")
	defer mustOpen(t, path).Close()
	db, err := connect(path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	d := dialect(path)
	writer, err := db.BeginTx(t.Context(), d.Write)
	if err != nil {
		t.Fatal(err)
	}
	defer writer.Rollback()
	hasty := raw(t, path) // without a busy timeout
	if _, err := hasty.ExecContext(t.Context(), `BEGIN IMMEDIATE`); err == nil {
		t.Error("a second writer began while the first had written nothing yet")
	}
	reader, err := db.BeginTx(t.Context(), d.Read)
	if err != nil {
		t.Fatal(err)
	}
	defer reader.Rollback()
	var studies int
	if err := reader.QueryRowContext(t.Context(), `SELECT COUNT(*) FROM study`).Scan(&studies); err != nil {
		t.Errorf("a reader beside a writer: %v", err)
	}
}

// Writers that wait must not use up the connections: somebody reads findings
// while a crowd of phones sends drops.
func TestReadersDoNotWaitForWriters(t *testing.T) {
	path := small(t)
	s := mustOpen(t, path)
	defer s.Close()
	other, err := raw(t, path).Conn(t.Context())
	must(t, err)
	defer other.Close()
	_, err = other.ExecContext(t.Context(), `BEGIN IMMEDIATE`)
	must(t, err)
	var writers sync.WaitGroup
	const crowd = 12
	for n := range crowd {
		writers.Go(func() {
			if err := s.AddDeviation(t.Context(), storetest.StudyName, storetest.Deviation(n)); err != nil {
				t.Error(err)
			}
		})
	}
	time.Sleep(100 * time.Millisecond) // for the writers to begin to wait
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Second)
	defer cancel()
	if _, err := s.Study(ctx, storetest.StudyName); err != nil {
		t.Errorf("a reader beside %d waiting writers: %v", crowd, err)
	}
	_, err = other.ExecContext(t.Context(), `ROLLBACK`)
	must(t, err)
	writers.Wait()
	if one, err := s.Study(t.Context(), storetest.StudyName); err != nil || len(one.Deviations) != crowd {
		t.Errorf("%v, want %d deviations", err, crowd)
	}
}

// The statements number their parameters, and use them in any order and more
// than once. A driver that bound by order of appearance would mix up columns
// without an error.
func TestParametersBindByNumber(t *testing.T) {
	db := raw(t, filepath.Join(t.TempDir(), "any.db"))
	var got [5]string
	err := db.QueryRowContext(t.Context(), `SELECT $3, $1, $2, $1, CAST($3 AS text)`, "one", "two", "three").
		Scan(&got[0], &got[1], &got[2], &got[3], &got[4])
	if err != nil {
		t.Fatal(err)
	}
	if want := [5]string{"three", "one", "two", "one", "three"}; got != want {
		t.Errorf("$3, $1, $2, $1, $3 gave %v, want %v", got, want)
	}
}

// The driver is SQLite translated to Go against one version of its libc and is
// only sound with that one (doc.go of modernc.org/sqlite, "Fragile
// modernc.org/libc dependency").
// Source of the pair: go.mod of modernc.org/sqlite v1.62.0; of the SQLite
// version: doc.go there.
func TestDriverAndLibcBelongTogether(t *testing.T) {
	const driver, libc, engine = "v1.62.0", "v1.80.1", "3.54.1"
	text, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	for module, want := range map[string]string{"modernc.org/sqlite": driver, "modernc.org/libc": libc} {
		found := regexp.MustCompile(`(?m)^\s+` + regexp.QuoteMeta(module) + ` (\S+)`).FindSubmatch(text)
		if found == nil || string(found[1]) != want {
			t.Errorf("go.mod has %s %q, want %s: the two go together, take the libc that the driver's own go.mod names", module, found, want)
		}
	}
	var version string
	if err := raw(t, filepath.Join(t.TempDir(), "any.db")).QueryRow(`SELECT sqlite_version()`).Scan(&version); err != nil {
		t.Fatal(err)
	}
	if version != engine {
		t.Errorf("SQLite is %s, want %s", version, engine)
	}
}
