package sqlite

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/store/storetest"
)

// small makes a book with a frozen study, two falls, three readings and two
// weighings, and closes it.
func small(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "book.fallwright")
	s := mustOpen(t, path)
	defer s.Close()
	one, data := storetest.NewStudy()
	must(t, s.AddStudy(t.Context(), one, data))
	must(t, s.FreezePlan(t.Context(), storetest.StudyName, storetest.Freeze()))
	for n := 1; n <= 2; n++ {
		d, data := storetest.Fall("M-01", n, 10*n)
		r := storetest.Reading(n)
		must(t, s.AddDrop(t.Context(), storetest.StudyName, d, data, &r))
	}
	must(t, s.AddReading(t.Context(), storetest.StudyName, "drop-M-01-1-10", storetest.Reading(3)))
	must(t, s.AddWeighing(t.Context(), storetest.StudyName, storetest.Weighing(1, "M-01", "")))
	must(t, s.AddWeighing(t.Context(), storetest.StudyName, storetest.Weighing(2, "M-01", "weighing-1")))
	return path
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// What somebody does to the file behind the book's back is found.
func TestExamineFindsDamage(t *testing.T) {
	run := func(statements ...string) func(t *testing.T, path string) {
		return func(t *testing.T, path string) {
			db := raw(t, path)
			for _, s := range statements {
				mustExec(t, db, s)
			}
			db.Close()
		}
	}
	for _, c := range []struct {
		name   string
		damage func(t *testing.T, path string)
		says   string
	}{
		{"nothing", run(), ""},
		{"a weighing taken out", run(`DELETE FROM weighing WHERE id = 'weighing-2'`), "9 entries were made, and there are 8 with 8"},
		{"an old reading taken out", run(`DELETE FROM reading WHERE id = 'reading-1'`), "9 entries were made, and there are 8 with 8"},
		{"the freeze taken out", run(`DELETE FROM frozen`), "9 entries were made, and there are 8 with 8"},
		{"a weighing put in", run(`INSERT INTO weighing (id, study_id, entry, at_ms, by_whom, specimen, state, mass_kg, replaces) SELECT 'weighing-3', study_id, 1, at_ms, by_whom, specimen, state, mass_kg, NULL FROM weighing WHERE id = 'weighing-1'`), "9 entries were made, and there are 10 with 9"},
		{"a drop taken out", run(`DELETE FROM "drop" WHERE id = 'drop-M-01-2-20'`), "refers to a row of drop that is not there"},
		{"a trace taken out", run(`DELETE FROM file WHERE size > 1000`), "refers to a row of file that is not there"},
		{"a study's name taken away", run(`DELETE FROM study`), "refers to a row of study that is not there"},
		{"one bit of a trace", run(`UPDATE file SET bytes = CAST(substr(bytes, 1, 40) || x'00' || substr(bytes, 42) AS BLOB)`), "the stored bytes"},
		{"the size of a trace", run(`UPDATE file SET size = size - 1`), "the stored bytes"},
		{"an absurd size", run(`UPDATE file SET size = 1000000000000`), "its stored size"},
		{"a reading that is no JSON", run(`UPDATE reading SET reading_json = '{' WHERE id = 'reading-1'`), "cannot be read"},
		{"a plan of a newer kind", run(`UPDATE plan SET plan_json = '{"Name":"x","Moon":1}'`), `unknown field "Moon"`},
		{"a mass that the schema forbids", run(`PRAGMA ignore_check_constraints = ON; UPDATE weighing SET mass_kg = -1`), "CHECK constraint failed in weighing"},
		{"a page of the file", func(t *testing.T, path string) {
			data, err := os.ReadFile(path)
			must(t, err)
			page := len(data) / 2 / 4096 * 4096
			copy(data[page:page+4096], strings.Repeat("drop", 1024))
			must(t, os.WriteFile(path, data, 0o600))
		}, "the book is damaged"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := small(t)
			c.damage(t, path)
			s, err := Open(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			_, err = s.Examine(t.Context())
			if c.says == "" {
				must(t, err)
				return
			}
			said := ""
			for _, p := range problem.All(err) {
				said += p.Error() + "\n"
				if p.Kind != problem.Unreadable || len(p.Hints) == 0 || p.Where == "" {
					t.Errorf("%#v: want kind Unreadable, a place and a hint", p)
				}
			}
			if !strings.Contains(said, c.says) {
				t.Errorf("Examine says %q (%v), want %q", said, err, c.says)
			}
		})
	}
}

