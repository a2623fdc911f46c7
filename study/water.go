package study

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/uptake"
)

// Water is what the water did in a study.
type Water struct {
	Study     *campaign.Study
	Protocol  uptake.Protocol
	Scale     uptake.Scale
	Soaked    []*uptake.Answer // by condition, in the order of the plan
	Unfitted  []Unfitted       // conditions that were weighed and have no curve
	Baseline  string           // that the others are compared with; empty with fewer than two
	Times     []float64        // s, that uptake is given and compared at
	Contrasts []uptake.Contrast
	Marks     []string // in what the protocols differ of what is compared all the same
	Dried     []DriedBack
	Doses     []Dose
	Weighed   []Weighed
	Gauged    Gauged
	Pulled    Pulled
	Notes     []string
}

// WaterAsk is what is asked of the water. The zero value asks what the plan says.
type WaterAsk struct {
	Law      string    // in the place of the best
	Baseline string    // in the place of the plan's, or the first that was weighed
	Times    []float64 // s; in the place of the plan's
	Weighted bool      // by the scale's uncertainty
	Against  string    // another study of the book whose soaks are compared with too
	Force    bool      // compare across protocols all the same, marked
}

// Unfitted is a condition whose weighings hold no curve, and why.
type Unfitted struct {
	Condition string
	Weighings int
	Why       string
}

// Weighed is one weighing that stands, with the water in it by the dry mass before.
type Weighed struct {
	campaign.Weighing
	Condition string
	Uptake    float64 // NaN for a dry mass, or without one
	Soak      string  // label of the soak that it belongs to: the specimen, or "M-02, soak 2"
}

// DriedBack is how far the specimens of a condition came back to their dry mass.
type DriedBack struct {
	Condition string
	uptake.DryingBack
}

// Water says what the weighings, gaugings and pulls of a study tell.
func (d *Desk) Water(ctx context.Context, name string, ask WaterAsk) (*Water, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	if err := ask.check(); err != nil {
		return nil, err
	}
	key := keptKey{sha256: "water " + stateOf(s, readings) + measuredOf(s) + fmt.Sprintf("%+v", ask)}
	produce := func(ctx context.Context) (any, int64, error) {
		w, err := d.water(ctx, s, readings, ask)
		return w, keptFindings / 4, err
	}
	if ask.Against != "" { // which has a state of its own
		w, _, err := produce(ctx)
		if err != nil {
			return nil, err
		}
		return w.(*Water), nil
	}
	v, err := d.kept.get(ctx, d.mostKept(), key, produce)
	if err != nil {
		return nil, err
	}
	return v.(*Water), nil
}

// measuredOf names all weighings, gaugings and pulls of a study: none is ever altered.
func measuredOf(s *campaign.Study) string {
	h := sha256.New()
	for _, w := range s.Weighings {
		fmt.Fprintf(h, "%q\n", w.ID)
	}
	for _, g := range s.Gaugings {
		fmt.Fprintf(h, "%q\n", g.ID)
	}
	for _, p := range s.Pulls {
		fmt.Fprintf(h, "%q\n", p.ID)
	}
	return hex.EncodeToString(h.Sum(nil))
}

func (a WaterAsk) check() error {
	if a.Law != "" {
		if _, err := uptake.LawNamed(a.Law); err != nil {
			return err
		}
	}
	for _, t := range a.Times {
		if !(t > 0) || math.IsInf(t, 1) {
			return problem.New(problem.Invalid, "times", "%g s is no time of a soak", t).Hint("give minutes above zero")
		}
	}
	return nil
}

func (d *Desk) water(ctx context.Context, s *campaign.Study, readings map[string]StoredReading, ask WaterAsk) (*Water, error) {
	w := &Water{Study: s, Protocol: ProtocolOf(s.Plan.Water), Scale: ScaleOf(s.Plan.Water), Times: slices.Clone(ask.Times), Weighed: weighedIn(s)}
	if len(w.Times) == 0 {
		for _, t := range s.Plan.Water.At {
			w.Times = append(w.Times, t.Seconds())
		}
	}
	if err := w.fit(ask, ""); err != nil {
		return nil, err
	}
	if ask.Against != "" {
		if err := d.beside(ctx, w, ask); err != nil {
			return nil, err
		}
	}
	if err := w.compare(ask); err != nil {
		return nil, err
	}
	w.driedBack()
	w.dose(readings)
	w.gauge()
	w.pull()
	return w, nil
}

