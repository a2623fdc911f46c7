package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
)

// AddGauging stores a gauging. The one that it replaces stays.
func (b *Book) AddGauging(ctx context.Context, name string, g campaign.Gauging) error {
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckGauging(g); err != nil {
			return err
		}
		levels, err := encode("gauging of "+g.Specimen, g.Levels)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `
			INSERT INTO gauging (id, study_id, entry, at_ms, by_whom, specimen, wet, state, load_kg, contact_m,
			                     levels_json, length_m, sheath_m, note, replaces)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
			g.ID, s.ID, entry, millis(g.At), g.By, g.Specimen, g.Wet, g.State, g.Load, g.Contact,
			levels, g.Length, optional(g.Sheath), g.Note, nullable(g.Replaces))
		return err
	})
}

// optional is a number for the database, NULL for nil.
func optional(v *float64) sql.Null[float64] {
	if v == nil {
		return sql.Null[float64]{}
	}
	return sql.Null[float64]{V: *v, Valid: true}
}

// known is a number from the database, nil for NULL.
func known(v sql.Null[float64]) *float64 {
	if !v.Valid {
		return nil
	}
	return &v.V
}

// gaugings returns a study's gaugings in the order they were made.
func gaugings(ctx context.Context, tx *sql.Tx, studyID string) ([]campaign.Gauging, error) {
	return all(ctx, tx, scanGauging, `
		SELECT id, at_ms, by_whom, specimen, wet, state, load_kg, contact_m, levels_json, length_m, sheath_m, note,
		       COALESCE(replaces, '')
		FROM gauging WHERE study_id = $1 ORDER BY at_ms, entry`, studyID)
}

func scanGauging(rows *sql.Rows) (campaign.Gauging, error) {
	var g campaign.Gauging
	var at int64
	var levels string
	var sheath sql.Null[float64]
	err := rows.Scan(&g.ID, &at, &g.By, &g.Specimen, &g.Wet, &g.State, &g.Load, &g.Contact, &levels, &g.Length, &sheath, &g.Note, &g.Replaces)
	if err != nil {
		return g, err
	}
	g.At, g.Sheath = moment(at), known(sheath)
	return g, decode("gauging "+g.ID, levels, &g.Levels)
}
