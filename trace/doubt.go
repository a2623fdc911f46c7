package trace

import (
	"math"
	"slices"
	"sync"

	"fallwright.example/num/uncert"
)

// tightAgain is the source that stands for where the rope goes tight again.
const tightAgain = "where the rope goes tight again"

// coverage is the probability of the intervals.
const coverage = 0.95

// mostFreedom is where degrees of freedom count as infinite.
const mostFreedom = 1e4

// part is one source of uncertainty before it is combined.
type part struct {
	source  string
	input   float64 // standard uncertainty of the source
	unit    string
	freedom float64 // of input; 0 for infinite
	slope   float64 // of the value on the source
}

// readDoubt fills the uncertainties. docs/METHODS.md has the sources and what
// each is taken from. Sources that nobody stated (cell, mass, drop) are not in
// the budgets, and a note says so.
func (t *take) readDoubt() {
	t.r.Uncertainty = Uncertainties{}
	if len(t.r.Contacts) == 0 {
		return
	}
	t.doubtTare()
	t.doubtPeaks()
	t.doubtHang()
	first := t.r.Contacts[0]
	if first.Begun || first.To-first.From < 3 {
		return
	}
	t.doubtCourse()
	t.sayUnstated()
}

// keep combines the parts of a value and keeps its uncertainty under the key.
func (t *take) keep(key string, v Value, bias float64, parts []part) {
	if !v.Known() || math.IsNaN(bias) {
		return
	}
	shares := make([]uncert.Share, 0, len(parts))
	for _, p := range parts {
		if p.input > 0 && p.slope != 0 && !math.IsNaN(p.slope) && !math.IsInf(p.input, 0) {
			shares = append(shares, uncert.Share{Name: p.source, Unit: p.unit, Input: p.input, Freedom: p.freedom, Sensitivity: p.slope})
		}
	}
	if len(shares) == 0 {
		return // nothing is known of it, which is not that it is exact
	}
	sum, err := uncert.FromShares(float64(v), shares)
	if err != nil {
		return
	}
	u := Uncertainty{Standard: sum.Standard, Bias: bias, Freedom: sum.Freedom, Budget: make([]Share, 0, len(sum.Budget))}
	if u.Freedom > mostFreedom {
		u.Freedom, sum.Freedom = 0, 0
	}
	factor, err := coverageFactor(sum)
	if err != nil {
		return
	}
	half := factor * sum.Standard
	u.Lower, u.Upper = float64(v)-bias-half, float64(v)-bias+half
	for _, s := range sum.Budget {
		u.Budget = append(u.Budget, Share{Source: s.Name, Input: s.Input, InputUnit: s.Unit, Sensitivity: s.Sensitivity, Part: s.Part})
	}
	slices.SortStableFunc(u.Budget, func(a, b Share) int {
		switch {
		case a.Part > b.Part:
			return -1
		case a.Part < b.Part:
			return 1
		}
		return 0
	})
	t.r.Uncertainty[key] = u
}

// coverageFactor is Coverage of a result, found once for each whole number of
// degrees of freedom: Student's quantile takes as long as a reading's other sums.
func coverageFactor(sum uncert.Result) (float64, error) {
	whole := math.Floor(sum.Freedom * (1 + 1e-12))
	if whole == 0 && sum.Freedom != 0 {
		return sum.Coverage(coverage)
	}
	if k, ok := factors.Load(whole); ok {
		return k.(float64), nil
	}
	k, err := sum.Coverage(coverage)
	if err == nil {
		factors.Store(whole, k)
	}
	return k, err
}

var factors sync.Map // by degrees of freedom, up to mostFreedom

// offset is the standard uncertainty of zero at a moment, in N of rope force,
// and its degrees of freedom.
func (t *take) offset(at float64) (u, freedom float64) {
	u = t.zero.doubt
	switch d := t.zero.drift; {
	case d.taken:
		u = math.Hypot(u, d.doubt*t.scale*(at-d.mid))
	case math.Abs(d.slope) > driftSeen*d.doubt: // it may be one, and was not taken off
		u = math.Hypot(u, d.slope*t.scale*(at-d.mid))
	}
	return u, float64(max(1, t.zero.blocks-1))
}

