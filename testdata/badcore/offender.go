// Package badcore is a planted offender: a core package that opens files, reads
// the clock and calls a store. The architecture test must see all three.
package badcore

import (
	_ "os"
	_ "time"

	_ "fallwright.example/store/sqlite"
)
