package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// AddDrop stores a drop, its trace's bytes, and the reading taken from them.
func (b *Book) AddDrop(ctx context.Context, name string, d campaign.Drop, data []byte, r *study.StoredReading) error {
	where := "drop " + d.ID
	var trace packed
	var err error
	entries := int64(1)
	switch {
	case d.Trace != nil:
		if trace, err = pack(where, *d.Trace, data); err != nil {
			return err
		}
	case len(data) > 0 || r != nil:
		return problem.New(problem.Invalid, where, "there are bytes or a reading of a trace, and the drop names no trace").
			Hint("give the trace's name, size and SHA-256 with the drop").In("nothing was stored")
	}
	if d.Void != nil {
		entries++
	}
	if r != nil {
		entries++
	}
	return b.writeTo(ctx, name, entries, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckDrop(d); err != nil {
			return err
		}
		if d.Trace != nil {
			if err := addFile(ctx, tx, trace); err != nil {
				return err
			}
		}
		if err := addDrop(ctx, tx, s.ID, entry, d); err != nil {
			return err
		}
		if d.Void != nil {
			entry++
			if err := addVoid(ctx, tx, s.ID, entry, d.ID, *d.Void); err != nil {
				return err
			}
		}
		if r != nil {
			entry++
			return addReading(ctx, tx, s.ID, entry, d.ID, *r)
		}
		return nil
	})
}

func addDrop(ctx context.Context, tx *sql.Tx, studyID string, entry int64, d campaign.Drop) error {
	var traceName, traceSHA sql.Null[string]
	if d.Trace != nil {
		traceName = sql.Null[string]{V: d.Trace.Name, Valid: true}
		traceSHA = sql.Null[string]{V: d.Trace.SHA256, Valid: true}
	}
	_, err := tx.ExecContext(ctx, `
		INSERT INTO "drop" (id, study_id, entry, at_ms, by_whom, kind, specimen, fall, setting,
		                    trace_name, trace_sha256, part, gate_time_s, note)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
		d.ID, studyID, entry, millis(d.At), d.By, string(d.Kind), d.Specimen, d.Fall, d.Setting,
		traceName, traceSHA, d.Part, d.GateTime, d.Note)
	return err
}

// VoidDrop marks a drop void. The drop itself stays as it was.
func (b *Book) VoidDrop(ctx context.Context, name, dropID string, v campaign.Void) error {
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckVoid(dropID, v); err != nil {
			return err
		}
		return addVoid(ctx, tx, s.ID, entry, dropID, v)
	})
}

func addVoid(ctx context.Context, tx *sql.Tx, studyID string, entry int64, dropID string, v campaign.Void) error {
	_, err := tx.ExecContext(ctx, `
		INSERT INTO void (drop_id, study_id, entry, at_ms, by_whom, reason, loaded)
		VALUES ($1, $2, $3, $4, $5, $6, $7)`,
		dropID, studyID, entry, millis(v.At), v.By, v.Reason, v.Loaded)
	return err
}

// drops returns a study's drops in the order they were released; of two in the
// same millisecond the one stored first comes first.
func drops(ctx context.Context, tx *sql.Tx, studyID string) ([]campaign.Drop, error) {
	return all(ctx, tx, scanDrop, `
		SELECT d.id, d.at_ms, d.by_whom, d.kind, d.specimen, d.fall, d.setting, d.note,
		       d.trace_name, d.trace_sha256, d.part, d.gate_time_s, f.size,
		       v.at_ms, v.by_whom, v.reason, v.loaded
		FROM "drop" d
		LEFT JOIN file f ON f.sha256 = d.trace_sha256
		LEFT JOIN void v ON v.drop_id = d.id
		WHERE d.study_id = $1
		ORDER BY d.at_ms, d.entry`, studyID)
}

func scanDrop(rows *sql.Rows) (campaign.Drop, error) {
	var d campaign.Drop
	var at int64
	var traceName, traceSHA, voidBy, reason sql.Null[string]
	var size, voidAt sql.Null[int64]
	var loaded sql.Null[bool]
	err := rows.Scan(&d.ID, &at, &d.By, &d.Kind, &d.Specimen, &d.Fall, &d.Setting, &d.Note,
		&traceName, &traceSHA, &d.Part, &d.GateTime, &size, &voidAt, &voidBy, &reason, &loaded)
	if err != nil {
		return d, err
	}
	d.At = moment(at)
	if traceSHA.Valid {
		d.Trace = &campaign.SourceFile{Name: traceName.V, SHA256: traceSHA.V, Size: size.V}
	}
	if voidAt.Valid {
		d.Void = &campaign.Void{
			Stamp:  campaign.Stamp{At: moment(voidAt.V), By: voidBy.V},
			Reason: reason.V,
			Loaded: loaded.V,
		}
	}
	return d, nil
}
