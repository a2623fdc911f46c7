package delimited

import (
	"fmt"
	"math"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// drop is the samples [from, to) of one drop.
type drop struct {
	from, to int
	how      how
	no       int    // the line where it begins; 0 for the first
	name     string // the file's own; "" when it has none
	mended   int    // samples put in order
	left     int    // samples left out
	line     int    // of the first of these
	rate     float64
}

// Our own limits to what is mended in the order of a drop's samples.
const (
	mostMended  = 5    // samples a drop
	mendedShare = 0.1  // of its samples
	backSteps   = 3    // usual steps that a stamp may lie back
	startSteps  = 2.5  // usual steps from the first time within which time starts over
	startShare  = 0.01 // of the time passed, likewise
	fewestAnew  = 4    // samples that show that time goes on from its start
)

// drops parts the samples into drops and puts each in order.
func (r *rows) drops() ([]drop, error) {
	var out []drop
	for _, d := range r.parted() {
		for _, d := range r.resets(d) {
			if d.to-d.from < 2 {
				return nil, r.lonely(d)
			}
			if r.t >= 0 && r.falls {
				if err := r.order(&d); err != nil {
					return nil, err
				}
			}
			out = append(out, d)
			if len(out) > mostDrops {
				return nil, r.tooMany(d)
			}
		}
	}
	return out, nil
}

// parted cuts the samples where lines between them do. A header that comes
// again while time goes on evenly, as at the head of a page, parts nothing.
func (r *rows) parted() []drop {
	d := drop{to: len(r.forces), name: r.firstName()}
	var out []drop
	for _, b := range r.breaks {
		if b.how == byHeader && r.goesOn(b.at) || b.at <= d.from {
			continue
		}
		next := drop{from: b.at, to: d.to, how: b.how, no: b.no, name: b.name}
		d.to = b.at
		out = append(out, d)
		if d = next; len(out) > mostDrops {
			break
		}
	}
	return append(out, d)
}

// goesOn reports whether time goes on from sample i-1 to i as it did before.
func (r *rows) goesOn(i int) bool {
	if r.t < 0 || i < 2 {
		return false
	}
	step, before := r.times[i]-r.times[i-1], r.times[i-1]-r.times[i-2]
	return step > 0 && step <= 2*before
}

// resets cuts a drop where time jumps back to its start and goes on from there.
func (r *rows) resets(d drop) []drop {
	if r.t < 0 || !r.falls {
		return []drop{d}
	}
	var out []drop
	for i := d.from + 1; i < d.to; i++ {
		if r.times[i] < r.times[i-1] && r.startsOver(d.from, i, d.to) {
			next := drop{from: i, to: d.to, how: byTime, no: -1}
			d.to = i
			out = append(out, d)
			d = next
		}
	}
	return append(out, d)
}

// startsOver reports whether time, which falls at sample i, is back at its start
// at sample from and goes on from there: by a few samples at least before it is
// where it was, or to the end.
func (r *rows) startsOver(from, i, to int) bool {
	if i-from < 2 {
		return false
	}
	start, last, now := r.times[from], r.times[i-1], r.times[i]
	step := (last - start) / float64(i-1-from)
	if math.Abs(now-start) > max(startSteps*step, startShare*(last-start)) {
		return false
	}
	n := 1
	for n < fewestAnew && i+n < to && r.times[i+n] > r.times[i+n-1] && r.times[i+n] <= last {
		n++
	}
	return n >= fewestAnew || n >= 2 && (i+n == to || now == start)
}

// order sees to it that the times of a drop rise: it puts a few stamps that lie
// a little back in order, leaves out samples with a stamp that was there before,
// and refuses more than that. Stamps that repeat in equal numbers give a rate.
func (r *rows) order(d *drop) error {
	var late []int // the first few
	count := 0
	for i := d.from + 1; i < d.to; i++ {
		if !(r.times[i] > r.times[i-1]) {
			if count++; count <= mostMended {
				late = append(late, i)
			}
		}
	}
	if count == 0 {
		return nil
	}
	n := d.to - d.from
	if count <= mostMended && float64(count) <= mendedShare*float64(n) {
		return r.mend(d, late)
	}
	if rate, ok := r.coarse(d.from, d.to); ok {
		d.rate = rate
		return nil
	}
	return r.backwards(late[0], count, n)
}

// mend puts the late samples in their place and leaves doubled stamps out.
func (r *rows) mend(d *drop, late []int) error {
	step := (r.times[d.to-1] - r.times[d.from]) / float64(d.to-1-d.from)
	for _, i := range late {
		if back := r.times[i-1] - r.times[i]; !(back <= backSteps*step) {
			return r.backwards(i, len(late), d.to-d.from)
		}
	}
	d.line = r.lineOf(late[0])
	for _, i := range late {
		j := i
		for ; j > d.from && r.times[j] < r.times[j-1]; j-- {
			r.swap(j, j-1)
		}
		if j < i && !(j > d.from && r.times[j] == r.times[j-1]) {
			d.mended++
		}
	}
	keep := d.from + 1
	for i := d.from + 1; i < d.to; i++ {
		if r.times[i] == r.times[keep-1] {
			d.left++
			continue
		}
		r.move(keep, i)
		keep++
	}
	d.to = keep
	if !rising(r.times[d.from:d.to]) {
		return r.backwards(late[0], len(late), d.to-d.from)
	}
	return nil
}

func (r *rows) each(do func(v []float64)) {
	for _, v := range [][]float64{r.times, r.forces, r.stretch.values, r.gate.values} {
		if v != nil {
			do(v)
		}
	}
}

func (r *rows) swap(i, j int) { r.each(func(v []float64) { v[i], v[j] = v[j], v[i] }) }

func (r *rows) move(to, from int) { r.each(func(v []float64) { v[to] = v[from] }) }

// coarse returns the rate of stamps that stand still in equal numbers, as whole
// seconds do: each stamp but the first and the last as often as every other, and
// evenly apart, two of them at least.
func (r *rows) coarse(from, to int) (hertz float64, ok bool) {
	first, last := r.times[from], r.times[from]
	count, each, step, whole := 0, 0, 0.0, 0
	for _, t := range r.times[from:to] {
		if t == last {
			count++
			continue
		}
		if t < last {
			return 0, false
		}
		switch {
		case last == first:
			step = t - last
		case whole == 0:
			each, whole = count, 1
		case count != each:
			return 0, false
		default:
			whole++
		}
		if math.Abs(t-last-step) > 1e-6*step {
			return 0, false
		}
		last, count = t, 1
	}
	atEnds := 0
	for i := from; i < to && r.times[i] == first; i++ {
		atEnds++
	}
	if whole < 2 || each < 2 || count > each || atEnds > each {
		return 0, false
	}
	return float64(each) / r.TimeUnit.SI(step), true
}

// lineOf is the number of the line that sample i was read from. It reads the
// rows before it once more, from the nearest way on.
func (r *rows) lineOf(i int) int {
	if r.rest != nil {
		return 0 // what names it is a refusal, and is found again in the whole
	}
	w := r.ways[i/waySamples]
	again := r.newRows(r.table, r.Choice, r.dialect)
	again.no, again.until = w.no, i%waySamples+1
	again.stretch.column.No, again.gate.column.No = 0, 0
	if err := again.walk(r.body, w.from); err != nil {
		return w.no + 1
	}
	return again.lastRow
}

// notes say what was done to the order of a drop.
func (d drop) notes(times string) []trace.Note {
	var out []trace.Note
	add := func(format string, args ...any) {
		out = append(out, trace.Note{Grade: trace.Doubtful, Text: fmt.Sprintf(format, args...)})
	}
	if d.mended > 0 {
		add("%s of %s lay behind the one before, the first on line %d: put in order of time; look at the stamps, or give --rate", traceio.Count(d.mended, "stamp"), times, d.line)
	}
	if d.left > 0 {
		add("%s of %s stood there twice, the first on line %d: the later sample was left out; look at the stamps, or give --rate", traceio.Count(d.left, "stamp"), times, d.line)
	}
	if d.rate > 0 {
		add("the stamps of %s are too coarse, but come in equal numbers: time counts from %s; if it is another rate, give --rate", times, hertz(d.rate))
	}
	return out
}

func hertz(rate float64) string { return strconv.FormatFloat(rate, 'g', 10, 64) + " Hz" }

// backwards refuses a time that is not later than the one before.
func (r *rows) backwards(i, late, of int) error {
	time, before := r.times[i], r.times[i-1]
	show := func(v float64) string {
		if r.clock.begun {
			seconds := strconv.FormatFloat(math.Mod(v, 60), 'f', -1, 64)
			if len(seconds) == 1 || seconds[1] == '.' {
				seconds = "0" + seconds
			}
			return fmt.Sprintf("%02d:%02d:%s", int(v/3600)%24, int(v/60)%60, seconds)
		}
		return strconv.FormatFloat(v, 'g', -1, 64) + " " + r.TimeUnit.Symbol
	}
	what := "goes back from " + show(before) + " to " + show(time)
	if time == before {
		what = "stands still at " + show(time)
	}
	p := r.refuse(problem.Unreadable, r.lineOf(i), "%s %s", r.Time, what)
	if late > 1 {
		p.What += fmt.Sprintf(", and %d of %d stamps are no later than the one before", late, of)
	}
	if 10*late > 9*of && time < before {
		return p.Hint("the rows go from the newest to the oldest: sort them by time; a rate would read the drop backwards")
	}
	if time == before {
		p.Hint("if the stamps were rounded and the samples are evenly spaced, give the rate: --rate HZ")
	} else {
		p.Hint("if a second recording begins here, put each in a file of its own")
		p.Hint("if the samples are evenly spaced all the same, give the rate: --rate HZ")
	}
	return p
}
