package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/num/lmm"
)

// manner is how the questions that were put together were answered, for words.
type manner struct {
	adjust Adjust
	asked  int // questions in the family
	scale  Scale
	by     lmm.DF
	unit   string // of evidence: "specimens", or "values"
}

// adjusted reports whether the numbers allow for the other questions.
func (m manner) adjusted() bool { return m.asked > 1 && (m.adjust == Holm || m.adjust == Joint) }

// interval is what an interval is called: "95 % interval".
func (m manner) interval(level int) string {
	text := fmt.Sprintf("%d %% interval", level)
	if m.adjusted() {
		text += fmt.Sprintf(" adjusted for %d questions", m.asked)
	}
	return text
}

// sentence is the finding in plain words.
func (m manner) sentence(a Answer) string {
	q, d, v := a.Question, a.Difference, a.Difference.view(a.Question.margin())
	counts := fmt.Sprintf("%d and %d %s", d.N, d.NBaseline, m.unit)
	where := fallWords(d.over())
	wide, tight := q.between(v.lower, v.upper), q.between(v.lower90, v.upper90)
	switch a.Verdict {
	case Higher, Lower:
		return fmt.Sprintf("%s: %s %s than %s%s (%s %s; %s).",
			q.Condition, q.apart(v.estimate), q.Measure, q.Baseline, where, m.interval(95), wide, counts)
	case NoDifference:
		return fmt.Sprintf("%s: no difference that matters in %s from %s%s, %s (%s %s, inside the margin of %s; %s).",
			q.Condition, q.Measure, q.Baseline, where, q.apart(v.estimate), m.interval(90), tight, q.show(v.margin), counts)
	case NotSettled:
		return fmt.Sprintf("%s: not settled whether its %s differs from %s%s, %s (%s %s, margin %s; %s)%s.",
			q.Condition, q.Measure, q.Baseline, where, q.apart(v.estimate), m.interval(95), wide, q.show(v.margin), counts, m.settling(a.Settle))
	}
	return fmt.Sprintf("%s: no claim about its %s against %s%s%s (%s).",
		q.Condition, q.Measure, q.Baseline, where, m.onlySeen(q, d), counts)
}

// over is the falls of a difference.
func (d Difference) over() []Fall {
	if d.Fall != "" {
		return []Fall{d.Fall}
	}
	return d.Falls
}

// tie keeps each number and its per cent on one line: the space between does
// not break (U+202F, narrow, as figures and reports have it).
func (a *Answer) tie() {
	tied := strings.NewReplacer(" %", "\u202f%")
	a.Sentence, a.Rule = tied.Replace(a.Sentence), tied.Replace(a.Rule)
	for i := range a.Notes {
		a.Notes[i] = tied.Replace(a.Notes[i])
	}
}

// onlySeen is the difference for a sentence that makes no claim of it: on the
// scale of the margin, failing that as an amount, failing that nothing.
func (m manner) onlySeen(q Question, d Difference) string {
	for _, margin := range []Margin{q.margin(), {Share: 1}, {Amount: 1}} {
		if margin.Amount > 0 && m.scale == Log {
			continue // a difference of logarithms is no amount
		}
		if x := d.view(margin).estimate; !math.IsNaN(x) {
			q.Share, q.Amount = margin.Share, margin.Amount
			return ", " + q.apart(x)
		}
	}
	return ""
}

// settling says what would settle the question.
func (m manner) settling(s Settle) string {
	seen := fmt.Sprintf("about %s %s a condition would settle it with 80 %% power (%s with 90 %%) if the difference is what was seen",
		number(s.Seen80), m.unit, number(s.Seen90))
	switch {
	case s == Settle{}:
		return ""
	case s.Seen80 > 0 && s.None80 > 0:
		return fmt.Sprintf("; %s; %s (%s) to show that there is none", seen, number(s.None80), number(s.None90))
	case s.Seen80 > 0:
		return fmt.Sprintf("; %s; more than %d to show that there is none", seen, most)
	case s.None80 > 0:
		return fmt.Sprintf("; the difference seen lies so near the margin that even %d %s a condition would not settle it with 80 %% power; "+
			"if there is none, about %s would show that (%s with 90 %%)", most, m.unit, number(s.None80), number(s.None90))
	}
	return fmt.Sprintf("; at the spread seen even %d %s a condition would not settle it with 80 %% power", most, m.unit)
}

