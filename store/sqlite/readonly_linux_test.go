package sqlite

import (
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"fallwright.example/problem"
)

// Root may write to anything, so the test takes another user's rights for its
// own thread while it opens the book. The thread is not used again.
func TestOpenReadOnly(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "book.fallwright")
	mustOpen(t, path).Close()
	others := filepath.Join(dir, "..")
	for name, mode := range map[string]os.FileMode{others: 0o755, dir: 0o755, path: 0o444} {
		if err := os.Chmod(name, mode); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name   string
		folder os.FileMode
		path   string
	}{
		{"file and folder", 0o555, path},
		{"file alone", 0o777, path},
		{"folder of a new book", 0o555, filepath.Join(dir, "new.fallwright")},
	} {
		if err := os.Chmod(dir, c.folder); err != nil {
			t.Fatal(err)
		}
		err := asNobody(t, func() error {
			s, err := Open(t.Context(), c.path)
			if err == nil {
				s.Close()
			}
			return err
		})
		if all := problem.All(err); len(all) != 1 || all[0].Kind != problem.Conflict || all[0].Where != c.path || len(all[0].Hints) == 0 {
			t.Errorf("%s: refused with %v, want a problem of kind Conflict with a hint", c.name, err)
		} else {
			t.Logf("%s: %v", c.name, err)
		}
	}
}

func asNobody(t *testing.T, do func() error) error {
	t.Helper()
	if os.Getuid() != 0 {
		return do()
	}
	out := make(chan error)
	go func() {
		runtime.LockOSThread() // and never unlocked: the thread ends with this goroutine
		const nobody = 65534
		if err := syscall.Setfsuid(nobody); err != nil {
			out <- err
			return
		}
		out <- do()
	}()
	return <-out
}
