package main

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// programName is what readings and reports say they were made with.
func programName() string {
	commit := ""
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" && len(s.Value) >= 12 {
				commit = " " + s.Value[:12]
			}
		}
	}
	return fmt.Sprintf("fallwright %s%s (%s)", version, commit, runtime.Version())
}
