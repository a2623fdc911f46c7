package main

import (
	"context"
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// The scripts in testdata run the program as a user does.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"fallwright": func() {
		os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata", RequireExplicitExec: true, RequireUniqueNames: true})
}
