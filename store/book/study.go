package book

import (
	"context"
	"database/sql"
	"errors"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
)

// AddStudy stores a new study with the file it came from.
func (b *Book) AddStudy(ctx context.Context, s *campaign.Study, data []byte) error {
	where := "study " + s.Plan.Name
	if err := s.Plan.Validate(); err != nil {
		return err
	}
	if s.Frozen != nil || len(s.Drops)+len(s.Weighings)+len(s.Gaugings)+len(s.Pulls)+len(s.Deviations) > 0 {
		return problem.New(problem.Invalid, where, "a new study is not frozen and has no drops, weighings, gaugings, pulls or deviations").
			Hint("add the study first, and then what was done").In("nothing was stored")
	}
	file, err := pack(where, s.File, data)
	if err != nil {
		return err
	}
	return b.write(ctx, func(tx *sql.Tx) error {
		var taken int
		if err := tx.QueryRowContext(ctx, `SELECT COUNT(*) FROM study WHERE name = $1`, s.Plan.Name).Scan(&taken); err != nil {
			return err
		}
		if taken > 0 {
			return problem.New(problem.Conflict, where, "the book has a study of that name").
				Hint("give the new study another name, or replace the plan of the one that is there").In("nothing was stored")
		}
		const first = 1
		_, err := tx.ExecContext(ctx, `INSERT INTO study (id, name, at_ms, by_whom, entries) VALUES ($1, $2, $3, $4, $5)`,
			s.ID, s.Plan.Name, millis(s.Created.At), s.Created.By, first)
		if err != nil {
			return err
		}
		return addPlan(ctx, tx, s.ID, first, s.Plan, file, s.Created)
	})
}

func noStudy(name string) error {
	return problem.New(problem.NotFound, "study "+name, "the book has no study of that name").
		Hint("list the studies of the book")
}

// load reads a study whole, and the number of its last entry.
func load(ctx context.Context, tx *sql.Tx, name string) (*campaign.Study, int64, error) {
	var s campaign.Study
	var last, created int64
	var frozenAt sql.Null[int64]
	var frozenBy, frozenSHA sql.Null[string]
	var plan string
	err := tx.QueryRowContext(ctx, `
		SELECT s.id, s.entries, s.at_ms, s.by_whom,
		       p.plan_json, p.file_name, p.file_sha256, f.size,
		       z.at_ms, z.by_whom, z.plan_sha256
		FROM study s
		JOIN plan p ON p.study_id = s.id
		     AND p.entry = (SELECT MAX(q.entry) FROM plan q WHERE q.study_id = s.id)
		JOIN file f ON f.sha256 = p.file_sha256
		LEFT JOIN frozen z ON z.study_id = s.id
		WHERE s.name = $1`, name).
		Scan(&s.ID, &last, &created, &s.Created.By,
			&plan, &s.File.Name, &s.File.SHA256, &s.File.Size,
			&frozenAt, &frozenBy, &frozenSHA)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, 0, noStudy(name)
	}
	if err != nil {
		return nil, 0, err
	}
	s.Created.At = moment(created)
	if frozenAt.Valid {
		s.Frozen = &campaign.Freeze{
			Stamp:      campaign.Stamp{At: moment(frozenAt.V), By: frozenBy.V},
			PlanSHA256: frozenSHA.V,
		}
	}
	if err := decode("study "+name, plan, &s.Plan); err != nil {
		return nil, 0, err
	}
	return &s, last, loadDone(ctx, tx, &s)
}

// loadDone reads what was done in a study.
func loadDone(ctx context.Context, tx *sql.Tx, s *campaign.Study) (err error) {
	if s.Drops, err = drops(ctx, tx, s.ID); err != nil {
		return err
	}
	if s.Weighings, err = weighings(ctx, tx, s.ID); err != nil {
		return err
	}
	if s.Gaugings, err = gaugings(ctx, tx, s.ID); err != nil {
		return err
	}
	if s.Pulls, err = pulls(ctx, tx, s.ID); err != nil {
		return err
	}
	s.Deviations, err = deviations(ctx, tx, s.ID)
	return err
}

// Study loads a study whole, without trace bytes.
func (b *Book) Study(ctx context.Context, name string) (s *campaign.Study, err error) {
	err = b.read(ctx, func(tx *sql.Tx) error {
		s, _, err = load(ctx, tx, name)
		return err
	})
	if err != nil {
		return nil, err
	}
	return s, nil
}

// Studies lists the book's studies, the newest first.
func (b *Book) Studies(ctx context.Context) ([]study.Summary, error) {
	list, err := all(ctx, b.db, scanSummary, `
		SELECT s.name, s.at_ms, s.by_whom, p.plan_json,
		       (SELECT COUNT(*) FROM frozen z WHERE z.study_id = s.id),
		       (SELECT COUNT(*) FROM "drop" d WHERE d.study_id = s.id AND d.kind = 'fall'
		        AND NOT EXISTS (SELECT 1 FROM void v WHERE v.drop_id = d.id))
		FROM study s
		JOIN plan p ON p.study_id = s.id
		     AND p.entry = (SELECT MAX(q.entry) FROM plan q WHERE q.study_id = s.id)
		ORDER BY s.at_ms DESC, s.name`)
	return list, b.refuse(err)
}

func scanSummary(rows *sql.Rows) (study.Summary, error) {
	var s study.Summary
	var created int64
	var frozen int
	var text string
	if err := rows.Scan(&s.Name, &created, &s.Created.By, &text, &frozen, &s.Counting); err != nil {
		return s, err
	}
	var plan campaign.Plan
	if err := decode("study "+s.Name, text, &plan); err != nil {
		return s, err
	}
	s.Title, s.Invented = plan.Title, plan.Invented
	s.Created.At = moment(created)
	s.Frozen = frozen > 0
	s.Planned = plan.FallsWanted()
	return s, nil
}
