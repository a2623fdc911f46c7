package sqlite

import (
	"context"
	"database/sql"

	"fallwright.example/problem"
)

// Each row that a check returns is a fault, except "ok".
const (
	structure   = `PRAGMA integrity_check`
	foreignKeys = `
		SELECT 'row ' || COALESCE(rowid, 0) || ' of table ' || "table" || ' refers to a row of ' || parent || ' that is not there'
		FROM pragma_foreign_key_check`
)

// integrity is SQLite's check of the file's structure and of foreign keys.
func integrity(ctx context.Context, tx *sql.Tx, path string) error {
	var faults problem.List
	for _, check := range []string{structure, foreignKeys} {
		lines, err := texts(ctx, tx, check)
		if err != nil {
			return err
		}
		for _, line := range lines {
			if line != "ok" {
				faults = append(faults, damaged(path, line))
			}
		}
	}
	return faults.Err()
}

func texts(ctx context.Context, tx *sql.Tx, query string) ([]string, error) {
	rows, err := tx.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []string
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			return nil, err
		}
		out = append(out, line)
	}
	return out, rows.Err()
}
