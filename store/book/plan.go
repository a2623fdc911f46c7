package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
)

// addPlan adds the plan that is in force from now on.
func addPlan(ctx context.Context, tx *sql.Tx, studyID string, entry int64, p campaign.Plan, file packed, by campaign.Stamp) error {
	text, err := encode("study "+p.Name, p)
	if err != nil {
		return err
	}
	if err := addFile(ctx, tx, file); err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `
		INSERT INTO plan (study_id, entry, at_ms, by_whom, plan_json, file_name, file_sha256)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`,
		studyID, entry, millis(by.At), by.By, text, file.Name, file.SHA256)
	return err
}

// ReplacePlan puts a new plan in the place of an unfrozen one. The old plan and
// its file stay in the book.
func (b *Book) ReplacePlan(ctx context.Context, name string, p campaign.Plan, f campaign.SourceFile, data []byte, by campaign.Stamp) error {
	file, err := pack("study "+name, f, data)
	if err != nil {
		return err
	}
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckPlan(p); err != nil {
			return err
		}
		return addPlan(ctx, tx, s.ID, entry, p, file, by)
	})
}

// FreezePlan freezes the plan.
func (b *Book) FreezePlan(ctx context.Context, name string, f campaign.Freeze) error {
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckFreeze(f); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `
			INSERT INTO frozen (study_id, entry, at_ms, by_whom, plan_sha256) VALUES ($1, $2, $3, $4, $5)`,
			s.ID, entry, millis(f.At), f.By, f.PlanSHA256)
		return err
	})
}
