package sqlite

import (
	"errors"

	driver "modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"fallwright.example/problem"
)

// refused is the Problem behind an error of SQLite, or the error itself.
func refused(path string, err error) error {
	if p := refusal(path, err); p != nil {
		return p
	}
	return err
}

// code is SQLite's extended code of an error, or 0.
func code(err error) int {
	var e *driver.Error
	if errors.As(err, &e) {
		return e.Code()
	}
	return 0
}

// refusal is what an error of SQLite means to a person; nil for one that is a
// fault of this program.
func refusal(path string, err error) *problem.Problem {
	var e *driver.Error
	if !errors.As(err, &e) {
		return nil
	}
	switch e.Code() {
	case sqlite3.SQLITE_CONSTRAINT_UNIQUE, sqlite3.SQLITE_CONSTRAINT_PRIMARYKEY:
		return conflict(path, "the book has it already: %v", e).Hint("give it an ID of its own, or leave it")
	}
	switch e.Code() & 0xff { // the low byte is the kind, the others say more
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		return conflict(path, "another program has kept the book locked for %s", busyTimeout).
			Hint("try again, or end the other program")
	case sqlite3.SQLITE_READONLY:
		return conflict(path, "the book, or its folder, cannot be written to").
			Hint("change who may write to both, or copy the book to where you may")
	case sqlite3.SQLITE_FULL:
		return conflict(path, "there is no room on the disk").Hint("make room and try again")
	case sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH:
		return conflict(path, "the book cannot be opened: %v", e).
			Hint("check who may read and write the file and its folder")
	case sqlite3.SQLITE_IOERR:
		return conflict(path, "the disk did not do what was asked: %v", e).
			Hint("check the disk, and that the book is not on a network drive")
	case sqlite3.SQLITE_NOTADB:
		return noBook(path, "its first bytes are not those of a database")
	case sqlite3.SQLITE_CORRUPT:
		return damaged(path, e.Error())
	}
	return nil
}

func conflict(path, format string, args ...any) *problem.Problem {
	return problem.New(problem.Conflict, path, format, args...).In("nothing was stored")
}

func noBook(path, format string, args ...any) *problem.Problem {
	return problem.New(problem.Unreadable, path, "the file is no book: "+format, args...).
		Hint("check the path; a new book is made where there is no file").In("the file was not touched")
}

func damaged(path, how string) *problem.Problem {
	return problem.New(problem.Unreadable, path, "the book is damaged: %s", how).
		Hint("go back to a copy of it, and do not write to this one")
}
