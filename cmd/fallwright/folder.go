package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"fallwright.example/problem"
)

// makeFolder makes a folder with those above it, or takes the one that is there.
func makeFolder(dir, state string) error {
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return problem.New(problem.Conflict, dir, "this is a file, and --out is a folder to write into").
			Hint("name its folder: --out %s", filepath.Dir(dir)).In(state)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		p := problem.New(problem.Conflict, dir, "no folder can be made there: %v", errCause(err))
		switch {
		case errors.Is(err, fs.ErrPermission):
			p.What = "this user may not make a folder there"
		case errors.Is(err, syscall.ENOTDIR):
			p.What = "no folder can be made there: a part of the path is a file"
		case errors.Is(err, syscall.EROFS):
			p.What = "no folder can be made there: the disk can only be read"
		}
		return p.Hint("name another folder: --out FOLDER").In(state)
	}
	return nil
}

// left says on a refusal what state things were left in.
func left(err error, state string) error {
	for _, p := range problem.All(err) {
		p.In(state)
	}
	return err
}
