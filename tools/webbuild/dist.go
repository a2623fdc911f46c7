package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// write replaces dist by the files.
func write(dist string, files map[string][]byte) error {
	if err := os.RemoveAll(dist); err != nil {
		return err
	}
	if err := os.MkdirAll(dist, 0o755); err != nil {
		return err
	}
	total := 0
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dist, name), data, 0o644); err != nil {
			return err
		}
		total += len(data)
	}
	fmt.Printf("webbuild: %d files, %d kB\n", len(files), total/1000)
	return nil
}

// compare fails unless dist holds exactly the files, to the byte.
func compare(dist string, files map[string][]byte) error {
	var wrong []string
	have, err := os.ReadDir(dist)
	if err != nil {
		return err
	}
	for _, f := range have {
		if _, wanted := files[f.Name()]; !wanted {
			wrong = append(wrong, f.Name()+" is there and should not be")
		}
	}
	for name, want := range files {
		got, err := os.ReadFile(filepath.Join(dist, name))
		switch {
		case err != nil:
			wrong = append(wrong, name+" is missing")
		case !bytes.Equal(got, want):
			wrong = append(wrong, name+" differs")
		}
	}
	if len(wrong) == 0 {
		fmt.Printf("webbuild: %d files of web/asset/dist are as built from their sources\n", len(files))
		return nil
	}
	slices.Sort(wrong)
	return fmt.Errorf("web/asset/dist is not what its sources give:\n  %s\nhint: go run -C tools ./webbuild", strings.Join(wrong, "\n  "))
}

// checkTypes runs the type checker over the sources; the bundler only strips
// types.
func checkTypes(frontend string) error {
	cmd := exec.Command(filepath.Join(frontend, "node_modules", ".bin", "tsc"), "--project", frontend)
	out, err := cmd.CombinedOutput()
	if err != nil {
		return fmt.Errorf("types: %w\n%s", err, out)
	}
	return nil
}
