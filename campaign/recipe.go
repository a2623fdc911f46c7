package campaign

import "fallwright.example/trace"

// Recipe is how the files of a rig's logger are read: what was corrected once,
// under a name, so that it need not be said again.
type Recipe struct {
	Stamp
	Rig  string // the rig's name
	Name string
	Ask  trace.Ask
}
