package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
)

// AddDeviation stores a deviation.
func (b *Book) AddDeviation(ctx context.Context, name string, d campaign.Deviation) error {
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckDeviation(d); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `
			INSERT INTO deviation (id, study_id, entry, at_ms, by_whom, what) VALUES ($1, $2, $3, $4, $5, $6)`,
			d.ID, s.ID, entry, millis(d.At), d.By, d.Text)
		return err
	})
}

// deviations returns a study's deviations in the order they were made.
func deviations(ctx context.Context, tx *sql.Tx, studyID string) ([]campaign.Deviation, error) {
	return all(ctx, tx, scanDeviation, `
		SELECT id, at_ms, by_whom, what FROM deviation WHERE study_id = $1 ORDER BY at_ms, entry`, studyID)
}

func scanDeviation(rows *sql.Rows) (campaign.Deviation, error) {
	var d campaign.Deviation
	var at int64
	err := rows.Scan(&d.ID, &at, &d.By, &d.Text)
	d.At = moment(at)
	return d, err
}
