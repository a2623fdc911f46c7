package study

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"fallwright.example/campaign"
)

// parts tells how far a row of searches has got, in thousandths of all of them. One
// search begins anew inside itself several times: what was said is not taken back.
type parts struct {
	told        Progress
	all, at     int
	saidAlready int
}

// next is the Progress of the next search; nil when nobody is told.
func (p *parts) next() func(done, all int) {
	p.at++
	if p.told == nil {
		return nil
	}
	before := p.at - 1
	return func(done, all int) {
		now := 1000 * (before*max(1, all) + done) / (max(1, all) * p.all)
		p.saidAlready = max(p.saidAlready, min(now, 1000))
		p.told(p.saidAlready, 1000)
	}
}

// mostCounts are as many plans as are kept counted.
const mostCounts = 16

// counts keeps what plans come to, by their state. Whoever asks for what is being
// counted waits for it; what nobody waits for any more is given up.
type counts[V any] struct {
	mu  sync.Mutex
	all []*counting[V] // the newest last
}

type counting[V any] struct {
	state   string
	done    chan struct{} // closed when value or err is there
	stop    context.CancelFunc
	waiting []*Progress
	value   *V
	err     error
}

// known is what is counted of a state, nil when it is not.
func (k *counts[V]) known(state string) *V {
	k.mu.Lock()
	defer k.mu.Unlock()
	if one := k.find(state); one != nil {
		return one.value
	}
	return nil
}

func (k *counts[V]) find(state string) *counting[V] {
	for _, one := range k.all {
		if one.state == state {
			return one
		}
	}
	return nil
}

// get is what is kept of a state, or counts it. What failed is not kept.
func (k *counts[V]) get(ctx context.Context, state string, told Progress, count func(context.Context, Progress) (*V, error)) (*V, error) {
	k.mu.Lock()
	one := k.find(state)
	if one == nil {
		running, stop := context.WithCancel(context.WithoutCancel(ctx))
		one = &counting[V]{state: state, done: make(chan struct{}), stop: stop}
		k.all = append(k.all, one)
		go k.run(running, one, count)
	}
	one.waiting = append(one.waiting, &told)
	k.mu.Unlock()
	select {
	case <-one.done:
		return one.value, one.err
	case <-ctx.Done():
		k.leave(one, &told)
		return nil, ctx.Err()
	}
}

// run counts, and is told of a panic like of any other failure: it is in nobody's
// request.
func (k *counts[V]) run(ctx context.Context, one *counting[V], count func(context.Context, Progress) (*V, error)) {
	var value *V
	err := fmt.Errorf("counting a plan ended early")
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("counting a plan: panic: %v", p)
		}
		k.finish(one, value, err)
	}()
	value, err = count(ctx, func(done, all int) { k.tell(one, done, all) })
}

func (k *counts[V]) tell(one *counting[V], done, all int) {
	k.mu.Lock()
	waiting := slices.Clone(one.waiting)
	k.mu.Unlock()
	for _, told := range waiting {
		if *told != nil {
			(*told)(done, all)
		}
	}
}

func (k *counts[V]) finish(one *counting[V], value *V, err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	one.value, one.err = value, err
	one.stop()
	close(one.done)
	if err != nil {
		k.drop(one)
	}
	for len(k.all) > mostCounts && k.all[0].value != nil {
		k.all = k.all[1:]
	}
}

// leave gives a count up when the last who waits for it goes.
func (k *counts[V]) leave(one *counting[V], told *Progress) {
	k.mu.Lock()
	defer k.mu.Unlock()
	one.waiting = slices.DeleteFunc(one.waiting, func(p *Progress) bool { return p == told })
	if len(one.waiting) == 0 && one.value == nil {
		one.stop()
		k.drop(one)
	}
}

func (k *counts[V]) drop(one *counting[V]) {
	k.all = slices.DeleteFunc(k.all, func(o *counting[V]) bool { return o == one })
}

// planState names all that the count of a plan rests on: the study file, the zone of
// its days, and what the earlier study holds that spreads are taken from.
func (d *Desk) planState(ctx context.Context, s *campaign.Study) string {
	state := fmt.Sprintf("%q %q %s", s.ID, s.File.SHA256, d.Clock().Location())
	if earlier := s.Plan.Numbers.Study; earlier != "" {
		of, readings, err := d.recorded(ctx, earlier)
		if err != nil {
			return state + " without " + earlier
		}
		state += " " + stateOf(of, readings)
	}
	return state
}
