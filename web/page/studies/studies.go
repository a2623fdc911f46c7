// Package studies is the first page: every study of the book.
package studies

import (
	"fallwright.example/web/page/frame"
)

// View is the list of studies.
type View struct {
	Frame frame.View
	Rows  []Row
}

// Row is one study.
type Row struct {
	Title, Name, Href string
	Invented          bool
	Frozen            bool
	Begun             string // who and when
	Counting, Planned int
	Share             int // of the planned falls, in per cent, at most 100
}