// ProtocolOf is a plan's protocol as package uptake compares it.
func ProtocolOf(w campaign.Water) uptake.Protocol {
	p := uptake.Unstated()
	if !w.Stated() {
		return p
	}
	p.Definition = uptake.Gained
	p.DryState, p.Blot, p.Water, p.Ends = w.DryState, w.Blot, w.Bath, w.Ends
	for _, v := range []struct {
		to   *float64
		from *float64
	}{{&p.Drain, w.Drain}, {&p.Bath, w.Celsius}, {&p.Depth, w.Depth}} {
		if v.from != nil {
			*v.to = *v.from
		}
	}
	return p
}

// ScaleOf is the scale that a plan weighs with.
func ScaleOf(w campaign.Water) uptake.Scale {
	return uptake.Scale{Resolution: w.Resolution, Repeatability: w.Repeatability}
}

// weighedIn are the weighings that stand, each with its water. A soak begins at a
// dry or a dried mass; several of one specimen are told apart.
func weighedIn(s *campaign.Study) []Weighed {
	var out []Weighed
	soaks, wet := map[string]int{}, map[string]bool{}
	dry := map[string]float64{}
	for _, w := range s.Standing() {
		one := Weighed{Weighing: w, Uptake: math.NaN(), Soak: w.Specimen}
		one.Condition, _ = s.Condition(w.Specimen)
		switch {
		case w.IsDry():
			dry[w.Specimen], wet[w.Specimen] = w.Mass, false
		case w.Of == campaign.Dried:
			wet[w.Specimen] = false
		case !wet[w.Specimen]:
			wet[w.Specimen] = true
			soaks[w.Specimen]++
		}
		if n := soaks[w.Specimen]; n > 1 {
			one.Soak = fmt.Sprintf("%s, soak %d", w.Specimen, n)
		}
		if m, known := dry[w.Specimen]; known && !w.IsDry() {
			one.Uptake = (w.Mass - m) / m
		}
		out = append(out, one)
	}
	return out
}

// fit fits a curve to what was weighed of each condition as the protocol says.
// prefix stands before the conditions of another study.
func (w *Water) fit(ask WaterAsk, prefix string) error {
	of := map[string][]uptake.Weighing{}
	var without []string
	dry := map[string]float64{}
	for _, one := range w.Weighed {
		switch {
		case one.IsDry():
			dry[one.Specimen] = one.Mass
		case one.Of != campaign.Soaked:
		case dry[one.Specimen] == 0:
			without = append(without, one.Specimen)
		default:
			of[one.Condition] = append(of[one.Condition], uptake.Weighing{
				Row: fmt.Sprintf("%s after %s", one.Soak, campaign.Span(one.Weighing.Soak)), Specimen: one.Soak, Condition: prefix + one.Condition,
				Time: one.Weighing.Soak, Mass: one.Mass, Dry: dry[one.Specimen],
			})
		}
	}
	if len(without) > 0 {
		w.Notes = append(w.Notes, "weighed wet and never dry before, so left out: "+strings.Join(slices.Compact(slices.Sorted(slices.Values(without))), ", "))
	}
	for _, c := range w.Study.Plan.Conditions {
		weighings := of[c.Name]
		if len(weighings) == 0 {
			continue
		}
		points, notes, err := uptake.Uptakes(weighings, w.Scale)
		w.Notes = append(w.Notes, notes...)
		var answers []*uptake.Answer
		if err == nil {
			answers, err = uptake.Answers(points, ask.Law, ask.Weighted)
		}
		if found := problem.All(err); len(found) > 0 {
			w.Unfitted = append(w.Unfitted, Unfitted{prefix + c.Name, len(weighings), whys(found)})
			continue
		}
		if err != nil {
			return err
		}
		w.Soaked = append(w.Soaked, answers...)
	}
	return nil
}

func whys(found []*problem.Problem) string {
	var out []string
	for _, p := range found {
		out = append(out, strings.Join(append([]string{p.What}, p.Hints...), "; "))
	}
	return strings.Join(out, "; ")
}

