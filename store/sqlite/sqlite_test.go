package sqlite

import (
	"database/sql"
	"path/filepath"
	"testing"

	"fallwright.example/store/storetest"
	"fallwright.example/study"
)

// The number of cases is that of the exam as it stands, so that a case that
// silently no longer runs is seen.
const cases = 56

func TestExam(t *testing.T) {
	asked := storetest.Exercise(t, func(t *testing.T) storetest.Subject {
		path := filepath.Join(t.TempDir(), "book.fallwright")
		return storetest.Subject{
			Store: mustOpen(t, path),
			Again: func(t *testing.T) study.Store { return mustOpen(t, path) },
			Tamper: func(t *testing.T, sum, other string) {
				db := raw(t, path)
				mustExec(t, db, `UPDATE file SET (size, bytes) = (SELECT size, bytes FROM file WHERE sha256 = $2) WHERE sha256 = $1`, sum, other)
			},
		}
	})
	if asked != cases {
		t.Errorf("%d cases ran, want %d", asked, cases)
	}
}

func mustOpen(t *testing.T, path string) study.Store {
	t.Helper()
	s, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// raw opens the file as another program would.
func raw(t *testing.T, path string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", dsn(path, nil))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func mustExec(t *testing.T, db *sql.DB, query string, args ...any) {
	t.Helper()
	if _, err := db.ExecContext(t.Context(), query, args...); err != nil {
		t.Fatal(err)
	}
}
