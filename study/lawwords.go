package study

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fallwright.example/fall/fit"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
)

// Residuals over noise from which a law is said to fail, and up to which to hold.
// Common practice, no source.
const (
	lawFails = 1.5
	lawHolds = 1.15
)

// LawFallRow is one fall as the law has it, beside what was measured.
type LawFallRow struct {
	Name                 string
	Number               int
	Rest                 float64 // s before it; 0 for the first
	SD, Noise            float64 // N, of what a fit of the fall alone leaves, and of the baseline
	Course               float64 // N, what the fit of the series leaves; NaN without one
	Peak, MeasuredPeak   float64 // N, by the law and by the reading
	Energy, Measured     float64 // J absorbed in the first contact; NaN where it is not known
	Stretch, MeasuredMax float64 // m
	Phases               []fit.Phase
}

// Rows are the falls.
func (l *Law) Rows() []LawFallRow {
	var out []LawFallRow
	for i, f := range l.Falls {
		one := l.Fits[i]
		r := LawFallRow{
			Name: f.Name, Number: f.Number, SD: one.SD, Course: math.NaN(), Noise: one.Noise, Phases: one.Phases,
			Peak: one.Peak, MeasuredPeak: float64(f.Reading.PeakForce),
			Energy: one.Absorbed, Measured: float64(f.Reading.EnergyAbsorbed),
			Stretch: one.Stretch, MeasuredMax: float64(f.Reading.MaxStretch),
		}
		if l.Course != nil {
			r.Course = l.Course.Residual[i]
		}
		if i > 0 {
			r.Rest = f.Rest
		}
		out = append(out, r)
	}
	return out
}

// Sentences say which law it is, how well it holds, where it fails, how it was
// chosen, and what the series does.
func (l *Law) Sentences() []string {
	out := []string{l.holds()}
	out = append(out, l.failing()...)
	out = append(out, l.doubted()...)
	out = append(out, l.choice()...)
	if l.Course != nil {
		out = append(out, l.course()...)
	}
	for _, why := range l.Left {
		out = append(out, upperFirst(why)+".")
	}
	return out
}

func (l *Law) holds() string {
	worst, at := 0.0, 0
	rows := l.Rows()
	for i, r := range rows {
		if q := r.SD / r.Noise; q > worst {
			worst, at = q, i
		}
	}
	what := "the fall with its bounces"
	if len(rows) > 1 {
		what = figure.Counted(len(rows), "fall") + ", each by itself"
	}
	word := "holds"
	switch {
	case worst > lawFails:
		word = "does not hold"
	case worst > lawHolds:
		word = "nearly holds"
	}
	r, where := rows[at], ""
	if len(rows) > 1 {
		where = fmt.Sprintf(" at the worst, in fall %d,", r.Number)
	}
	return fmt.Sprintf("The %s law, fitted to %s, %s: what it leaves has%s a standard deviation of %s, and the trace a noise of %s (%s times).",
		l.Form.Name, what, word, where, newtons(r.SD), newtons(r.Noise), figure.Fixed(worst, 2))
}

// newtons writes a force to two digits or whole.
func newtons(v float64) string {
	switch {
	case v >= 9.95:
		return figure.Fixed(v, 0) + "\u202fN"
	case v >= 0.95:
		return figure.Fixed(v, 1) + "\u202fN"
	}
	return strconv.FormatFloat(v, 'g', 2, 64) + "\u202fN"
}

// failing says in which part of a fall the law is furthest from the trace.
func (l *Law) failing() []string {
	var worst fit.Phase
	ratio, number := 0.0, 0
	for _, r := range l.Rows() {
		for _, p := range r.Phases {
			if p.N > 0 && p.RMS/r.Noise > ratio {
				worst, ratio, number = p, p.RMS/r.Noise, r.Number
			}
		}
	}
	if ratio <= lawFails {
		return nil
	}
	where := "while " + worst.Name
	switch worst.Name {
	case "top":
		where = "around the peak"
	case "bounces":
		where = "in the bounces"
	}
	if len(l.Falls) > 1 {
		where += fmt.Sprintf(" of fall %d", number)
	}
	side := "above"
	if worst.Mean < 0 {
		side = "below"
	}
	return []string{fmt.Sprintf("It fails most %s: %s root mean square, where the trace lies %s %s it on average.",
		where, newtons(worst.RMS), newtons(math.Abs(worst.Mean)), side)}
}