// number is a number of specimens.
func number(n int) string {
	if n < 0 {
		return fmt.Sprintf("more than %d", most)
	}
	return strconv.Itoa(n)
}

// rule is the rule that gives the verdict, with the question's own margin.
func (m manner) rule(q Question) string {
	what := "difference"
	switch {
	case q.Share > 0 && m.scale == Log:
		what = "ratio of geometric means"
	case q.Share > 0:
		what = "difference in per cent of the baseline's mean"
	}
	return fmt.Sprintf("%s or %s when the %s of the %s excludes zero (p < 0.05) and the estimate lies at or beyond the margin of %s; "+
		"%s when the %s lies wholly inside the margin (two one-sided tests at 5 %%); %s with fewer than two %s in a condition; otherwise %s. "+
		"Mixed model, degrees of freedom by %s. %s",
		Higher.Word(q.Measure), Lower.Word(q.Measure), m.interval(95), what, q.show(q.marginShown()),
		NoDifference, m.interval(90), NoClaim, m.unit, NotSettled, m.by, m.adjustment())
}

func (m manner) adjustment() string {
	switch {
	case m.asked <= 1:
		return "One question, so nothing to adjust for."
	case m.adjust == Holm:
		return fmt.Sprintf("p values adjusted by Holm's steps over %d questions, intervals by Bonferroni's share, which are the wider.", m.asked)
	case m.adjust == Joint:
		return fmt.Sprintf("p values and intervals adjusted jointly over %d questions by the multivariate t.", m.asked)
	}
	return fmt.Sprintf("No adjustment for %d questions.", m.asked)
}

// marginShown is the margin on the scale that it is shown on.
func (q Question) marginShown() float64 {
	if q.Share > 0 {
		return 100 * q.Share
	}
	return q.Amount
}

// apart is an estimate with its direction: "9.8 % higher".
func (q Question) apart(x float64) string {
	return q.show(math.Abs(x)) + " " + direction(x)
}

// between is an interval in the same words. Limits of one sign share it with
// the estimate between them and go without: "6.1 to 13.6 %".
func (q Question) between(lower, upper float64) string {
	if math.IsNaN(lower) || math.IsNaN(upper) {
		return "without bounds"
	}
	if lower < 0 && upper > 0 {
		return q.apart(lower) + " to " + q.apart(upper)
	}
	near, far := math.Abs(lower), math.Abs(upper)
	if near > far {
		near, far = far, near
	}
	unit := q.show(far)
	number, _, _ := strings.Cut(q.show(near), " ")
	return number + " to " + unit
}

func direction(x float64) string {
	if x < 0 {
		return "lower"
	}
	return "higher"
}

// show is a number on the scale of the margin with its unit.
func (q Question) show(x float64) string {
	if q.Share > 0 {
		return fmt.Sprintf("%.1f %%", x)
	}
	switch q.Unit {
	case "N":
		return fmt.Sprintf("%.2f kN", x/1000)
	case "m":
		return fmt.Sprintf("%.3f m", x)
	case "m/s":
		return fmt.Sprintf("%.2f m/s", x)
	}
	return strings.TrimSpace(fmt.Sprintf("%.4g %s", x, q.Unit))
}

// fallWords is " at fall 5", " over falls 1 to 5", " over falls 1, 3 and 5", or
// nothing where there are no falls.
func fallWords(falls []Fall) string {
	switch {
	case len(falls) == 0 || len(falls) == 1 && falls[0] == "":
		return ""
	case len(falls) == 1:
		return " at fall " + string(falls[0])
	}
	return " over falls " + list(falls)
}

// list names falls, in order where they are numbers.
func list(falls []Fall) string {
	falls = slices.Clone(falls)
	numbers, run := true, true
	for _, f := range falls {
		_, ok := f.Number()
		numbers = numbers && ok
	}
	if numbers {
		slices.SortFunc(falls, func(a, b Fall) int {
			x, _ := a.Number()
			y, _ := b.Number()
			return cmp.Compare(x, y)
		})
	}
	for i, f := range falls[1:] {
		x, _ := falls[i].Number()
		y, _ := f.Number()
		run = run && y-x == 1
	}
	last := len(falls) - 1
	if numbers && run && last > 1 {
		return fmt.Sprintf("%s to %s", falls[0], falls[last])
	}
	text := string(falls[0])
	for i, f := range falls[1:] {
		if i+1 == last {
			text += " and " + string(f)
		} else {
			text += ", " + string(f)
		}
	}
	return text
}