// step is the uncertainty of zero from the converter's step, q/√12, where noise
// does not average it: the quiet stretch may stand anywhere in a step.
func (t *take) converterStep() float64 {
	q := float64(t.r.Resolution) * math.Exp(t.set.Edge.Friction*t.set.Edge.Angle)
	if math.IsNaN(q) || t.zero.noise > q/2 {
		return 0
	}
	return q / math.Sqrt(12)
}

// common are the sources that act on a force as a gain or a shift.
func (t *take) common(at, gain, shift float64) []part {
	u, freedom := t.offset(at)
	return []part{
		{"cell", t.set.Doubt.Cell, "1", 0, gain},
		{"edge", t.set.Edge.Angle * t.set.Doubt.Friction, "1", 0, gain},
		{"tare", u, "N", freedom, shift},
		{"resolution", t.converterStep(), "N", 0, shift},
		{"mass", t.massDoubt(), "1", 0, gain},
	}
}

// massDoubt is the relative uncertainty of a force that is a recorded
// acceleration times the mass; 0 for a cell's.
func (t *take) massDoubt() float64 {
	if !t.rec.PerMass {
		return 0
	}
	return t.set.Doubt.Mass / t.set.Mass
}

// driftDoubt is what a drift that was not taken off may be, in N/s.
func (t *take) driftDoubt() float64 {
	d := t.zero.drift
	if !t.zero.known || d.taken || math.IsInf(d.doubt, 1) {
		return 0
	}
	return math.Hypot(d.doubt, d.slope) * t.scale
}

func (t *take) doubtTare() {
	if t.zero.known {
		t.keep("tare_N", t.r.Tare, 0, []part{{"noise", t.zero.doubt / t.edgeLift(), "N", float64(max(1, t.zero.blocks-1)), 1}, {"resolution", t.converterStep(), "N", 0, 1}})
	}
}

func (t *take) edgeLift() float64 { return math.Exp(t.set.Edge.Friction * t.set.Edge.Angle) }

func (t *take) doubtHang() {
	level := float64(t.r.HangWeight)
	if math.IsNaN(level) {
		return
	}
	end := t.hangs
	parts := append(t.common(end, level, 1), part{"noise", t.swing.spread, "N", 0, 1}, part{"drift", t.driftDoubt(), "N/s", 0, end - t.zero.drift.mid})
	t.keep("hang_weight_N", t.r.HangWeight, 0, parts)
	if t.r.GainCheck.Known() {
		weight := t.set.Mass * t.gravity
		for i := range parts {
			parts[i].slope /= weight
		}
		check := float64(t.r.GainCheck)
		parts = append(parts, part{"mass", t.set.Doubt.Mass, "kg", 0, check / t.set.Mass}, part{"gravity", t.set.Doubt.Gravity, "m/s2", 0, check / t.gravity})
		t.keep("gain_check", t.r.GainCheck, 0, parts)
	}
	if t.swing.halves > 0 {
		t.keep("log_decrement", t.r.LogDecrement, 0, []part{{"scatter", t.swing.doubt, "1", float64(t.swing.halves - 2), 1}})
		d := t.swing.decrement
		slope := 4 * math.Pi * math.Pi / math.Pow(4*math.Pi*math.Pi+d*d, 1.5)
		t.keep("damping_ratio", t.r.DampingRatio, 0, []part{{"scatter", t.swing.doubt, "1", float64(t.swing.halves - 2), slope}})
	}
}

// source is one input of the course with how far it is moved for a sensitivity.
type source struct {
	name, unit string
	u, freedom float64
	flat       bool // a rectangle, not a bell
	move       func(in *inputs, by float64)
}

