package book

import (
	"database/sql"
	"sync"
)

// mostDecoded is how many readings are kept decoded. One takes some 50 kB with
// its text.
const mostDecoded = 2000

// decoded keeps readings that were decoded before: to decode the budgets of a
// study's readings takes longer than all else that a page of it needs. A row
// whose texts are others than they were is decoded anew. What is kept is shared
// by all who read, so nobody may change it.
type decoded struct {
	mu sync.Mutex
	by map[string]decodedRow // by reading
}

type decodedRow struct {
	row  readingRow // as it is kept in the book
	made dropReading
}

// scan reads a row, and decodes it when that was not done before.
func (d *decoded) scan(rows *sql.Rows) (dropReading, error) {
	row, err := scanReadingRow(rows)
	if err != nil {
		return dropReading{}, err
	}
	d.mu.Lock()
	have, ok := d.by[row.ID]
	d.mu.Unlock()
	if ok && have.row.same(row) {
		return have.made, nil
	}
	made, err := row.decode()
	if err != nil {
		return made, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.by == nil || len(d.by) >= mostDecoded {
		d.by = map[string]decodedRow{}
	}
	d.by[row.ID] = decodedRow{row, made}
	return made, nil
}

func (r readingRow) same(o readingRow) bool {
	return r.drop == o.drop && r.At.Equal(o.At) && r.By == o.By && r.Program == o.Program &&
		r.ask == o.ask && r.settings == o.settings && r.values == o.values
}
