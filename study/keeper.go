package study

import (
	"container/list"
	"context"
	"sync"

	"fallwright.example/trace"
)

// mostKept is how much a desk keeps when nobody says otherwise.
const mostKept = 512 << 20

// keeper keeps what was made from files for the next who asks, the longest
// unasked for going first. Whoever asks for what is being made waits for it.
type keeper struct {
	mu    sync.Mutex
	bytes int64
	order list.List // of *kept, the newest in front
	by    map[keptKey]*list.Element
}

// keptKey says what was made: the recording of a file read so, or with settings
// the signal of that recording; or the findings of a state of a study, with or
// without their checks.
type keptKey struct {
	sha256  string // of the file, or the name of the state
	ask     trace.Ask
	signal  bool
	set     trace.Settings
	checked bool
}

type kept struct {
	key   keptKey
	done  chan struct{} // closed when value or err is there
	value any
	err   error
	bytes int64
}

// get returns what is kept under key, or produces and keeps it. What failed is
// not kept. produce runs to its end even when the one who asked has gone, so that the
// others have it.
func (k *keeper) get(ctx context.Context, most int64, key keptKey, produce func(context.Context) (any, int64, error)) (any, error) {
	k.mu.Lock()
	if e, ok := k.by[key]; ok {
		k.order.MoveToFront(e)
		k.mu.Unlock()
		one := e.Value.(*kept)
		select {
		case <-one.done:
			return one.value, one.err
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
	if k.by == nil {
		k.by = map[keptKey]*list.Element{}
	}
	one := &kept{key: key, done: make(chan struct{})}
	k.by[key] = k.order.PushFront(one)
	k.mu.Unlock()

	finished := false
	defer func() {
		if !finished { // produce panicked: nobody may wait for it for ever
			one.err = context.Canceled
			k.finish(one, most)
		}
	}()
	one.value, one.bytes, one.err = produce(context.WithoutCancel(ctx))
	finished = true
	k.finish(one, most)
	return one.value, one.err
}

// finish counts what was made and lets go of what is too much.
func (k *keeper) finish(one *kept, most int64) {
	k.mu.Lock()
	defer k.mu.Unlock()
	close(one.done)
	k.bytes += one.bytes
	if one.err != nil {
		k.drop(k.by[one.key])
	} else {
		// What it was made from came later, and goes first: the recording before
		// the signal, which holds what is drawn.
		k.order.MoveToFront(k.by[one.key])
	}
	for e := k.order.Back(); e != nil && k.bytes > most; {
		before := e.Prev()
		select {
		case <-e.Value.(*kept).done:
			k.drop(e)
		default: // still being made: it counts for nothing yet
		}
		e = before
	}
}

func (k *keeper) drop(e *list.Element) {
	one := e.Value.(*kept)
	k.order.Remove(e)
	delete(k.by, one.key)
	k.bytes -= one.bytes
}

func (d *Desk) mostKept() int64 {
	if d.KeepBytes == 0 {
		return mostKept
	}
	return d.KeepBytes
}