func (t *take) sources(c course) []source {
	offset, freedom := t.offset((c.start + c.end) / 2)
	d := t.set.Doubt
	edges := t.edgeDoubt(c)
	stay := 0.0
	if !math.IsNaN(t.speed.own) {
		stay = math.Abs(t.speed.own-t.speed.other) * (c.next - c.start) / math.Sqrt(3)
	}
	share := 0.0
	if c.from == "drop" {
		share = d.Guide
	}
	return []source{
		{"cell", "1", d.Cell, 0, false, func(in *inputs, by float64) { in.cell = by }},
		{"edge", "1", t.set.Edge.Angle * d.Friction, 0, false, func(in *inputs, by float64) { in.edge = by }},
		{"tare", "N", offset, freedom, false, func(in *inputs, by float64) { in.tare = by }},
		{"resolution", "N", t.converterStep(), 0, true, func(in *inputs, by float64) { in.tare = by }},
		{"start of contact", "s", edges[0], 0, c.jumps[0], func(in *inputs, by float64) { in.start = by }},
		{"end of contact", "s", edges[1], 0, c.jumps[1], func(in *inputs, by float64) { in.end = by }},
		{"mass", "kg", d.Mass, 0, false, func(in *inputs, by float64) { in.mass = by }},
		{"drop", "m", d.Drop, 0, false, func(in *inputs, by float64) { in.drop = by }},
		{"gate", "1", t.gateDoubt, 0, false, func(in *inputs, by float64) { in.gate = by }},
		{"gravity", "m/s2", d.Gravity, 0, false, func(in *inputs, by float64) { in.gravity = by }},
		{tightAgain, "m", stay, 0, false, func(in *inputs, by float64) { in.stay = by }},
		{"guide's friction", "1", share, 0, false, func(in *inputs, by float64) { in.share, in.drag = by, by }},
		{"guide's friction after contact", "1", c.hold / math.Sqrt(3), 0, true, func(in *inputs, by float64) { in.drag = by }},
	}
}

// doubtCourse fills the uncertainties of what the first contact and its motion
// give: sensitivities by central differences over one standard uncertainty, the
// noise by its part in each integral.
func (t *take) doubtCourse() {
	first := t.r.Contacts[0]
	every := max(1, (first.To-first.From)/courseMost)
	c := t.course(every)
	if len(c.time) < 4 || !(c.rise > 0) || !(c.fall > 0) && !c.open {
		return
	}
	parts := t.senseAll(c)
	bias := outcome{}
	if from, hold := t.guided(c, parts[ofFriction]); hold > 0 {
		read := t.outcome(c, inputs{})
		c.from, c.hold = from, hold
		guided := inputs{drag: hold}
		if from == "guide" {
			guided.drag = 0 // it finds that itself
		}
		bias = read.less(t.outcome(c, guided))
		parts = t.senseAll(c)
	}
	t.addNoise(c, parts)
	t.addIntegration(c, parts)
	for k, key := range outcomeKeys {
		t.keep(key, t.valueOf(k), bias[k], parts[k])
	}
	t.doubtTimes(c, bias[ofSecant])
	t.doubtRise(c)
	t.doubtJerk()
	t.judgeOnset(c)
	if t.set.Trials > 0 {
		t.runTrials(c, t.sources(c), noiseOf(parts))
	}
}

// senseAll is the parts of all sources in every value.
func (t *take) senseAll(c course) [][]part {
	sources := t.sources(c)
	parts := make([][]part, ofAll)
	for k := range parts {
		parts[k] = make([]part, 0, len(sources)+3) // and guide, noise, integration
	}
	for _, s := range sources {
		t.sense(c, s, parts)
	}
	return parts
}

// noiseOf is the part of noise and of the integration in each value, which no
// input of the course stands for.
func noiseOf(parts [][]part) (noise [ofAll]float64) {
	for k := range parts {
		for _, p := range parts[k] {
			if (p.source == "noise" || p.source == "integration") && !math.IsNaN(p.slope) {
				noise[k] = math.Hypot(noise[k], p.slope*p.input)
			}
		}
	}
	return noise
}

