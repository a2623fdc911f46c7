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

// Parts is a finding's sentence in three: what was found, what that rests on, and
// what would settle it, empty where that is not known or not needed.
type Parts struct{ Found, Rests, Settles string }

// sentence puts them together.
func (p Parts) sentence() string {
	text := p.Found + " (" + p.Rests + ")"
	if p.Settles != "" {
		text += "; " + p.Settles
	}
	return text + "."
}

// parts is the finding in plain words.
func (m manner) parts(a Answer) Parts {
	q, d, v := a.Question, a.Difference, a.Difference.view(a.Question.margin())
	counts := fmt.Sprintf("%d and %d %s", d.N, d.NBaseline, m.unit)
	subject, other, what := q.sayings(d)
	wide, tight := m.interval(95)+" "+q.between(v.lower, v.upper), m.interval(90)+" "+q.between(v.lower90, v.upper90)
	switch a.Verdict {
	case Higher, Lower:
		return Parts{
			Found: fmt.Sprintf("%s: %s", subject, q.seen(v.estimate, other)),
			Rests: fmt.Sprintf("%s; %s", wide, counts),
		}
	case NoDifference:
		inside := ", inside the margin of "
		if !v.inside() {
			inside = ", margin " // a note says why it is none all the same
		}
		return Parts{
			Found: fmt.Sprintf("%s: no difference that matters in %s from %s", subject, what, other),
			Rests: fmt.Sprintf("seen %s, %s%s%s; %s", q.apart(v.estimate), tight, inside, q.show(v.margin), counts),
		}
	case NotSettled:
		return Parts{
			Found:   fmt.Sprintf("%s: not settled whether its %s differs from %s", subject, what, other),
			Rests:   fmt.Sprintf("seen %s, %s, margin %s; %s", q.apart(v.estimate), wide, q.show(v.margin), counts),
			Settles: m.settling(a.Settle),
		}
	}
	return Parts{
		Found: fmt.Sprintf("%s: no claim about its %s against %s%s", subject, what, other, m.onlySeen(q, d)),
		Rests: counts,
	}
}

// sayings are what a sentence calls the two sides and what is compared.
func (q Question) sayings(d Difference) (subject, other, what string) {
	subject, other, what = q.Condition, q.Baseline+fallWords(d.over()), q.Measure
	if q.Trend {
		what = "trend of " + q.Measure
	}
	if len(q.BaselineFalls) > 0 {
		subject += fallWords(d.over())
		if q.own() {
			other = "its own"
		} else {
			other = q.Baseline
		}
		other += fallWords(q.BaselineFalls)
	}
	return subject, other, what
}

// seen is a difference in words: "9.8 % higher peak force than Marram dry at
// fall 5".
func (q Question) seen(x float64, other string) string {
	if q.Trend {
		word := "above"
		if x < 0 {
			word = "below"
		}
		return fmt.Sprintf("the trend of its %s is %s a fall %s that of %s", q.Measure, q.show(math.Abs(x)), word, other)
	}
	return fmt.Sprintf("%s %s than %s", q.apart(x), q.Measure, other)
}

// inside reports whether the 90 % interval lies within the margin.
func (v view) inside() bool { return v.lower90 > -v.margin && v.upper90 < v.margin }

// aside reports whether the 95 % interval leaves zero out.
func (v view) aside() bool { return v.lower > 0 || v.upper < 0 }

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
	for _, part := range []*string{&a.Parts.Found, &a.Parts.Rests, &a.Parts.Settles} {
		*part = tied.Replace(*part)
	}
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
		return fmt.Sprintf("%s; were there none, %s would show that (%s with 90 %%)", seen, number(s.None80), number(s.None90))
	case s.Seen80 > 0:
		return fmt.Sprintf("%s; were there none, more than %d would be needed to show that", seen, most)
	case s.None80 > 0:
		return fmt.Sprintf("the difference seen lies so near the margin that even %d %s a condition would not settle it with 80 %% power; "+
			"if there is none, about %s would show that (%s with 90 %%)", most, m.unit, number(s.None80), number(s.None90))
	}
	return fmt.Sprintf("at the spread seen even %d %s a condition would not settle it with 80 %% power", most, m.unit)
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
	if q.Trend {
		what += " of a fall's change"
	}
	seen := fmt.Sprintf("the %s of the %s excludes zero (p < 0.05)", m.interval(95), what)
	sided := q.Claim.side() != 0 && !(m.adjusted() && m.adjust == Joint)
	if sided {
		seen = fmt.Sprintf("the %s of the %s lies wholly on the side asked for (one-sided p < 0.05)", m.interval(90), what)
	}
	none := fmt.Sprintf("the %s lies wholly inside the margin (two one-sided tests at 5 %%)", m.interval(90))
	if m.adjusted() && m.adjust == Holm { // whose steps the intervals do not follow
		seen = fmt.Sprintf("the p of the %s is below 0.05 after Holm's steps over %d questions", what, m.asked)
		if sided {
			seen = "the one-sided" + strings.TrimPrefix(seen, "the")
		}
		none = "both one-sided tests against the margin have p below 0.05 after the same steps"
	}
	return fmt.Sprintf("%s when %s and the estimate lies at or beyond the margin of %s; "+
		"%s when %s; %s with fewer than two %s in a condition; otherwise %s. Mixed model, degrees of freedom by %s. %s",
		q.finds(), seen, q.show(q.marginShown()),
		NoDifference, none, NoClaim, m.unit, NotSettled, m.by, m.adjustment())
}

// finds are the differences that the question can find.
func (q Question) finds() string {
	higher, lower := Higher.Word(q.Measure), Lower.Word(q.Measure)
	switch q.Claim {
	case ClaimHigher:
		return higher
	case ClaimLower:
		return lower
	}
	return higher + " or " + lower
}

func (m manner) adjustment() string {
	switch {
	case m.asked <= 1:
		return "One question, so nothing to adjust for."
	case m.adjust == Holm:
		return fmt.Sprintf("The intervals shown are by Bonferroni's share of %d, a little wider than what decides.", m.asked)
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
