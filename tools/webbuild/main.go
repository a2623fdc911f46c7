// Webbuild bundles the web app's script, style and fonts into web/asset/dist,
// from which they are embedded. Names carry a hash of what is in the file, and
// the same sources always give the same bytes.
//
//	go run -C tools ./webbuild          writes web/asset/dist
//	go run -C tools ./webbuild -check   builds in memory, checks the types, and
//	                                    fails when dist differs
//
// It needs the packages of web/frontend: npm ci --ignore-scripts.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
)

func main() {
	check := flag.Bool("check", false, "compare with web/asset/dist instead of writing it")
	root := flag.String("root", "..", "the project's root")
	flag.Parse()
	if err := run(*root, *check); err != nil {
		fmt.Fprintln(os.Stderr, "webbuild: error:", err)
		os.Exit(1)
	}
}

func run(root string, check bool) error {
	root, err := filepath.Abs(root)
	if err != nil {
		return err
	}
	frontend := filepath.Join(root, "web", "frontend")
	if _, err := os.Stat(filepath.Join(frontend, "node_modules")); err != nil {
		return fmt.Errorf("web/frontend/node_modules is missing\nhint: npm --prefix web/frontend ci --ignore-scripts")
	}
	files, err := bundle(frontend)
	if err != nil {
		return err
	}
	dist := filepath.Join(root, "web", "asset", "dist")
	if !check {
		return write(dist, files)
	}
	if err := checkTypes(frontend); err != nil {
		return err
	}
	return compare(dist, files)
}
