package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
)

// AddWeighing stores a weighing. The one that it replaces stays.
func (b *Book) AddWeighing(ctx context.Context, name string, w campaign.Weighing) error {
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckWeighing(w); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `
			INSERT INTO weighing (id, study_id, entry, at_ms, by_whom, specimen, of_what, soak_s, hung_s, state, mass_kg, replaces)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`,
			w.ID, s.ID, entry, millis(w.At), w.By, w.Specimen, string(w.Of), w.Soak, w.Hung, w.State, w.Mass,
			nullable(w.Replaces))
		return err
	})
}

// weighings returns a study's weighings in the order they were made.
func weighings(ctx context.Context, tx *sql.Tx, studyID string) ([]campaign.Weighing, error) {
	return all(ctx, tx, scanWeighing, `
		SELECT id, at_ms, by_whom, specimen, of_what, soak_s, hung_s, state, mass_kg, COALESCE(replaces, '')
		FROM weighing WHERE study_id = $1 ORDER BY at_ms, entry`, studyID)
}

func scanWeighing(rows *sql.Rows) (campaign.Weighing, error) {
	var w campaign.Weighing
	var at int64
	err := rows.Scan(&w.ID, &at, &w.By, &w.Specimen, &w.Of, &w.Soak, &w.Hung, &w.State, &w.Mass, &w.Replaces)
	w.At = moment(at)
	return w, err
}
