package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// sentence is the finding in plain words.
func sentence(a Answer) string {
	q, d, v := a.Question, a.Difference, a.Question.view(a.Difference)
	counts := fmt.Sprintf("%d and %d specimens", d.N, d.NBaseline)
	switch a.Verdict {
	case Higher, Lower:
		return fmt.Sprintf("%s: %s %s than %s %s (95 %% interval %s; %s).", q.Condition,
			q.apart(v.estimate), q.Measure, q.Baseline, fallWords(q.Falls), q.between(v.lower, v.upper), counts)
	case NoDifference:
		return fmt.Sprintf("%s: no difference that matters in %s from %s %s, %s (90 %% interval %s, inside the margin of %s; %s).",
			q.Condition, q.Measure, q.Baseline, fallWords(q.Falls), q.apart(v.estimate),
			q.between(v.lower90, v.upper90), q.show(v.margin), counts)
	case NotSettled:
		return fmt.Sprintf("%s: not settled whether its %s differs from %s %s, %s (95 %% interval %s, margin %s; %s)%s.",
			q.Condition, q.Measure, q.Baseline, fallWords(q.Falls), q.apart(v.estimate),
			q.between(v.lower, v.upper), q.show(v.margin), counts, settling(a, v))
	}
	return fmt.Sprintf("%s: no claim about its %s against %s %s%s (%s).",
		q.Condition, q.Measure, q.Baseline, fallWords(q.Falls), onlySeen(q, d), counts)
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
func onlySeen(q Question, d Difference) string {
	if math.IsNaN(q.view(d).estimate) {
		q.Share = 0
	}
	if x := q.view(d).estimate; !math.IsNaN(x) {
		return ", " + q.apart(x)
	}
	return ""
}

// settling says what would bring the interval down to the margin.
func settling(a Answer, v view) string {
	switch {
	case a.Needed > 0:
		return fmt.Sprintf("; about %d specimens a condition would narrow the interval to the margin at the spread seen", a.Needed)
	case v.narrow():
		return "; the interval is as narrow as the margin already, the difference lies too close to the margin to call"
	}
	return ""
}

// rule is the rule that gives the verdict, with the question's own margin.
func rule(q Question) string {
	scale := "the 95 % Welch interval"
	if q.Share > 0 {
		scale = "the 95 % Welch interval of the ratio of geometric means"
	}
	return fmt.Sprintf("%s or %s when %s excludes zero and the estimate lies at or beyond the margin of %s; "+
		"%s when the 90 %% interval lies wholly inside the margin (two one-sided tests at 5 %%); otherwise %s. "+
		"No adjustment for several comparisons.",
		Higher.Word(q.Measure), Lower.Word(q.Measure), scale, q.show(q.view(Difference{}).margin), NoDifference, NotSettled)
}

// apart is an estimate with its direction: "9.8 % higher".
func (q Question) apart(x float64) string {
	return q.show(math.Abs(x)) + " " + direction(x)
}

// between is an interval in the same words. Limits of one sign share it with
// the estimate between them and go without: "6.1 to 13.6 %".
func (q Question) between(lower, upper float64) string {
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

// fallWords is "at fall 5", "over falls 1 to 5" or "over falls 1, 3 and 5".
func fallWords(falls []int) string {
	if len(falls) == 1 {
		return fmt.Sprintf("at fall %d", falls[0])
	}
	return "over falls " + list(falls)
}

func list(falls []int) string {
	falls = slices.Sorted(slices.Values(falls))
	last := len(falls) - 1
	if last > 1 && falls[last]-falls[0] == last {
		return fmt.Sprintf("%d to %d", falls[0], falls[last])
	}
	text := fmt.Sprint(falls[0])
	for _, f := range falls[1:] {
		if f == falls[last] {
			text += " and " + fmt.Sprint(f)
		} else {
			text += ", " + fmt.Sprint(f)
		}
	}
	return text
}
