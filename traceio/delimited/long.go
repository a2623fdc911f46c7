package delimited

import (
	"bytes"
	"runtime"
	"sync"
	"sync/atomic"
)

// chunkBytes is how much of a long file is looked at or read at a time, on all
// cores.
const chunkBytes = 1 << 20

// holds reports whether a byte is in some data.
func holds(data []byte, c byte) bool {
	if len(data) < 4*chunkBytes {
		return bytes.IndexByte(data, c) >= 0
	}
	var found atomic.Bool
	inChunks(data, func(part []byte) {
		if bytes.IndexByte(part, c) >= 0 {
			found.Store(true)
		}
	})
	return found.Load()
}

// newlines is how many line feeds are in some data.
func newlines(data []byte) int {
	feed := []byte("\n")
	if len(data) < 4*chunkBytes {
		return bytes.Count(data, feed)
	}
	var all atomic.Int64
	inChunks(data, func(part []byte) { all.Add(int64(bytes.Count(part, feed))) })
	return int(all.Load())
}

// inChunks calls do for each chunk of some data, wherever its lines end.
func inChunks(data []byte, do func(part []byte)) {
	inParallel((len(data)+chunkBytes-1)/chunkBytes, func(k int) {
		do(data[k*chunkBytes : min(len(data), (k+1)*chunkBytes)])
	})
}

// inParallel calls do for each of n parts on all cores.
func inParallel(n int, do func(k int)) {
	if n == 1 {
		do(0)
		return
	}
	var wait sync.WaitGroup
	var next atomic.Int64
	for range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for k := int(next.Add(1)) - 1; k < n; k = int(next.Add(1)) - 1 {
				do(k)
			}
		})
	}
	wait.Wait()
}
