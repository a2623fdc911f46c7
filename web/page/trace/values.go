package trace

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/trace"
	"fallwright.example/web/say"
)

// quantity is one value of a reading as the page shows it.
type quantity struct {
	key   string // of its uncertainty
	label string
	what  string
	unit  figure.Unit
	of    func(*trace.Reading) trace.Value
}

// group is some quantities under one heading.
type group struct {
	title string
	of    []quantity
}

var (
	kilonewton = figure.Unit{Name: "kN", Scale: 1e-3, Decimals: 2}
	newton     = figure.Unit{Name: "N", Scale: 1, Decimals: 1}
	milli      = figure.Unit{Name: "ms", Scale: 1e3, Decimals: 1}
	speed      = figure.Unit{Name: "m/s", Scale: 1, Decimals: 2}
	metre      = figure.Unit{Name: "m", Scale: 1, Decimals: 3}
	joule      = figure.Unit{Name: "J", Scale: 1, Decimals: 0}
	stiffness  = figure.Unit{Name: "kN/m", Scale: 1e-3, Decimals: 2}
	ratio      = figure.Unit{Scale: 1, Decimals: 3}
)

// groups are the values in the order of a catch.
var groups = []group{
	{"The catch", []quantity{
		{"peak_force_N", "peak force", "largest force of the trace", kilonewton, func(r *trace.Reading) trace.Value { return r.PeakForce }},
		{"time_to_peak_s", "time to peak", "from first contact", milli, func(r *trace.Reading) trace.Value { return r.TimeToPeak }},
		{"rise_time_s", "rise time", "from 10 to 90 % of the first peak", milli, func(r *trace.Reading) trace.Value { return r.RiseTime }},
		{"peak_jerk_Nps", "peak jerk", "steepest rise of the force", figure.Unit{Name: "kN/s", Scale: 1e-3, Decimals: 0}, func(r *trace.Reading) trace.Value { return r.PeakJerk }},
		{"impulse_first_Ns", "impulse", "force over time of the first contact", figure.Unit{Name: "N s", Scale: 1, Decimals: 1}, func(r *trace.Reading) trace.Value { return r.FirstImpulse }},
		{"max_stretch_m", "largest stretch", "of the first contact", metre, func(r *trace.Reading) trace.Value { return r.MaxStretch }},
	}},
	{"Speed", []quantity{
		{"impact_speed_mps", "impact speed", "from the trace alone", speed, func(r *trace.Reading) trace.Value { return r.ImpactSpeed }},
		{"geometry_speed_mps", "speed of free fall", "over the drop as set", speed, func(r *trace.Reading) trace.Value { return r.GeometrySpeed }},
		{"gate_speed_mps", "speed at the light gate", "carried on to first contact", speed, func(r *trace.Reading) trace.Value { return r.GateSpeed }},
		{"guide_friction", "lost on the way", "share of the fall's energy", ratio, func(r *trace.Reading) trace.Value { return r.GuideFriction }},
		{"rebound_speed_mps", "rebound speed", "upward, when the force is back at zero", speed, func(r *trace.Reading) trace.Value { return r.ReboundSpeed }},
		{"restitution", "restitution", "rebound speed over impact speed", ratio, func(r *trace.Reading) trace.Value { return r.Restitution }},
	}},
	{"Energy and stiffness", []quantity{
		{"energy_in_J", "energy in", "work on the rope up to the largest stretch", joule, func(r *trace.Reading) trace.Value { return r.EnergyIn }},
		{"energy_absorbed_J", "energy absorbed", "area of the loop", joule, func(r *trace.Reading) trace.Value { return r.EnergyAbsorbed }},
		{"energy_returned_J", "energy returned", "", joule, func(r *trace.Reading) trace.Value { return r.EnergyReturned }},
		{"secant_stiffness_Npm", "secant stiffness", "peak force over its stretch", stiffness, func(r *trace.Reading) trace.Value { return r.Secant }},
		{"tangent_stiffness_Npm", "tangent stiffness", "near the peak", stiffness, func(r *trace.Reading) trace.Value { return r.Tangent }},
		{"loss_factor", "loss factor", "", ratio, func(r *trace.Reading) trace.Value { return r.LossFactor }},
		{"log_decrement", "log decrement", "of the last swings, with the rope taut", ratio, func(r *trace.Reading) trace.Value { return r.LogDecrement }},
		{"damping_ratio", "damping ratio", "from the log decrement", ratio, func(r *trace.Reading) trace.Value { return r.DampingRatio }},
		{"recorded_work_J", "work over the recorded stretch", "", joule, func(r *trace.Reading) trace.Value { return r.RecordedWork }},
		{"recorded_work_to_peak_J", "the same, up to the peak", "", joule, func(r *trace.Reading) trace.Value { return r.WorkToPeak }},
	}},
	{"The trace itself", []quantity{
		{"peak_recorded_N", "largest sample", "as recorded, before any step", kilonewton, func(r *trace.Reading) trace.Value { return r.PeakRecorded }},
		{"hang_weight_N", "hang weight", "when all is still", newton, func(r *trace.Reading) trace.Value { return r.HangWeight }},
		{"gain_check", "hang weight over m g", "a check on the cell's gain", ratio, func(r *trace.Reading) trace.Value { return r.GainCheck }},
		{"closing_stretch_m", "closing stretch", "where the rope goes tight again; 0 would be perfect", metre, func(r *trace.Reading) trace.Value { return r.ClosingStretch }},
		{"closing_speed_mps", "closing speed", "left over when all is still; 0 would be perfect", speed, func(r *trace.Reading) trace.Value { return r.ClosingSpeed }},
		{"tare_N", "tare", "taken off every sample", newton, func(r *trace.Reading) trace.Value { return r.Tare }},
		{"drift_Nps", "drift of zero", "", figure.Unit{Name: "N/s", Scale: 1, Decimals: 2}, func(r *trace.Reading) trace.Value { return r.Drift }},
		{"noise_N", "noise", "standard deviation before the catch", newton, func(r *trace.Reading) trace.Value { return r.Noise }},
		{"resolution_N", "resolution", "smallest step of the force", figure.Unit{Name: "N", Scale: 1, Decimals: 2}, func(r *trace.Reading) trace.Value { return r.Resolution }},
	}},
}

