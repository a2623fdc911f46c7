package cutlist

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/num/cutting"
	"fallwright.example/num/doe"
	"fallwright.example/problem"
)

// check refuses ropes and demands that are not what they have to be, all at once.
func check(ropes []Rope, d Demand) problem.List {
	var all problem.List
	for i, r := range ropes {
		where := "rope " + r.Name
		if r.Name == "" || slices.IndexFunc(ropes, func(o Rope) bool { return o.Name == r.Name }) != i {
			all = append(all, problem.New(problem.Invalid, fmt.Sprintf("rope %d", i+1), "its name is %q, each rope needs one of its own", r.Name))
		}
		if !(r.Length > 0) || math.IsInf(r.Length, 0) {
			all = append(all, problem.New(problem.Invalid, where, "its length is %g m, it has to be above 0", r.Length))
		}
		if !(r.DiscardStart >= 0 && r.DiscardEnd >= 0 && r.MiddleClear >= 0) || !(r.Middle >= 0 && r.Middle <= r.Length) {
			all = append(all, problem.New(problem.Invalid, where, "%g m and %g m of its ends are discarded and %g m beside the mark at %g m, none of them can be negative and the mark has to be on the rope", r.DiscardStart, r.DiscardEnd, r.MiddleClear, r.Middle))
		}
		for _, b := range r.Damage {
			if !(b.From >= 0 && b.From < b.To && b.To <= r.Length) {
				all = append(all, problem.New(problem.Invalid, where, "its damage runs from %g m to %g m, it has to lie on the rope of %g m and begin before it ends", b.From, b.To, r.Length))
			}
		}
	}
	return append(all, checkDemand(ropes, d)...)
}

func checkDemand(ropes []Rope, d Demand) problem.List {
	var all problem.List
	if d.Knots.Count < 0 || !(d.Knots.TakeUp >= 0 && d.Knots.Tail >= 0 && d.Kerf >= 0 && d.Keep >= 0) || d.MaxRun < 0 {
		all = append(all, problem.New(problem.Invalid, "cut list", "%d knots of %g m and tails of %g m, %g m a cut, pieces kept from %g m, runs of %d: none of them can be negative", d.Knots.Count, d.Knots.TakeUp, d.Knots.Tail, d.Kerf, d.Keep, d.MaxRun))
	}
	pieces := 0
	for i, w := range d.Wants {
		where := "specimens of " + w.name()
		if w.Count < 0 || !(w.FreeLength > 0) || math.IsInf(w.FreeLength, 0) {
			all = append(all, problem.New(problem.Invalid, where, "%d specimens with a free length of %g m, the length has to be above 0", w.Count, w.FreeLength))
		}
		if w.Condition != "" && slices.IndexFunc(d.Wants, func(o Want) bool { return o.Lot == w.Lot && o.Condition == w.Condition }) != i {
			all = append(all, problem.New(problem.Invalid, where, "they are asked for twice").Hint("ask for them once, with the number of both"))
		}
		if !slices.ContainsFunc(ropes, func(r Rope) bool { return r.Lot == w.Lot }) {
			all = append(all, problem.New(problem.Invalid, where, "there is no rope of lot %q", w.Lot))
		}
		pieces += max(w.Count, 0)
	}
	if pieces == 0 {
		all = append(all, problem.New(problem.Invalid, "cut list", "no specimens are asked for"))
	}
	return all
}

// name is what a want is called in a refusal.
func (w Want) name() string {
	if w.Condition == "" {
		return w.Lot + ", spares"
	}
	return w.Lot + ", " + w.Condition
}