// sense adds a source's part in every value: the sensitivity is a central
// difference over one standard uncertainty.
func (t *take) sense(c course, s source, parts [][]part) {
	if !(s.u > 0) {
		return
	}
	var up, down inputs
	s.move(&up, s.u)
	s.move(&down, -s.u)
	high, low := t.outcome(c, up), t.outcome(c, down)
	for k := range parts {
		parts[k] = append(parts[k], part{s.name, s.u, s.unit, s.freedom, (high[k] - low[k]) / (2 * s.u)})
	}
}

// valueOf is the reading's value of an outcome.
func (t *take) valueOf(k int) Value {
	r := &t.r
	return [ofAll]Value{
		r.FirstImpulse, r.ImpactSpeed, r.GeometrySpeed, r.GateSpeed, r.GuideFriction, r.MaxStretch, r.EnergyIn,
		r.EnergyAbsorbed, r.EnergyReturned, r.ReboundSpeed, r.Restitution, r.Secant, r.LossFactor, r.ClosingStretch,
	}[k]
}

// addIntegration adds the error of the trapezoidal rule. It is dt²/12 times the
// change of the slope of what is integrated: of the force for the impulse and
// the speed, of the speed for the stretch, and about the peak force times the
// error of the stretch for the work.
func (t *take) addIntegration(c course, parts [][]part) {
	dt := t.pace.usual
	slopes := c.rise + c.fall
	if c.jumps[0] { // its place in time is the start's doubt
		slopes = c.fall
	}
	impulse := dt * dt / 12 * slopes
	add := func(k int, by float64) {
		parts[k] = append(parts[k], part{"integration", by, "value", 0, 1})
	}
	add(ofImpulse, impulse)
	if t.set.Mass == 0 {
		return
	}
	speed := impulse / t.set.Mass
	stretch := speed * (c.end - c.start) / 2
	work := stretch * t.r.Contacts[0].Peak / 2
	for k, by := range map[int]float64{ofImpact: speed, ofRebound: speed, ofStretch: stretch, ofIn: work, ofAbsorbed: work, ofReturned: work} {
		add(k, by)
	}
}

// doubtTimes fills the times of the first contact and what is read off its
// flank.
func (t *take) doubtTimes(c course, secantBias float64) {
	dt := t.pace.usual
	begin := t.edgeDoubt(c)[0]
	top := t.top
	plateau := 0.0
	if q := float64(t.r.Resolution); q > 0 && top.bend > 0 {
		plateau = math.Sqrt(2*q/top.bend) / 3
	}
	t.keep("time_to_peak_s", t.r.TimeToPeak, 0, []part{
		{"start of contact", begin, "s", 0, 1}, {"sampling", dt / math.Sqrt(12), "s", 0, 1}, {"noise", top.when, "s", 0, 1}, {"resolution", plateau, "s", 0, 1},
	})
	if k := float64(t.r.Tangent); k > 0 {
		bias := k / float64(t.r.Secant) * secantBias
		if math.IsNaN(bias) {
			bias = 0
		}
		// The top stands too high: the part of the flank is too far up it.
		if high, _, _, _ := t.steadyTopDoubt(); high > 0 {
			if lower := t.tangent(t.steadyTop(t.r.Contacts[0]) - high); lower.slope() > 0 {
				bias += k - lower.slope()
			}
		}
		t.keep("tangent_stiffness_Npm", t.r.Tangent, bias, t.tangentParts())
	}
}

// flankTaken is how unsure the tangent is, relative, for the part of the flank that
// it is taken from: filter and noise move that a little (found by simulation).
const flankTaken = 0.005

// tangentParts are the parts of the tangent stiffness: the force's gain; the
// stretch's by way of mass and speed as the secant's; the scatter of the line; the
// part of the flank.
func (t *take) tangentParts() []part {
	k := float64(t.r.Tangent)
	parts := []part{{"scatter", t.tangentDoubt, "N/m", 0, 1}, {"where the flank is taken", flankTaken * k, "N/m", 0, 1}}
	if secant, ok := t.r.Uncertainty["secant_stiffness_Npm"]; ok {
		parts = append(parts, part{"as the secant's", secant.Standard, "N/m", 0, k / float64(t.r.Secant)})
	}
	return parts
}
