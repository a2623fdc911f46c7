package book

import (
	"context"
	"database/sql"
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
	ask, err := encode(where, keptAsk{r.Ask, r.Ask.SideCarName, r.Ask.SideCar})
	if err != nil {
		return err
	}
	values, err := encode(where, r.Reading)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `
		INSERT INTO reading (id, study_id, entry, drop_id, at_ms, by_whom, program, ask_json, settings_json, reading_json)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		r.ID, studyID, entry, dropID, millis(r.At), r.By, r.Program, ask, settings, values)
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
		list, err := all(ctx, tx, b.decoded.scan, selectReadings+`
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

// ReadingsOf returns every reading of one drop, the newest first.
func (b *Book) ReadingsOf(ctx context.Context, name, dropID string) ([]study.StoredReading, error) {
	var out []study.StoredReading
	err := b.read(ctx, func(tx *sql.Tx) error {
		var known int
		err := tx.QueryRowContext(ctx, `
			SELECT COUNT(*) FROM "drop" d JOIN study s ON s.id = d.study_id WHERE s.name = $1 AND d.id = $2`, name, dropID).Scan(&known)
		if err != nil {
			return err
		}
		if known == 0 {
			return problem.New(problem.NotFound, "drop "+dropID, "study %s has no such drop", name)
		}
		list, err := all(ctx, tx, b.decoded.scan, selectReadings+`WHERE r.drop_id = $1 ORDER BY r.entry DESC`, dropID)
		for _, r := range list {
			out = append(out, r.StoredReading)
		}
		return err
	})
	return out, err
}

const selectReadings = `
	SELECT r.drop_id, r.id, r.at_ms, r.by_whom, r.program, r.ask_json, r.settings_json, r.reading_json
	FROM reading r `

// keptAsk is an Ask with the side-car of its file, without which the file could
// not be read again. An Ask by itself leaves it out of JSON.
type keptAsk struct {
	trace.Ask
	Name string `json:"SideCarName,omitempty"`
	Text string `json:"SideCar,omitempty"`
}

// dropReading is a reading with its drop.
type dropReading struct {
	drop string
	study.StoredReading
}

// scanReading reads a row, all of it anew.
func scanReading(rows *sql.Rows) (dropReading, error) {
	row, err := scanReadingRow(rows)
	if err != nil {
		return dropReading{}, err
	}
	return row.decode()
}

// readingRow is a row with its texts as they are kept.
type readingRow struct {
	dropReading
	ask, settings, values string
}

func scanReadingRow(rows *sql.Rows) (readingRow, error) {
	var r readingRow
	var at int64
	err := rows.Scan(&r.drop, &r.ID, &at, &r.By, &r.Program, &r.ask, &r.settings, &r.values)
	r.At = moment(at)
	return r, err
}

func (r readingRow) decode() (dropReading, error) {
	where := "reading of drop " + r.drop
	var kept keptAsk
	if err := decode(where, r.ask, &kept); err != nil {
		return r.dropReading, err
	}
	r.Ask = kept.Ask
	r.Ask.SideCarName, r.Ask.SideCar = kept.Name, kept.Text
	if err := decode(where, r.settings, &r.Settings); err != nil {
		return r.dropReading, err
	}
	var err error
	r.Reading, err = decodeReading(where, r.values)
	return r.dropReading, err
}
