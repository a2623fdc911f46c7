package power

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fallwright.example/compare"
)

// Options of a simulation. Zero values are the defaults.
type Options struct {
	Seed    uint64
	Studies int // 10,000; a fifth of them where each is fitted
	Workers int // 2; results do not depend on it
	// Progress is called now and then, by one goroutine at a time, with the number
	// of studies done and of all; where a search decides how many there will be, of
	// the size in hand and 0.
	Progress func(done, all int)
}

func (o Options) complete() Options {
	if o.Studies <= 0 {
		o.Studies = 10_000
	}
	if o.Workers <= 0 {
		o.Workers = 2
	}
	return o
}

// fewer is a fifth of the studies where each is fitted, which takes a hundred times
// as long as by strata.
func (b *bench) fewer(studies int) int {
	if b.balanced == nil {
		return max(1, studies/5)
	}
	return studies
}

// Share is a share of studies with its Monte Carlo standard error, √(p(1−p)/n).
type Share struct {
	P  float64 `json:"p"`
	SE float64 `json:"se"`
}

// Width is half the width of the adjusted 95 % interval over the studies: its mean
// and the range that holds the middle 80 %, in per cent of the baseline for a
// margin of a share, else in the unit.
type Width struct {
	Mean float64 `json:"mean"`
	P10  float64 `json:"p10"`
	P90  float64 `json:"p90"`
	// Unbounded is the share of studies whose interval has no bounds, a ratio to a
	// mean that may be zero; they are none of the above.
	Unbounded float64 `json:"unbounded"`
}

// Chance is what a plan does for one question.
type Chance struct {
	Question compare.Question `json:"question"`
	Truth    Truth            `json:"truth"`
	// Calls is the finding that the truth calls for, and Power its share.
	Calls        compare.Verdict `json:"calls_for"`
	Power        Share           `json:"power"`
	Higher       Share           `json:"higher"`
	Lower        Share           `json:"lower"`
	NoDifference Share           `json:"no_difference"`
	NotSettled   Share           `json:"not_settled"`
	Half         Width           `json:"half_width"`
	// Exact is the chance without simulation, where it has one; see Plan.Exact.
	Exact *compare.Chances `json:"exact"`
}

// Result is what a plan does for its questions.
type Result struct {
	Specimens int      `json:"specimens"` // of the condition with the fewest
	Falls     int      `json:"falls"`
	Drops     int      `json:"drops"`
	Studies   int      `json:"studies"`
	Refused   int      `json:"refused"` // studies that no model could be fitted to; no finding
	Fitted    bool     `json:"fitted"`  // study by study; else by strata
	Chances   []Chance `json:"chances"`
	Said      string   `json:"variances"` // where the variances come from
	Notes     []string `json:"notes"`
}

// Least is the question with the smallest power.
func (r *Result) Least() Chance {
	return slices.MinFunc(r.Chances, func(a, b Chance) int {
		switch {
		case a.Power.P < b.Power.P:
			return -1
		case a.Power.P > b.Power.P:
			return 1
		}
		return 0
	})
}

// Simulate gives the chance of each finding. It refuses a plan that cannot be
// judged, naming what is missing and the nearest plan that can, and returns ctx's
// error when it was cancelled.
func Simulate(ctx context.Context, p Plan, o Options) (*Result, error) {
	given := o.Studies > 0
	o = o.complete()
	b, err := lay(p, o.Seed)
	if err != nil {
		return nil, err
	}
	if !given {
		o.Studies = b.fewer(o.Studies)
	}
	return b.simulate(ctx, o)
}

// simulate draws and judges the studies of a bench.
func (b *bench) simulate(ctx context.Context, o Options) (*Result, error) {
	t := newTally(b)
	if err := t.more(ctx, b, o, o.Studies, o.Studies); err != nil {
		return nil, err
	}
	return b.result(t), nil
}

// Studies whose widths are kept, and how many a worker does at a time.
const (
	kept  = 2000
	chunk = 128
)

// tally counts the outcomes of studies.
type tally struct {
	studies, refused int
	count            [][4]int    // by question: higher, lower, no difference, not settled
	half             [][]float64 // by question, of the first studies
}

func newTally(b *bench) *tally {
	k := len(b.plan.Questions)
	return &tally{count: make([][4]int, k), half: make([][]float64, k)}
}

var findings = []compare.Verdict{compare.Higher, compare.Lower, compare.NoDifference, compare.NotSettled}

// part is the studies of one chunk.
type part struct {
	tally
	err error
}

