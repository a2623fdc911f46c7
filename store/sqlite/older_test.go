package sqlite

import (
	"path/filepath"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/store/storetest"
	"fallwright.example/trace"
)

// A book of the first schema, made here by taking back what the second added,
// is brought up to date with everything in it. What it could not hold is empty.
func TestOlderBook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "old.fallwright")
	s := mustOpen(t, path)
	one, data := storetest.NewStudy()
	must(t, s.AddStudy(t.Context(), one, data))
	must(t, s.FreezePlan(t.Context(), storetest.StudyName, storetest.Freeze()))
	d, bytes := storetest.Fall("M-01", 1, 10)
	r := storetest.Reading(1)
	must(t, s.AddDrop(t.Context(), storetest.StudyName, d, bytes, &r))
	w := storetest.Weighing(1, "M-01", "")
	must(t, s.AddWeighing(t.Context(), storetest.StudyName, w))
	must(t, s.Close())

	db := raw(t, path)
	for _, back := range []string{
		`ALTER TABLE "drop" DROP COLUMN part`, `ALTER TABLE "drop" DROP COLUMN gate_time_s`,
		`ALTER TABLE reading DROP COLUMN ask_json`, `DROP TABLE recipe`, `DROP TABLE gauging`, `DROP TABLE pull`,
		`ALTER TABLE weighing DROP COLUMN of_what`, `ALTER TABLE weighing DROP COLUMN soak_s`, `ALTER TABLE weighing DROP COLUMN hung_s`,
		`DELETE FROM goose_db_version WHERE version_id >= 2`,
	} {
		mustExec(t, db, back)
	}
	must(t, db.Close())

	s = mustOpen(t, path)
	defer s.Close()
	if e, err := s.Examine(t.Context()); err != nil || e.Schema != 3 || e.Drops != 1 {
		t.Fatalf("%+v, %v", e, err)
	}
	got, err := s.Study(t.Context(), storetest.StudyName)
	must(t, err)
	if o := got.Drops[0]; o.ID != d.ID || o.Part != "" || o.GateTime != 0 || o.Trace.SHA256 != d.Trace.SHA256 {
		t.Errorf("the drop is %+v", o)
	}
	if o := got.Weighings[0]; o.Mass != w.Mass || o.State != w.State || o.Of != campaign.AsSaid || o.Soak != 0 {
		t.Errorf("the weighing is %+v", o)
	}
	all, err := s.ReadingsOf(t.Context(), storetest.StudyName, d.ID)
	must(t, err)
	if len(all) != 1 || all[0].Ask != (trace.Ask{}) || all[0].Reading.PeakForce != r.Reading.PeakForce || all[0].Settings != r.Settings {
		t.Errorf("the readings are %+v", all)
	}
	must(t, s.PutRecipe(t.Context(), storetest.Recipe("Boathouse tower", "logger", 1)))
}

// A reading that was altered in the file while the book is open is not answered
// from memory.
func TestAlteredReadingIsSeen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "book.fallwright")
	s := mustOpen(t, path)
	defer s.Close()
	one, data := storetest.NewStudy()
	must(t, s.AddStudy(t.Context(), one, data))
	must(t, s.FreezePlan(t.Context(), storetest.StudyName, storetest.Freeze()))
	d, bytes := storetest.Fall("M-01", 1, 10)
	r := storetest.Reading(1)
	must(t, s.AddDrop(t.Context(), storetest.StudyName, d, bytes, &r))
	read := func() (tare trace.Value) {
		t.Helper()
		all, err := s.Readings(t.Context(), storetest.StudyName)
		must(t, err)
		return all[d.ID].Reading.Tare
	}
	before := read()
	if read() != before {
		t.Fatal("the same reading twice is two")
	}
	mustExec(t, raw(t, path), `UPDATE reading SET reading_json = '{"tare_N":77}'`)
	if now := read(); now != 77 || before == 77 {
		t.Errorf("the tare is %v, was %v, and the file has 77", now, before)
	}
}