// farOff is the share of the weight by which a rope at rest may pull otherwise
// than the mass weighs before the mass is doubted. Common practice, no source.
const farOff = 0.2

// doubted asks, where a law does not hold, whether the setting is that of the fall.
func (l *Law) doubted() []string {
	if !l.Fails() {
		return nil
	}
	for _, f := range l.Falls {
		weight := f.Setting.Mass * f.Setting.Gravity
		if hang := float64(f.Reading.HangWeight); math.Abs(hang-weight) > farOff*weight {
			return []string{fmt.Sprintf("Look at the mass first: the rope hangs at %s at the end, and %s weigh %s.",
				newtons(hang), quantity.Format(f.Setting.Mass, quantity.Mass), newtons(weight))}
		}
	}
	return []string{"Before the law is blamed, look whether mass, drop and length are those of the fall: a wrong one looks the same."}
}

// Fails reports whether the law leaves more than noise explains in some fall, so
// that neither its parameters nor their intervals are the rope's.
func (l *Law) Fails() bool { return l.worst() > lawFails }

// worst is the largest share of what is left over the noise.
func (l *Law) worst() float64 {
	worst := 0.0
	for _, f := range l.Fits {
		worst = max(worst, f.SD/f.Noise)
	}
	return worst
}

// choice says how the law was chosen; nothing for one that was named.
func (l *Law) choice() []string {
	var out []string
	if len(l.Ranks) > 1 {
		var names []string
		var few []string
		for _, r := range l.Ranks {
			if math.IsNaN(r.Behind) || math.IsInf(r.Behind, 0) {
				few = append(few, r.Name)
				continue
			}
			names = append(names, fmt.Sprintf("%s %s", r.Name, figure.Fixed(r.Behind, 1)))
		}
		if len(names) > 0 {
			out = append(out, fmt.Sprintf("By AICc, above the best: %s.", strings.Join(names, ", ")))
		}
		if len(few) > 0 {
			out = append(out, fmt.Sprintf("Too little in the trace stands by itself for an AICc of: %s.", strings.Join(few, ", ")))
		}
	}
	if len(l.Next) > 0 {
		var names []string
		for _, n := range l.Next {
			names = append(names, fmt.Sprintf("%s to within %s", n.Name, newtons(n.Out)))
		}
		out = append(out, fmt.Sprintf("From the falls before it the last is foretold by %s, with a noise of %s.", strings.Join(names, ", "), newtons(l.Next[0].Noise)))
	}
	if len(out) > 0 && len(l.Ranks) > 1 {
		by := "the simplest that AICc cannot tell from the best"
		if len(l.Next) > 1 {
			by = "the simplest that foretells within a twentieth of the best"
		}
		out = append(out, fmt.Sprintf("%s is taken: %s.", upperFirst(l.Form.Name), by))
	}
	return out
}

