package book

import (
	"context"
	"database/sql"

	"fallwright.example/problem"
	"fallwright.example/study"
)

// Examine checks the book: the database's own check, foreign keys, that every
// study and reading can be loaded, that no entry of a study is gone, and the
// SHA-256 of every file. All faults found come back as one problem.List, with
// what was looked at.
func (b *Book) Examine(ctx context.Context) (study.Examination, error) {
	x := examiner{book: b}
	var err error
	if x.Schema, err = b.schema(ctx); err != nil {
		return x.Examination, b.refuse(err)
	}
	err = b.read(ctx, func(tx *sql.Tx) error {
		x.tx = tx
		for _, look := range []func(context.Context) error{x.database, x.studies, x.recipes, x.files} {
			if err := x.take(look(ctx)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return x.Examination, err
	}
	return x.Examination, x.faults.Err()
}

// examiner is one examination under way.
type examiner struct {
	study.Examination
	book   *Book
	tx     *sql.Tx
	faults problem.List
}

// take keeps the faults in err, so that one does not hide the others, and
// returns an err that is not about the book.
func (x *examiner) take(err error) error {
	found := problem.All(x.book.refuse(err))
	x.faults = append(x.faults, found...)
	if len(found) > 0 {
		return nil
	}
	return err
}

func (x *examiner) database(ctx context.Context) error { return x.book.dialect.Integrity(ctx, x.tx) }

// studies loads every study and its readings, and counts its entries.
func (x *examiner) studies(ctx context.Context) error {
	names, err := all(ctx, x.tx, scanText, `SELECT name FROM study ORDER BY name`)
	if err != nil {
		return err
	}
	for _, name := range names {
		x.Studies++
		if err := x.take(x.study(ctx, name)); err != nil {
			return err
		}
	}
	return nil
}

func (x *examiner) study(ctx context.Context, name string) error {
	s, last, err := load(ctx, x.tx, name)
	if err != nil {
		return err
	}
	x.Drops += len(s.Drops)
	if _, err := all(ctx, x.tx, scanReading, selectReadings+`WHERE r.study_id = $1`, s.ID); err != nil {
		return err
	}
	var rows, numbers int64
	err = x.tx.QueryRowContext(ctx, `
		SELECT COUNT(*), COUNT(DISTINCT e.entry) FROM (
			SELECT entry FROM plan WHERE study_id = $1
			UNION ALL SELECT entry FROM frozen WHERE study_id = $1
			UNION ALL SELECT entry FROM "drop" WHERE study_id = $1
			UNION ALL SELECT entry FROM void WHERE study_id = $1
			UNION ALL SELECT entry FROM reading WHERE study_id = $1
			UNION ALL SELECT entry FROM weighing WHERE study_id = $1
			UNION ALL SELECT entry FROM gauging WHERE study_id = $1
			UNION ALL SELECT entry FROM pull WHERE study_id = $1
			UNION ALL SELECT entry FROM deviation WHERE study_id = $1
		) AS e`, s.ID).Scan(&rows, &numbers)
	if err != nil || rows == last && numbers == last {
		return err
	}
	return problem.New(problem.Unreadable, "study "+name, "%d entries were made, and there are %d with %d numbers", last, rows, numbers).
		Hint("somebody altered the book with another program: go back to a copy of it")
}

// recipes reads every recipe, the replaced ones too.
func (x *examiner) recipes(ctx context.Context) error {
	_, err := all(ctx, x.tx, scanRecipe, selectRecipes+`ORDER BY r.rig, r.name, r.version`)
	return x.take(err)
}

// files checks every file, one at a time.
func (x *examiner) files(ctx context.Context) error {
	rows, err := x.tx.QueryContext(ctx, `SELECT sha256, size, bytes FROM file ORDER BY sha256`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var sum string
		var size int64
		var stored []byte
		if err := rows.Scan(&sum, &size, &stored); err != nil {
			return err
		}
		x.Files++
		x.Bytes += size
		_, err := unpack(sum, size, stored)
		if err := x.take(err); err != nil {
			return err
		}
	}
	return rows.Err()
}

func scanText(rows *sql.Rows) (text string, err error) {
	err = rows.Scan(&text)
	return text, err
}
