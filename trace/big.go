package trace

import "sync"

// bigTrace is how many samples make a trace whose reading is shared out to several
// cores: less is done before another has begun.
const bigTrace = 1 << 18

// bigParts is into how many a big trace is cut, whatever the number of cores: what
// comes of them is then the same on any machine.
const bigParts = 4

// inParts does n samples: a big trace's in parts side by side, from and to of each
// given, else all at once.
func inParts(n int, do func(k, from, to int)) {
	if n < bigTrace {
		do(0, 0, n)
		return
	}
	var wait sync.WaitGroup
	for k := range bigParts {
		wait.Go(func() { do(k, n*k/bigParts, n*(k+1)/bigParts) })
	}
	wait.Wait()
}

// ahead begins what is wanted later, beside what comes before that in a big trace;
// the function that it returns waits for it. In a small one that does it.
func ahead(n int, do func()) (wait func()) {
	if n < bigTrace {
		return do
	}
	var begun sync.WaitGroup
	begun.Go(do)
	return begun.Wait
}