// Nothing that was recorded goes: what was replaced is still in the file.
func TestWhatWasReplacedIsKept(t *testing.T) {
	path := small(t)
	s := mustOpen(t, path)
	must(t, s.VoidDrop(t.Context(), storetest.StudyName, "drop-M-01-2-20", storetest.Void(false)))
	must(t, s.Close())
	db := raw(t, path)
	for query, want := range map[string]int{
		`SELECT COUNT(*) FROM reading WHERE drop_id = 'drop-M-01-1-10'`:                2,
		`SELECT COUNT(*) FROM weighing`:                                                2,
		`SELECT COUNT(*) FROM "drop" WHERE specimen = 'M-01' AND fall = 2`:             1,
		`SELECT COUNT(*) FROM void WHERE reason <> '' AND by_whom <> '' AND at_ms > 0`: 1,
	} {
		var got int
		must(t, db.QueryRow(query).Scan(&got))
		if got != want {
			t.Errorf("%s gives %d, want %d", query, got, want)
		}
	}
}

// The schema holds rules of its own against what other programs write.
func TestSchemaRefuses(t *testing.T) {
	path := small(t)
	db, err := connect(path)
	must(t, err)
	defer db.Close()
	tried := 0
	for _, query := range []string{
		`UPDATE "drop" SET fall = 0`,
		`UPDATE "drop" SET kind = 'trial'`,
		`UPDATE "drop" SET kind = 'jump'`,
		`UPDATE "drop" SET specimen = ''`,
		`UPDATE "drop" SET trace_name = NULL`,
		`UPDATE "drop" SET entry = 3`,
		`UPDATE "drop" SET trace_sha256 = 'none'`,
		`DELETE FROM "drop"`,
		`DELETE FROM file`,
		`DELETE FROM study`,
		`UPDATE weighing SET mass_kg = -1`,
		`UPDATE weighing SET mass_kg = NULL`,
		`UPDATE weighing SET replaces = id`,
		`INSERT INTO weighing (id, study_id, entry, at_ms, by_whom, specimen, state, mass_kg, replaces) SELECT 'x', study_id, 99, at_ms, by_whom, specimen, state, mass_kg, replaces FROM weighing WHERE replaces <> ''`,
		`INSERT INTO frozen SELECT * FROM frozen`,
		`INSERT INTO void VALUES ('drop-0', 'study-1', 99, 0, '', 'x', FALSE)`,
		`INSERT INTO void VALUES ('drop-M-01-1-10', 'study-1', 99, 0, '', '', FALSE)`,
		`INSERT INTO void VALUES ('drop-M-01-1-10', 'study-1', 99, 0, '', 'x', 2)`,
		`INSERT INTO void VALUES ('drop-M-01-1-10', 'study-2', 99, 0, '', 'x', FALSE)`,
		`UPDATE file SET codec = 'none'`,
		`UPDATE file SET sha256 = 'short'`,
		`INSERT INTO study SELECT 'study-2', name, at_ms, by_whom, entries FROM study`,
		`INSERT INTO deviation VALUES ('x', 'study-1', 99, 0, '', '')`,
	} {
		if _, err := db.ExecContext(t.Context(), query); err == nil {
			t.Errorf("the schema allows: %s", query)
		} else if !strings.Contains(err.Error(), "constraint") {
			t.Errorf("%s: refused for another reason: %v", query, err)
		}
		tried++
	}
	if tried < 20 {
		t.Errorf("%d statements tried", tried)
	}
}

// A writer that waits in vain, and an ID used twice, are told to people.
func TestRefusals(t *testing.T) {
	path := small(t)
	db := raw(t, path)
	conn, err := db.Conn(t.Context())
	must(t, err)
	defer conn.Close()
	_, err = conn.ExecContext(t.Context(), `BEGIN IMMEDIATE`)
	must(t, err)
	_, busy := db.ExecContext(t.Context(), `BEGIN IMMEDIATE`) // another connection, without a busy timeout
	if p := refusal(path, busy); p == nil || p.Kind != problem.Conflict || !strings.Contains(p.What, "locked for 5s") {
		t.Errorf("a busy book is told as %v (%v)", p, busy)
	}
	_, err = conn.ExecContext(t.Context(), `ROLLBACK`)
	must(t, err)
	_, fault := db.ExecContext(t.Context(), `SELECT nonsense`)
	if p := refusal(path, fault); fault == nil || p != nil {
		t.Errorf("a fault of the program is told as %v (%v)", p, fault)
	}
}
