package traceio

import (
	"sync"

	"fallwright.example/trace"
)

// spare is the memory of recordings that are done with.
var spare sync.Pool

// Room is an empty slice with room for n numbers, used before where Reuse was
// given some that is large enough.
func Room(n int) []float64 {
	if used, ok := spare.Get().(*[]float64); ok && cap(*used) >= n {
		return (*used)[:0]
	}
	return make([]float64, 0, n)
}

// Reuse gives back the memory of a file's recording, which must not be looked at
// any more: reading a folder is then not held up by giving each file memory anew.
// Several recordings may share a time, and keep theirs.
func Reuse(file *trace.File) {
	if len(file.Parts) != 1 {
		return
	}
	rec := file.Parts[0]
	force, time := rec.Force, rec.Time
	rec.Force, rec.Time, file.Parts = nil, nil, nil
	GiveBack(force, time)
}

// GiveBack gives back memory of Room.
func GiveBack(rooms ...[]float64) {
	for _, r := range rooms {
		spare.Put(&r)
	}
}
