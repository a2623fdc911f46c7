package trace

import "math"

// flatFewest is how many equal samples in a row make a flat.
const flatFewest = 4 // one fewer when it is reached more than once

// judgeClipping finds a top that is flat for most of the time that the trace
// spends near it, or that is reached again and again to the last digit. A
// rounded top of small steps is flat only for a little.
func (t *take) judgeClipping() {
	t.judgeLimit(+1, Missing, "the top is flat for %d samples at %.5g N: the cell or the logger was at its limit, the true peak is higher")
	t.judgeLimit(-1, Doubtful, "the lowest level is flat for %d samples at %.5g N: the cell or the logger was at its limit there")
}

func (t *take) judgeLimit(sign float64, grade Grade, text string) {
	turned, f := sign*t.zero.sign, t.rec.Force // as recorded: a drift taken off would bend a flat
	level, at, touched := t.wide.high, t.wide.highAt, t.wide.highs
	if turned < 0 {
		level, at, touched = t.wide.low, t.wide.lowAt, t.wide.lows
	}
	height := sign * t.raw[at] // above zero
	if height < clearOfZero*float64(t.r.PeakForce) {
		return
	}
	longest, place := 1, at
	for i := at; touched > 1 && i < len(f); i++ {
		if f[i] != level {
			continue
		}
		run := i
		for run < len(f) && f[run] == level {
			run++
		}
		if run-i > longest {
			longest, place = run-i, i
		}
		i = run
	}
	from, to := place, place+longest-1
	for from > 0 && sign*t.raw[from-1] > 0.95*height {
		from--
	}
	for to+1 < len(f) && sign*t.raw[to+1] > 0.95*height {
		to++
	}
	// Below a rounded top the next step of the converter is reached soon: its
	// flat is no more than 2.4 times as long as the next.
	step := float64(t.r.Resolution)
	next := 0
	for i := from; i <= to; i++ {
		if below := math.Abs(f[i] - level); below > 0 && below < 1.5*step {
			next++
		}
	}
	coarse := step * t.edgeLift()
	flat := longest >= flatFewest || longest == flatFewest-1 && touched > longest && coarse < 0.01*height
	sharp := 2*longest > to-from+1 && touched > flatOver*next
	// Noise well above a step does not give the same value again and again.
	again := t.zero.noise > 2*coarse && (longest >= flatFewest || touched >= 2*flatFewest)
	if grade == Missing && !again && coarse*flatSteps > height {
		grade = Doubtful // with so few steps a rounded top may look as flat
	}
	if flat && sharp || again {
		t.note(grade, text, max(longest, touched), sign*height)
		t.lost = t.lost || sign > 0 && grade == Missing
		t.clipped = t.clipped || sign > 0
	}
}

// flatSteps is the converter's steps to the peak below which a flat top tells
// little.
const flatSteps = 25

// judgeFlatTop remarks on a top that is bent far less than that of a catch as
// long: half a sine of its length D has a bend of F·(π/D)² there. A cell or an
// amplifier at its limit flattens a top also where noise hides it from equality.
func (t *take) judgeFlatTop() {
	c := t.r.Contacts[t.best]
	if t.clipped || c.Begun || c.Open {
		return
	}
	at, long := t.sampleAt(c.PeakAt), c.End-c.Start
	half := min(int(topShare*long/t.pace.usual), at, len(t.raw)-1-at)
	if half < 5 {
		return
	}
	// The middle of the stretch above 0.97 of the peak, since noise chooses the
	// largest sample of a flat anywhere.
	from, to := at, at
	for from > c.From && t.calm[from-1] > 0.97*c.Peak {
		from--
	}
	for to < c.To && t.calm[to+1] > 0.97*c.Peak {
		to++
	}
	if at = (from + to) / 2; at-half < 0 || at+half >= len(t.raw) {
		return
	}
	fit := bendOf(t.rec.Time, t.raw, at, half)
	if expected := c.Peak * math.Pow(math.Pi/long, 2); fit < flatBend*expected {
		t.note(Doubtful, "the top is bent %.2g times as much as that of half a sine as long: the cell or its amplifier may have been at its limit, and the true peak higher", math.Max(0, fit/expected))
	}
}

// flatBend is the share of a half-sine's bend below which a top is remarked.
const flatBend = 0.25

// bendOf is how much a force is bent downward about a sample, N/s²: from the
// slopes of the lines of least squares through the samples before and after it.
func bendOf(time, force []float64, at, half int) float64 {
	before, after := line{}, line{}
	for i := at - half; i <= at; i++ {
		before.add(time[i], force[i])
	}
	for i := at; i <= at+half; i++ {
		after.add(time[i], force[i])
	}
	return (before.slope() - after.slope()) / (after.meanX - before.meanX)
}

// flatOver is how many times as long as the next step's a clipped flat is.
const flatOver = 3

// clearOfZero is the share of the peak from which a lowest level is a limit.
const clearOfZero = 0.2

// judgeStuck finds samples that stand still inside a contact and then jump: the
// logger held its last value.
func (t *take) judgeStuck() {
	step := float64(t.r.Resolution) * t.edgeLift()
	jump := max(8*t.zero.noise, 4*step, 0.01*float64(t.r.PeakForce))
	for k, c := range t.r.Contacts {
		f := t.raw[c.From : c.To+1]
		for i := 0; i+1 < len(f); i += flatFewest - 1 { // in any flat one of these has another after it
			if f[i] != f[i+1] {
				continue
			}
			from, to := i, i+1
			for from > 0 && f[from-1] == f[i] {
				from--
			}
			for to < len(f) && f[to] == f[i] {
				to++
			}
			if to-from >= flatFewest && to < len(f) && math.Abs(f[to]-f[i]) > jump {
				t.note(Doubtful, "the force stands still for %d samples at %.4g s in contact %d and then jumps by %.3g N: the logger held a value", to-from, t.rec.Time[c.From+from], k+1, f[to]-f[i])
				return
			}
			i = to - (flatFewest - 1)
		}
	}
}

// doubledShare is the share of pairs that must be equal to call samples doubled,
// doubledFewest the pairs that it takes.
const (
	doubledShare  = 0.9
	doubledFewest = 10
)

// judgeDoubled finds a trace in which each sample stands twice: the logger wrote
// faster than it measured.
func (t *take) judgeDoubled() {
	c := t.r.Contacts[t.best]
	n := c.To - c.From
	equal, differ, pairs := [2]int{}, [2]int{}, [2]int{n / 2, (n + 1) / 2}
	most := (1-doubledShare)*float64(pairs[1]) + 2 // that differ, with room for rounding
	for i := 1; i <= n; i++ {
		if t.raw[c.From+i] == t.raw[c.From+i-1] {
			equal[i%2]++
		} else if differ[i%2]++; float64(min(differ[0], differ[1])) > most {
			return // neither half can be equal any more
		}
	}
	for odd := range 2 {
		other := 1 - odd
		if pairs[odd] >= doubledFewest && float64(equal[odd]) > doubledShare*float64(pairs[odd]) && float64(equal[other]) < (1-doubledShare)*float64(pairs[other]) {
			t.note(Doubtful, "each sample stands twice: the force was measured %.6g times a second, half as often as it was written", t.pace.rate/2)
			return
		}
	}
}
