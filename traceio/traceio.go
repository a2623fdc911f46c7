// Package traceio reads traces from files of several formats. One folder holds
// one format; this package holds what they share: what a caller may ask for,
// how the right reader is found, packed files, and the units of force and time.
// Package pick, beside it, chooses the force and the time among columns.
//
// It imports no format: the program names the formats it wants to New.
package traceio

import "fallwright.example/trace"

// Format is one file format. readertest is its exam.
type Format interface {
	// Name is the format's name as docs/FORMATS.md heads it.
	Name() string
	// Claims reports whether data look like this format. It only looks.
	Claims(name string, data []byte) bool
	// Read returns what the file holds, or a *problem.Problem that names file and
	// line; the File beside a problem has no Parts, and a Layout as far as it was
	// understood. It does not change data and keeps no part of it.
	Read(name string, data []byte, ask trace.Ask) (*trace.File, error)
}
