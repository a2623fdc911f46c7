package web

import (
	"sync"
	"time"

	"fallwright.example/problem"
	"fallwright.example/trace"
)

// What may wait between preview and record.
const (
	mostUpload  = 256 << 20 // bytes of one file
	mostPending = 512 << 20 // bytes of all files
	pendingFor  = 2 * time.Hour
)

// pending are the files that were sent to be looked at and are not recorded
// yet, by their SHA-256. They are in the memory of this process only: the
// longest waiting goes when there are too many, and each after a while.
type pending struct {
	mu      sync.Mutex
	now     func() time.Time
	largest int // bytes of one file
	most    int // bytes of all
	bytes   int
	files   []pendingFile // the longest waiting first
}

type pendingFile struct {
	sha256 string
	name   string
	data   []byte // never changed
	until  time.Time

	sideCarName, sideCar string // that was sent beside it; empty for none
}

// beside puts the file's side-car into an Ask.
func (f pendingFile) beside(ask trace.Ask) trace.Ask {
	ask.SideCarName, ask.SideCar = f.sideCarName, f.sideCar
	return ask
}

func newPending() *pending { return &pending{now: time.Now, largest: mostUpload, most: mostPending} }

// put takes a file in and makes room for it. The same bytes again are one file
// under the newer name, with the newer side-car.
func (p *pending) put(in pendingFile) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.drop(func(f pendingFile) bool { return f.sha256 == in.sha256 || p.now().After(f.until) })
	for len(p.files) > 0 && p.bytes+len(in.data) > p.most {
		oldest := p.files[0].sha256
		p.drop(func(f pendingFile) bool { return f.sha256 == oldest })
	}
	in.until = p.now().Add(pendingFor)
	p.files = append(p.files, in)
	p.bytes += len(in.data)
}

// get gives a file back, and lets it wait longer. NotFound when it has gone.
func (p *pending) get(sha256 string) (pendingFile, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.drop(func(f pendingFile) bool { return p.now().After(f.until) })
	for i := range p.files {
		if p.files[i].sha256 == sha256 {
			p.files[i].until = p.now().Add(pendingFor)
			return p.files[i], nil
		}
	}
	return pendingFile{}, problem.New(problem.NotFound, "file", "the file is not waiting here any more").
		Hint("choose it once more: a file waits for %d hours, and only while the program runs", int(pendingFor.Hours())).
		In("nothing was stored")
}

// forget lets a file go.
func (p *pending) forget(sha256 string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.drop(func(f pendingFile) bool { return f.sha256 == sha256 })
}

func (p *pending) drop(gone func(pendingFile) bool) {
	kept := p.files[:0]
	for _, f := range p.files {
		if gone(f) {
			p.bytes -= len(f.data)
			continue
		}
		kept = append(kept, f)
	}
	clear(p.files[len(kept):]) // let the bytes go
	p.files = kept
}