// line is one row of the table of values.
type line struct {
	quantity
	value    string // of the stored reading, with as many decimals as its uncertainty bears out
	second   string // of the second
	change   string // second minus stored
	u        string
	interval string
	bias     string

	secondU, secondInterval string // of the second
	main                    string // the largest sources: "cell 78 %, noise 12 %"
}

// table is a group with what is known of it.
type table struct {
	title string
	lines []line
}

// tables are the groups without the values that neither reading has.
func (v View) tables() []table {
	var out []table
	for _, g := range groups {
		t := table{title: g.title}
		for _, q := range g.of {
			if l, ok := v.line(q); ok {
				t.lines = append(t.lines, l)
			}
		}
		if len(t.lines) > 0 {
			out = append(out, t)
		}
	}
	return out
}

func (v View) line(q quantity) (line, bool) {
	value, second := trace.None(), trace.None()
	unit := q.unit
	l := line{quantity: q}
	if r := v.reading(); r != nil {
		value = q.of(r)
		if u, ok := r.Uncertainty[q.key]; ok && value.Known() && u.Standard > 0 {
			unit.Decimals = decimals(u.Standard * unit.Scale)
			l.u = unit.Write(u.Standard)
			l.interval = figure.Range(u.Lower*unit.Scale, u.Upper*unit.Scale, unit.Decimals)
			l.main = mainSources(u)
			if u.Bias != 0 {
				l.bias = figure.Signed(u.Bias*unit.Scale, unit.Decimals)
			}
		}
	}
	if q.key == "drift_Nps" && value.Known() {
		l.what = taken(v.reading())
	}
	if v.Second != nil {
		second = q.of(v.Second.Reading)
		if u, ok := v.Second.Reading.Uncertainty[q.key]; ok && second.Known() && u.Standard > 0 {
			if l.u == "" {
				unit.Decimals = decimals(u.Standard * unit.Scale)
			}
			l.secondU = unit.Write(u.Standard)
			l.secondInterval = figure.Range(u.Lower*unit.Scale, u.Upper*unit.Scale, unit.Decimals)
		}
	}
	l.value, l.second = unit.Write(float64(value)), unit.Write(float64(second))
	if value.Known() && second.Known() {
		l.change = figure.Signed(float64(second-value)*unit.Scale, unit.Decimals)
		if l.change == figure.Fixed(0, unit.Decimals) {
			l.change = "same"
		}
	}
	return l, value.Known() || second.Known()
}

