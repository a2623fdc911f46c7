package tableio

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fallwright.example/problem"
	"fallwright.example/traceio"
	"fallwright.example/traceio/xlsx"
)

// Ask is what the caller knows of a file; empty where the file is to tell.
type Ask struct {
	Sheet     string // of a workbook, by name or by number from 1; the first when empty
	Delimiter string // comma, semicolon, tab, space or bar
	Decimal   string // point or comma
}

// Read reads the table in a file. Where there is no file of that name, what
// follows its last # is taken for the sheet: "day.xlsx#peaks".
func Read(path string, ask Ask) (*Table, error) {
	data, err := os.ReadFile(path)
	if i := strings.LastIndexByte(path, '#'); errors.Is(err, fs.ErrNotExist) && i > 0 && ask.Sheet == "" {
		if inside, err := os.ReadFile(path[:i]); err == nil {
			ask.Sheet = path[i+1:]
			return ReadFrom(filepath.Base(path[:i]), inside, ask)
		}
	}
	if err == nil {
		return ReadFrom(filepath.Base(path), data, ask)
	}
	p := problem.New(problem.Unreadable, path, "the file cannot be opened")
	info, statErr := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		p.Kind, p.What = problem.NotFound, "there is no such file"
	case statErr == nil && info.IsDir():
		p.Kind, p.What = problem.Invalid, "this is a folder, and a table is one file"
	case errors.Is(err, fs.ErrPermission):
		p.What = "the file may not be read by you"
	}
	return nil, p
}

// ReadFrom reads the table in data; name is what refusals call it. The error is a
// *problem.Problem, or a problem.List, that names line and column.
func ReadFrom(name string, data []byte, ask Ask) (*Table, error) {
	if !slices.Contains([]string{"", "point", "comma"}, ask.Decimal) {
		return nil, problem.New(problem.Invalid, "--decimal", "%q is no decimal mark", ask.Decimal).Hint("write --decimal point or --decimal comma")
	}
	name, data, _, err := traceio.Unpack(name, data)
	if err != nil {
		return nil, err
	}
	if len(data) > MostBytes {
		return nil, problem.New(problem.Unreadable, name, "the table has %d MiB; up to %d MiB are read, which is our own limit", len(data)>>20, MostBytes>>20)
	}
	g := &grid{name: name, ask: ask, line: "line"}
	if (xlsx.Format{}).Claims(name, data) {
		err = g.readSheet(data)
	} else {
		err = g.readText(data)
	}
	if err != nil {
		return nil, err
	}
	return g.table()
}
