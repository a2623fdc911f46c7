// Package traceio reads traces from files of several formats. One folder holds
// one format; this package holds what they share: what a caller may ask for,
// how the right reader is found, and the units of force and time.
//
// It imports no format: the program names the formats it wants to New.
package traceio

import "fallwright.example/trace"

// Ask is what the caller knows about a file. Zero values mean "find out".
type Ask struct {
	Rate  float64 // Hz; overrides the file's time column
	Force string  // column by name (any case) or by number counted from 1
	Time  string  // likewise
	Unit  string  // N, mN, kN, lbf or kgf; overrides the file's own
}

// Format is one file format. readertest is its exam.
type Format interface {
	// Name is the format's name as docs/FORMATS.md heads it.
	Name() string
	// Claims reports whether data look like this format. It only looks.
	Claims(name string, data []byte) bool
	// Read returns the recording, or a *problem.Problem that names file and
	// line. It does not change data and keeps no part of it.
	Read(name string, data []byte, ask Ask) (*trace.Recording, error)
}
