package book

import (
	"context"
	"database/sql"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

// AddPull stores a pull with the bytes of its trace, if it has one. The one that it
// replaces stays.
func (b *Book) AddPull(ctx context.Context, name string, p campaign.Pull, data []byte) error {
	where := "pull of " + p.Specimen
	var trace packed
	var err error
	switch {
	case p.Trace != nil:
		if trace, err = pack(where, *p.Trace, data); err != nil {
			return err
		}
	case len(data) > 0:
		return problem.New(problem.Invalid, where, "there are bytes of a trace, and the pull names no trace").
			Hint("give the trace's name, size and SHA-256 with the pull").In("nothing was stored")
	}
	return b.writeTo(ctx, name, 1, func(tx *sql.Tx, s *campaign.Study, entry int64) error {
		if err := s.CheckPull(p); err != nil {
			return err
		}
		var traceName, traceSHA sql.Null[string]
		if p.Trace != nil {
			if err := addFile(ctx, tx, trace); err != nil {
				return err
			}
			traceName, traceSHA = sql.Null[string]{V: p.Trace.Name, Valid: true}, sql.Null[string]{V: p.Trace.SHA256, Valid: true}
		}
		_, err := tx.ExecContext(ctx, `
			INSERT INTO pull (id, study_id, entry, at_ms, by_whom, specimen, device, wet, state, speed_mps, held_n,
			                  mean_n, stick_slip_n, trace_name, trace_sha256, note, replaces)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`,
			p.ID, s.ID, entry, millis(p.At), p.By, p.Specimen, p.Device, p.Wet, p.State, p.Speed, p.Held,
			p.Mean, optional(p.StickSlip), traceName, traceSHA, p.Note, nullable(p.Replaces))
		return err
	})
}

// pulls returns a study's pulls in the order they were made.
func pulls(ctx context.Context, tx *sql.Tx, studyID string) ([]campaign.Pull, error) {
	return all(ctx, tx, scanPull, `
		SELECT p.id, p.at_ms, p.by_whom, p.specimen, p.device, p.wet, p.state, p.speed_mps, p.held_n, p.mean_n,
		       p.stick_slip_n, p.trace_name, p.trace_sha256, f.size, p.note, COALESCE(p.replaces, '')
		FROM pull p
		LEFT JOIN file f ON f.sha256 = p.trace_sha256
		WHERE p.study_id = $1 ORDER BY p.at_ms, p.entry`, studyID)
}

func scanPull(rows *sql.Rows) (campaign.Pull, error) {
	var p campaign.Pull
	var at int64
	var stick sql.Null[float64]
	var name, sha sql.Null[string]
	var size sql.Null[int64]
	err := rows.Scan(&p.ID, &at, &p.By, &p.Specimen, &p.Device, &p.Wet, &p.State, &p.Speed, &p.Held, &p.Mean,
		&stick, &name, &sha, &size, &p.Note, &p.Replaces)
	if err != nil {
		return p, err
	}
	p.At, p.StickSlip = moment(at), known(stick)
	if sha.Valid {
		p.Trace = &campaign.SourceFile{Name: name.V, SHA256: sha.V, Size: size.V}
	}
	return p, nil
}