// more adds studies until there are as many as wanted. Workers take chunks as they
// come free; in what order they come back changes nothing, for counts are whole
// numbers and widths are sorted.
func (t *tally) more(ctx context.Context, b *bench, o Options, wanted, all int) error {
	first := t.studies
	chunks := (wanted - first + chunk - 1) / chunk
	if chunks <= 0 {
		return ctx.Err()
	}
	jobs, parts := make(chan int, chunks), make(chan part, chunks)
	for c := range chunks {
		jobs <- first + c*chunk
	}
	close(jobs)
	for range min(o.Workers, chunks) {
		go b.work(ctx, jobs, parts, wanted)
	}
	for n := range chunks {
		p := <-parts
		if p.err != nil {
			return p.err
		}
		t.add(&p.tally)
		if o.Progress != nil {
			o.Progress(min(first+(n+1)*chunk, wanted), all)
		}
	}
	return nil
}

// work does chunks until there is none, each with what it found or an error.
func (b *bench) work(ctx context.Context, jobs <-chan int, parts chan<- part, wanted int) {
	d, err := b.drawer()
	out := make([]compare.Outcome, len(b.plan.Questions))
	for from := range jobs {
		p := part{tally: *newTally(b), err: err}
		if p.err == nil {
			p.err = ctx.Err()
		}
		for i := from; i < min(from+chunk, wanted) && p.err == nil; i++ {
			p.studies++
			if failed := d.study(uint64(i), i < kept, out); failed != nil {
				p.refused++
				continue
			}
			p.note(out, i < kept)
		}
		parts <- p
	}
}

func (t *tally) note(out []compare.Outcome, wide bool) {
	for q, o := range out {
		at := slices.Index(findings, o.Verdict)
		if at < 0 {
			at = 3 // no claim can be made
		}
		t.count[q][at]++
		if wide {
			t.half[q] = append(t.half[q], o.Half)
		}
	}
}

func (t *tally) add(o *tally) {
	t.studies, t.refused = t.studies+o.studies, t.refused+o.refused
	for q := range t.count {
		for k, n := range o.count[q] {
			t.count[q][k] += n
		}
		t.half[q] = append(t.half[q], o.half[q]...)
	}
}

// share of all studies, those refused included.
func (t *tally) share(q, finding int) Share {
	n := float64(t.studies)
	p := float64(t.count[q][finding]) / n
	return Share{p, math.Sqrt(p * (1 - p) / n)}
}

// power of question q.
func (b *bench) power(t *tally, q int) Share {
	return t.share(q, slices.Index(findings, b.plan.Questions[q].calls(b.layout.Ask.Scale, b.plan.Level)))
}

// result turns counts into chances.
func (b *bench) result(t *tally) *Result {
	r := &Result{
		Specimens: b.plan.smallest(), Falls: b.plan.Falls, Drops: b.plan.Drops(),
		Studies: t.studies, Refused: t.refused, Fitted: b.balanced == nil,
		Said: b.said(), Notes: append([]string{}, b.notes...),
	}
	for q, question := range b.plan.Questions {
		c := Chance{
			Question: question.Question, Truth: question.Truth, Calls: question.calls(b.layout.Ask.Scale, b.plan.Level),
			Power: b.power(t, q), Higher: t.share(q, 0), Lower: t.share(q, 1), NoDifference: t.share(q, 2),
			Half: width(t.half[q]), Exact: b.exact(q),
		}
		c.NotSettled = t.share(q, 3)
		c.NotSettled.P += float64(t.refused) / float64(t.studies)
		c.NotSettled.SE = math.Sqrt(c.NotSettled.P * (1 - c.NotSettled.P) / float64(t.studies))
		r.Chances = append(r.Chances, c)
	}
	if t.refused > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d of %d simulated studies could not be fitted and count as not settled", t.refused, t.studies))
	}
	return r
}

// said is where the variances come from, and those that the simulation has.
func (b *bench) said() string {
	v, unit := b.plan.Variances, ""
	v.Parts = nil
	for i, p := range b.plan.Variances.Parts {
		if slices.Contains(b.used, i) {
			v.Parts = append(v.Parts, p)
		}
	}
	for _, q := range b.plan.Questions {
		if unit == "" {
			unit = q.Unit
		}
	}
	return v.Said(unit)
}

// width is the mean and the 10 % and 90 % points of what has bounds.
func width(half []float64) Width {
	known := slices.DeleteFunc(slices.Clone(half), math.IsNaN)
	nan := math.NaN()
	if len(known) == 0 {
		return Width{nan, nan, nan, 1}
	}
	slices.Sort(known)
	w := Width{P10: point(known, 0.1), P90: point(known, 0.9), Unbounded: 1 - float64(len(known))/float64(len(half))}
	for _, v := range known {
		w.Mean += v / float64(len(known))
	}
	return w
}

// point is the value with a share of the sorted values below it, between
// neighbours along a line.
func point(sorted []float64, share float64) float64 {
	at := share * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}
