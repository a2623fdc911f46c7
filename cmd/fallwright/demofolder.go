package main

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fallwright.example/problem"
)

const (
	demoBook   = "sea-water.book"
	demoMarker = "INVENTED.txt"
	demoNote   = `Everything in this folder is invented by "fallwright demo": the club, the ropes,
the drops and every trace. No rope was tested. The files listed below are made
anew when the demo runs again; it touches nothing that it did not write itself.

`
	// unsealed stands for the hash of a file that the demo had not finished.
	unsealed = "0000000000000000000000000000000000000000000000000000000000000000"
)

// demoFolder is the folder that a demo makes. Its marker lists every file that
// the demo wrote, with its SHA-256, so that a later demo takes away these and
// nothing else.
type demoFolder struct {
	dir  string
	list map[string]string // SHA-256 by slash path in the folder
}

// clear takes away what an earlier demo wrote. A folder that no demo wrote, or in
// which something was altered or added since, is left alone and refused.
func (f *demoFolder) clear() error {
	const state = "nothing was written or taken away"
	if err := makeFolder(f.dir, state); err != nil {
		return err
	}
	found, err := f.found()
	if err != nil {
		return left(cannotOpen(f.dir, err), state)
	}
	if len(found) == 0 {
		return nil
	}
	elsewhere := func(p *problem.Problem) error {
		return p.Hint("or name another folder: fallwright demo --out FOLDER").In(state)
	}
	f.list = readMarker(filepath.Join(f.dir, demoMarker))
	if f.list == nil {
		return elsewhere(problem.New(problem.Conflict, f.dir, "the folder is there, and no demo wrote it").
			Hint("move what is in it away"))
	}
	for _, name := range found {
		path := filepath.Join(f.dir, filepath.FromSlash(name))
		sum, listed := f.list[name]
		switch {
		case name == demoMarker || listed && sum == unsealed:
		case strings.HasPrefix(name, demoBook+"-"):
			return elsewhere(problem.New(problem.Conflict, path, "the demo's book is open in another program, or was not closed").
				Hint("stop that program; after a crash open the book once: fallwright book examine --book %s", filepath.Join(f.dir, demoBook)))
		case !listed:
			return elsewhere(problem.New(problem.Conflict, path, "the demo did not write it, and would make its folder anew").Hint("move it away"))
		case hashOf(path) != sum:
			return elsewhere(problem.New(problem.Conflict, path, "it was altered since the demo wrote it").
				Hint("move it away, or take it away if it is not needed"))
		}
	}
	return f.remove(found)
}

// found lists the files in the folder by slash path, links and all.
func (f *demoFolder) found() ([]string, error) {
	root, err := filepath.EvalSymlinks(f.dir) // a link is not walked
	if err != nil {
		return nil, err
	}
	var out []string
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || path == root {
			return err
		}
		name, err := filepath.Rel(root, path)
		switch {
		case err != nil || d.IsDir() && name == "traces":
			return err
		case d.IsDir(): // no demo makes it: its name is enough
			err = fs.SkipDir
		}
		out = append(out, filepath.ToSlash(name))
		return err
	})
	return out, err
}

// remove takes away files of an earlier demo, the marker last.
func (f *demoFolder) remove(names []string) error {
	const state = "part of the earlier demo was taken away"
	names = slices.DeleteFunc(names, func(name string) bool { return name == demoMarker })
	for _, name := range append(names, "traces", demoMarker) {
		path := filepath.Join(f.dir, filepath.FromSlash(name))
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return left(cannotWrite(path, err), state)
		}
	}
	return nil
}

// write writes the files, their list first.
func (f *demoFolder) write(files map[string][]byte) error {
	f.list = map[string]string{demoBook: unsealed, "sea-water-report.html": unsealed}
	for name, data := range files {
		sum := sha256.Sum256(data)
		f.list[name] = hex.EncodeToString(sum[:])
	}
	if err := f.mark(); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		path := filepath.Join(f.dir, filepath.FromSlash(name))
		err := os.MkdirAll(filepath.Dir(path), 0o755)
		if err == nil {
			err = os.WriteFile(path, files[name], 0o644)
		}
		if err != nil {
			return left(cannotWrite(path, err), "the demo is not whole; run it again")
		}
	}
	return nil
}

// seal notes how the files that were made last have come out.
func (f *demoFolder) seal(names ...string) error {
	for _, name := range names {
		f.list[name] = hashOf(filepath.Join(f.dir, filepath.FromSlash(name)))
	}
	return f.mark()
}

// mark writes the marker: the note, and the list as sha256sum writes it.
func (f *demoFolder) mark() error {
	var b strings.Builder
	b.WriteString(demoNote)
	for _, name := range slices.Sorted(maps.Keys(f.list)) {
		fmt.Fprintf(&b, "%s  %s\n", f.list[name], name)
	}
	path := filepath.Join(f.dir, demoMarker)
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		return left(cannotWrite(path, err), "the demo is not whole; run it again")
	}
	return nil
}

// readMarker reads the list of an earlier demo, nil when there is none.
func readMarker(path string) map[string]string {
	data, err := os.ReadFile(path)
	rest, ours := bytes.CutPrefix(data, []byte(demoNote))
	if err != nil || !ours {
		return nil
	}
	list := map[string]string{}
	for lines := bufio.NewScanner(bytes.NewReader(rest)); lines.Scan(); {
		sum, name, ok := strings.Cut(lines.Text(), "  ")
		if !ok || len(sum) != len(unsealed) || !filepath.IsLocal(filepath.FromSlash(name)) {
			return nil
		}
		list[name] = sum
	}
	return list
}

// hashOf is the SHA-256 of a file, "" when it cannot be read.
func hashOf(path string) string {
	data, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}
