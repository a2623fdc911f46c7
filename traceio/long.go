package traceio

import (
	"io"
	"runtime"
	"sync"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Long is a format that can read some long files without holding their bytes.
type Long interface {
	Format
	// ReadLong is Read of a file of so many bytes; ok is false where it has to be
	// held to be read, or is refused: Read then says why.
	ReadLong(name string, from io.ReaderAt, size int64, ask trace.Ask) (file *trace.File, ok bool)
}

// longHead is how much of a long file tells its format.
const longHead = 64 << 10

// ReadLong is Read of a long file that is held only where its format needs it. An
// error that is no *problem.Problem is from's own.
func (r *Readers) ReadLong(name string, from io.ReaderAt, size int64, ask trace.Ask) (*trace.File, error) {
	if size > MostBytes {
		return &trace.File{}, tooLong(name, size)
	}
	head := make([]byte, min(size, longHead))
	if n, _ := from.ReadAt(head, 0); n == len(head) {
		if claims := r.claims(name, head); len(claims) == 1 {
			if format, ok := claims[0].(Long); ok {
				if file, ok := format.ReadLong(name, from, size, ask); ok {
					return file, nil
				}
			}
		}
	}
	data, err := hold(from, size)
	if err != nil {
		return &trace.File{}, err
	}
	file, err := r.Read(name, data, ask)
	data = nil
	runtime.GC() // before the reading needs memory
	return file, err
}

// hold reads the bytes of a file on all cores: most of the time goes into giving
// them memory.
func hold(from io.ReaderAt, size int64) ([]byte, error) {
	data := make([]byte, size)
	parts := int64(runtime.GOMAXPROCS(0))
	failed := make([]error, parts)
	var wait sync.WaitGroup
	for k := range parts {
		wait.Go(func() {
			low, high := size*k/parts, size*(k+1)/parts
			n, err := from.ReadAt(data[low:high], low)
			if int64(n) < high-low {
				failed[k] = err
			}
		})
	}
	wait.Wait()
	for _, err := range failed {
		if err != nil {
			return nil, err // io.EOF of a file that is shorter by now than it was
		}
	}
	return data, nil
}

// tooLong refuses a file of more than MostBytes.
func tooLong(name string, size int64) *problem.Problem {
	return problem.New(problem.Unreadable, name, "the file has %d bytes; up to 2 GiB are read, which is our own limit", size).
		Hint("export the force and the time alone, or each drop to a file of its own").In("nothing was read from " + name)
}