// taken says whether the drift of zero was taken off, which the step that took
// the tare off tells.
func taken(r *trace.Reading) string {
	for _, s := range r.Steps {
		for _, p := range s.Params {
			if s.Name == "tare" && p.Name == "drift" {
				return "taken off"
			}
		}
	}
	return "not taken off"
}

// decimals shows an uncertainty with two figures, from none to four decimals.
func decimals(u float64) int {
	if !(u > 0) {
		return 3
	}
	return min(4, max(0, 1-int(math.Floor(math.Log10(u)))))
}

// share is a source's part of the variance, in per cent.
func share(u trace.Uncertainty, s trace.Share) float64 {
	sum := 0.0
	for _, x := range u.Budget {
		sum += x.Part * x.Part
	}
	if !(sum > 0) {
		return math.NaN()
	}
	return 100 * s.Part * s.Part / sum
}

// mainSources names the sources of 5 % of the variance and more, up to three.
func mainSources(u trace.Uncertainty) string {
	var words []string
	for _, s := range u.Budget {
		if p := share(u, s); p >= 5 && len(words) < 3 {
			words = append(words, fmt.Sprintf("%s %s", s.Source, percent(p)))
		}
	}
	return strings.Join(words, ", ")
}

func percent(p float64) string {
	if p < 0.5 {
		return "below 1\u202f%"
	}
	return figure.Fixed(p, 0) + "\u202f%"
}

// budget is one value's uncertainty with its sources.
type budget struct {
	quantity
	trace.Uncertainty
}

// budgets are those of the stored reading in the order of the table; a value
// that the page has no name for comes last under its key.
func (v View) budgets() []budget {
	r := v.reading()
	if r == nil {
		return nil
	}
	var out []budget
	for _, g := range groups {
		for _, q := range g.of {
			if u, ok := r.Uncertainty[q.key]; ok && u.Standard > 0 {
				out = append(out, budget{q, u})
			}
		}
	}
	for key, u := range r.Uncertainty {
		if u.Standard > 0 && !slices.ContainsFunc(out, func(b budget) bool { return b.key == key }) {
			out = append(out, budget{quantityOf(key), u})
		}
	}
	slices.SortStableFunc(out, func(a, b budget) int { return cmp.Compare(place(a.key), place(b.key)) })
	return out
}

// quantityOf is a value that the table has no line for.
func quantityOf(key string) quantity {
	n := 0
	if _, err := fmt.Sscanf(key, "bounce_peaks_N[%d]", &n); err == nil {
		return quantity{key: key, label: fmt.Sprintf("bounce %d", n+1), unit: kilonewton}
	}
	return quantity{key: key, label: key, unit: figure.Unit{Scale: 1, Decimals: 3}}
}

// place is where a key stands in the table; keys without a place come last, by
// name.
func place(key string) string {
	n := 0
	for _, g := range groups {
		for _, q := range g.of {
			if q.key == key {
				return fmt.Sprintf("%03d", n)
			}
			n++
		}
	}
	return "~" + key
}

func (b budget) standard() string {
	u := b.unit
	u.Decimals = decimals(b.Standard * u.Scale)
	return u.With(b.Standard)
}

// how says how the uncertainty was propagated.
func (b budget) how() string {
	words := "law of propagation"
	if b.Trials > 0 {
		words = fmt.Sprintf("Monte Carlo, %d trials", b.Trials)
	}
	if b.Freedom > 0 {
		words += ", " + figure.Fixed(b.Freedom, 0) + " degrees of freedom"
	}
	return words
}

func (b budget) part(s trace.Share) string {
	u := b.unit
	u.Decimals = decimals(s.Part * u.Scale)
	return u.With(s.Part)
}

// bounces are the later contacts' peaks in words; empty without any.
func bounces(r *trace.Reading) string {
	var words []string
	for _, b := range r.BouncePeaks {
		words = append(words, figure.KN(float64(b)))
	}
	return strings.Join(words, ", ")
}

// sampled says what the trace was recorded with.
func sampled(r *trace.Reading) string {
	return figure.Counted(r.Samples, "sample") + ", " + say.Rate(float64(r.SampleRate)) + ", read in " + r.Unit
}