func upperFirst(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// course says what the series does to the rope.
func (l *Law) course() []string {
	var out []string
	c, last := l.Course, len(l.Falls)
	one, end := c.Known(1), c.Known(last)
	for i, t := range c.Terms[:len(end.Values)] {
		ratio := end.Values[i] / one.Values[i]
		if t.First == t.Last {
			continue
		}
		word, settled := "rises", ""
		if ratio < 1 {
			word = "falls"
		}
		if !apart95(t.First, t.Last) {
			settled = ", which the intervals do not settle"
		}
		out = append(out, fmt.Sprintf("The %s %s by %s\u202f%% from fall %d to fall %d%s.", t.Name, word, figure.Fixed(100*math.Abs(ratio-1), 1),
			l.Falls[0].Number, l.Falls[last-1].Number, settled))
	}
	pace := fmt.Sprintf("Of what is still to change, a fall does 63\u202f%% in %s.", within(c.Pace, "falls"))
	if c.Pace.Open {
		pace = "How many falls it takes to settle is not settled by these."
	}
	out = append(out, pace)
	switch {
	case math.IsNaN(c.Recovery.Value):
		out = append(out, "Whether rest brings it back cannot be told: the rests are too much alike.")
	case c.Recovery.AtBound || c.Recovery.Upper > 1e7:
		out = append(out, "No recovery over the rests is seen.")
	default:
		r := c.Recovery
		text := quantity.Format(math.Round(r.Value), quantity.Time)
		if r.Open {
			text += ", which these rests do not settle"
		}
		out = append(out, fmt.Sprintf("Rest brings it back: 63\u202f%% in %s.", text))
	}
	if c.SD > lawFails {
		worst := 0.0
		for _, r := range c.Residual {
			worst = max(worst, r)
		}
		out = append(out, fmt.Sprintf("Falls differ from this course %s times as much as noise lets them, which leaves up to %s; intervals are widened by that.",
			figure.Fixed(c.SD, 1), newtons(worst)))
	}
	return out
}

// apart95 reports whether two intervals do not overlap.
func apart95(a, b fit.Parameter) bool { return a.Upper < b.Lower || b.Upper < a.Lower }

func within(p fit.Parameter, unit string) string {
	return fmt.Sprintf("%s %s (95\u202f%%: %s)", Digits(p.Value, 3), unit, LawInterval(p))
}

// Digits writes a number to so many digits, without a power of ten.
func Digits(v float64, n int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return figure.Missing
	}
	r, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'e', n-1, 64), 64) // what was just written
	return strings.Replace(strconv.FormatFloat(r, 'f', -1, 64), "-", "−", 1)
}

// PlusMinus writes a number with its standard uncertainty u, this to two digits and
// the number at least as far.
func PlusMinus(v, u float64) string {
	n := 4
	if v != 0 && u > 0 {
		n = max(n, int(math.Floor(math.Log10(math.Abs(v)))-math.Floor(math.Log10(u)))+2)
	}
	return Digits(v, n) + " ± " + Digits(u, 2)
}

// LawInterval writes the 95 % interval of a parameter; one without an end says so.
func LawInterval(p fit.Parameter) string {
	low, high := p.Lower > 0 || p.Value <= 0, !math.IsInf(p.Upper, 1)
	switch {
	case math.IsNaN(p.Lower) || math.IsNaN(p.Upper):
		return figure.Missing
	case low && high:
		a, b := Digits(p.Lower, 3), Digits(p.Upper, 3)
		for n := 4; n <= 7 && p.Lower < p.Value && p.Value < p.Upper; n++ { // until the limits are not the value itself
			if v := Digits(p.Value, n-1); v != a && v != b {
				break
			}
			a, b = Digits(p.Lower, n), Digits(p.Upper, n)
		}
		return a + " to " + b
	case high:
		return "up to " + Digits(p.Upper, 3)
	case low:
		return "from " + Digits(p.Lower, 3)
	}
	return "anything"
}

// LawNote says of a parameter what its numbers do not.
func LawNote(p fit.Parameter) string {
	switch {
	case p.AtBound && p.Name == "guide friction" && p.Lower <= 0:
		return "none is seen"
	case p.AtBound:
		return "at the end of what is allowed: the data would have it further"
	case p.Open:
		return "not settled: the interval spans a factor of ten or more"
	}
	return ""
}

// SettlingNote is LawNote of a parameter that may change over a series.
func SettlingNote(s fit.Settling) string {
	if note := LawNote(s.First); note != "" || s.First == s.Last || !s.Last.Open && !s.Last.AtBound {
		return note
	}
	return "where it tends to is not settled"
}

// Method says how the law was fitted.
func (l *Law) Method() string {
	text := fmt.Sprintf("Least squares of recorded against simulated force, means over blocks of samples (%s Hz); guide friction, moment of contact and zero are fitted with the law. ",
		figure.Fixed(l.Fits[0].Rate, 0))
	if l.Course != nil {
		text += "Each fall by itself, then all at once: moduli and friction settle from the first fall to a last value at one pace; the intervals are of that. "
	}
	text += "Energy absorbed as measured is what the mass gave up, counted from a free fall: friction of the guide is in it and makes it the larger; by the law it is the rope's alone. "
	return text + "Intervals are of 95 %, by the noise and what of the residuals hangs together; they hold where the law does, and nothing of mass, drop, length or the cell's calibration is in them."
}