// beside adds the soaks of another study, whose protocol has to be the same.
func (d *Desk) beside(ctx context.Context, w *Water, ask WaterAsk) error {
	s, err := d.load(ctx, ask.Against)
	if err != nil {
		return err
	}
	other := &Water{Study: s, Protocol: ProtocolOf(s.Plan.Water), Scale: ScaleOf(s.Plan.Water), Weighed: weighedIn(s)}
	for _, of := range []*Water{w, other} {
		if missing := of.Protocol.Missing(); len(missing) > 0 {
			if !ask.Force {
				return problem.New(problem.Conflict, "study "+of.Study.Plan.Name, "its protocol does not state %s, so that nothing can be compared with it", fields(missing)).
					Hint("state them in [water] of the study file, or force the comparison, which is then marked")
			}
			w.Marks = append(w.Marks, fmt.Sprintf("%s does not state %s", of.Study.Plan.Name, fields(missing)))
		}
	}
	marks, err := uptake.Comparable(w.Protocol, other.Protocol, ask.Force)
	if err != nil {
		return err
	}
	w.Marks = append(w.Marks, marks...)
	if err := other.fit(ask, ask.Against+": "); err != nil {
		return err
	}
	w.Soaked, w.Unfitted, w.Notes = append(w.Soaked, other.Soaked...), append(w.Unfitted, other.Unfitted...), append(w.Notes, other.Notes...)
	return nil
}

func fields(all []uptake.Field) string {
	out := make([]string, len(all))
	for i, f := range all {
		out[i] = string(f)
	}
	return strings.Join(out, ", ")
}

// compare puts the conditions against the baseline.
func (w *Water) compare(ask WaterAsk) error {
	base := 0
	is := func(name string) int {
		return slices.IndexFunc(w.Soaked, func(a *uptake.Answer) bool { return a.Condition == name })
	}
	if ask.Baseline != "" {
		if base = is(ask.Baseline); base < 0 {
			p := problem.New(problem.NotFound, "baseline "+ask.Baseline, "no soak of it was weighed that holds a curve")
			for _, a := range w.Soaked {
				p.Hint("%s was", a.Condition)
			}
			return p
		}
	} else if of := is(w.Study.Plan.BaselineCondition()); of >= 0 {
		base = of
	}
	if len(w.Soaked) < 2 {
		return nil
	}
	w.Baseline = w.Soaked[base].Condition
	w.Contrasts = uptake.Differences(w.Soaked, base, w.Times)
	for i := range w.Contrasts {
		w.Contrasts[i].Marks = w.Marks
	}
	return nil
}

// driedBack compares dried masses with the dry ones before.
func (w *Water) driedBack() {
	pairs := map[string][]uptake.Pair{}
	dry, last := map[string]float64{}, map[string]uptake.Pair{}
	for _, one := range w.Weighed {
		switch {
		case one.IsDry():
			dry[one.Specimen] = one.Mass
		case one.Of == campaign.Dried && dry[one.Specimen] > 0:
			last[one.Specimen] = uptake.Pair{Specimen: one.Specimen, Before: dry[one.Specimen], After: one.Mass}
		}
	}
	for _, sp := range w.Study.Plan.Specimens {
		if p, known := last[sp.Label]; known {
			pairs[sp.Condition] = append(pairs[sp.Condition], p)
		}
	}
	for _, c := range w.Study.Plan.Conditions {
		if len(pairs[c.Name]) == 0 {
			continue
		}
		if back, err := uptake.DriedBack(pairs[c.Name], w.Scale, 0); err == nil {
			w.Dried = append(w.Dried, DriedBack{c.Name, back})
		}
	}
}

// LastWeighing is the newest weighing of a specimen that stands.
func (w *Water) LastWeighing(specimen string) (Weighed, bool) {
	for i := len(w.Weighed) - 1; i >= 0; i-- {
		if w.Weighed[i].Specimen == specimen {
			return w.Weighed[i], true
		}
	}
	return Weighed{}, false
}

// Gauge records a gauging.
func (d *Desk) Gauge(ctx context.Context, name string, g campaign.Gauging) error {
	g.ID = d.NewID()
	g.At = atNow(g.At, d.now())
	return d.Store.AddGauging(ctx, name, g)
}

func atNow(at, now time.Time) time.Time {
	if at.IsZero() {
		return now
	}
	return at
}