// tooShort says how many specimens the lot's ropes hold, and what is wanting.
func (l *lot) tooShort() *problem.Problem {
	var all []stretch
	length, use := 0.0, 0
	for r, s := range l.usable {
		all, length, use = append(all, s...), length+l.ropes[r].Length, use+usable(s)
	}
	wanted, need := sum(l.total()), 0
	for k, n := range l.total() {
		need += n * l.length[k]
	}
	p := problem.New(problem.TooFew, "lot "+l.name, "%d specimens take %.2f m without the cuts, its %s of %.1f m %s %.2f m usable in %s",
		wanted, metres(need), count(len(l.ropes), "rope"), length, has(len(l.ropes)), metres(use), count(len(all), "stretch"))
	if plan, err := l.cut(all, l.total()); err == nil && plan.Short() == 0 {
		return p.Hint("they fit, but not so that each rope is balanced over the conditions: give all specimens of %s one free length, or more rope", l.name)
	}
	each, fewer := l.fewer()
	if each > 0 {
		p.Hint("with %s there is rope for %d specimens", strings.Join(fewer, ", "), l.fewerTotal(each))
	} else {
		p.Hint("the ropes do not hold one specimen of each condition")
	}
	if more, ok := l.more(use); ok {
		p.Hint("one more rope of %s with %.2f m usable would do", l.name, metres(more))
	}
	return p.In("no cut list was made")
}

// fewer is how many sets fit, and in words the numbers that they make: first
// without spares, then with fewer of each condition.
func (l *lot) fewer() (sets int, words []string) {
	for sets = l.sets(); sets > 0; sets-- {
		less := l.only(sets)
		if _, ok := less.deal(); ok {
			for _, w := range less.wants {
				words = append(words, fmt.Sprintf("%d of %s", w.Count, w.name()))
			}
			return sets, words
		}
	}
	return 0, nil
}

func (l *lot) fewerTotal(sets int) int { return sum(l.only(sets).total()) }

// only is the lot with no more than some whole sets asked for.
func (l *lot) only(sets int) *lot {
	less := *l
	less.memo, less.wants, less.kind, less.set, less.length = map[string]bool{}, nil, nil, nil, nil
	for i, w := range l.wants {
		if l.set[i] == 0 {
			continue
		}
		w.Count = min(w.Count, sets*l.set[i])
		length := l.length[l.kind[i]]
		at := slices.Index(less.length, length)
		if at < 0 {
			at = len(less.length)
			less.length = append(less.length, length)
		}
		less.wants, less.kind, less.set = append(less.wants, w), append(less.kind, at), append(less.set, l.set[i])
	}
	return &less
}

// more is the least usable length of one further rope, in mm, with which the demand
// can be met.
func (l *lot) more(most int) (int, bool) {
	with := func(length int) bool {
		m := *l
		m.memo = map[string]bool{}
		m.ropes = append(slices.Clone(l.ropes), Rope{})
		m.usable = append(slices.Clone(l.usable), []stretch{{0, length}})
		_, ok := m.deal()
		return ok
	}
	high := l.kerf
	for k, n := range l.total() {
		high += n * (l.length[k] + l.kerf)
	}
	if !with(high) {
		return 0, false
	}
	low := 0
	for low+1 < high {
		if mid := (low + high) / 2; with(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return high, true
}

// noDraw says why no arrangement of conditions is permitted.
func (l *lot) noDraw(err error) error {
	var empty *doe.EmptyError
	switch {
	case errors.As(err, &empty):
		p := problem.New(problem.Conflict, "lot "+l.name, "no order of its conditions along the ropes keeps runs to %d and each rope balanced", l.maxRun)
		for _, n := range empty.Nearest {
			p.Hint("there are some when %s", n.Text)
		}
		return p.In("no cut list was made")
	case errors.Is(err, doe.ErrTooMany):
		return problem.New(problem.Conflict, "lot "+l.name, "%d conditions on %d ropes are too many to draw evenly", len(l.wants), len(l.ropes)).
			Hint("let more pieces of one condition follow each other").In("no cut list was made")
	case errors.Is(err, cutting.ErrRange), errors.Is(err, doe.ErrRange):
		return fmt.Errorf("cut list of lot %s: %w", l.name, err)
	}
	return err
}

func count(n int, of string) string {
	switch {
	case n == 1:
		return "1 " + of
	case strings.HasSuffix(of, "ch"):
		return fmt.Sprintf("%d %ses", n, of)
	}
	return fmt.Sprintf("%d %ss", n, of)
}

func has(n int) string {
	if n == 1 {
		return "has"
	}
	return "have"
}
