package book

import (
	"context"
	"database/sql"
	"reflect"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// AddReading stores a new reading of a drop; the older ones are kept.
func (b *Book) AddReading(ctx context.Context, name, dropID string, r study.StoredReading) error {
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		i := slices.IndexFunc(s.Drops, func(d campaign.Drop) bool { return d.ID == dropID })
		switch {
		case i < 0:
			return problem.New(problem.NotFound, "drop "+dropID, "study %s has no such drop", name).In("nothing was stored")
		case s.Drops[i].Trace == nil:
			return problem.New(problem.Conflict, "drop "+dropID, "it has no trace that a reading could be taken from").
				In("nothing was stored")
		}
		return addReading(ctx, tx, s.ID, entry, dropID, r)
	})
}

func addReading(ctx context.Context, tx *sql.Tx, studyID string, entry int64, dropID string, r study.StoredReading) error {
	where := "reading of drop " + dropID
	settings, err := encode(where, r.Settings)
	if err != nil {
		return err
	}
	values, err := encode(where, r.Reading)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `
		INSERT INTO reading (id, study_id, entry, drop_id, at_ms, by_whom, program, settings_json, reading_json)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		r.ID, studyID, entry, dropID, millis(r.At), r.By, r.Program, settings, values)
	return err
}

// Readings returns the newest reading of each drop of a study, by drop ID.
func (b *Book) Readings(ctx context.Context, name string) (map[string]study.StoredReading, error) {
	newest := map[string]study.StoredReading{}
	err := b.read(ctx, func(tx *sql.Tx) error {
		var known int
		if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM study WHERE name = $1`, name).Scan(&known); err != nil {
			return err
		}
		if known == 0 {
			return noStudy(name)
		}
		list, err := all(ctx, tx, scanReading, selectReadings+`
			JOIN study s ON s.id = r.study_id
			WHERE s.name = $1
			  AND r.entry = (SELECT MAX(q.entry) FROM reading q WHERE q.drop_id = r.drop_id)`, name)
		for _, r := range list {
			newest[r.drop] = r.StoredReading
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return newest, nil
}

const selectReadings = `
	SELECT r.drop_id, r.id, r.at_ms, r.by_whom, r.program, r.settings_json, r.reading_json
	FROM reading r `

// dropReading is a reading with its drop.
type dropReading struct {
	drop string
	study.StoredReading
}

func scanReading(rows *sql.Rows) (dropReading, error) {
	var r dropReading
	var at int64
	var settings, values string
	if err := rows.Scan(&r.drop, &r.ID, &at, &r.By, &r.Program, &settings, &values); err != nil {
		return r, err
	}
	r.At = moment(at)
	where := "reading of drop " + r.drop
	if err := decode(where, settings, &r.Settings); err != nil {
		return r, err
	}
	r.Reading = unread()
	return r, decode(where, values, &r.Reading)
}

// unread is a reading with every value missing, so that a value which the
// program that took the reading did not know yet is missing and not zero.
func unread() trace.Reading {
	var r trace.Reading
	fields := reflect.ValueOf(&r).Elem()
	for i := range fields.NumField() {
		if v, ok := fields.Field(i).Addr().Interface().(*trace.Value); ok {
			*v = trace.None()
		}
	}
	return r
}
