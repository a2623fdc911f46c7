package study

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/num/lmm"
	"fallwright.example/trace"
)

// The names under which a model finds what a study knows of its drops. Those
// that are no block are looked at by the checks.
const (
	ropeColumn = string(campaign.RopeBlock)
	dayColumn  = string(campaign.DayBlock)
)

// dataOf is the table of one measure: a row for each fall that counts and has
// the value, in the order released. left are the falls that have none.
func dataOf(s *campaign.Study, readings map[string]StoredReading, m campaign.Measure) (data compare.Data, left []LeftOut) {
	columns := map[string][]string{}
	measured := map[string][]float64{}
	order := orderOfDay(s)
	for _, d := range s.Counting() {
		r, ok := readings[d.ID]
		why := "no trace was recorded"
		if ok {
			why = unusable(&r.Reading, m)
		}
		if why != "" {
			left = append(left, LeftOut{d, m, why})
			continue
		}
		condition, _ := s.Condition(d.Specimen)
		piece, _ := s.Plan.Specimen(d.Specimen)
		data.Value = append(data.Value, float64(measuredIn(&r.Reading, m)))
		data.Specimen = append(data.Specimen, d.Specimen)
		data.Condition = append(data.Condition, condition)
		data.Fall = append(data.Fall, compare.FallNumber(d.Fall))
		data.Row = append(data.Row, fmt.Sprintf("%s fall %d", d.Specimen, d.Fall))
		for name, value := range map[string]string{
			ropeColumn: piece.RopeID(), dayColumn: d.At.Format(time.DateOnly), "setting": d.Setting, "dropped by": d.By,
			"knots": piece.Knots, "filter": filterWord(r.Settings.Class), "program": r.Program,
		} {
			columns[name] = append(columns[name], value)
		}
		for name, value := range map[string]float64{
			"order within the day": order[d.ID], "position in the rope (m)": middle(piece),
			"dry mass (g)": tenth(1000 * massOf(s, d.Specimen, true)), "uptake (% of dry mass)": tenth(100 * tookUp(s, d.Specimen)),
		} {
			measured[name] = append(measured[name], value)
		}
	}
	for _, name := range []string{ropeColumn, dayColumn, "setting", "dropped by", "knots", "filter", "program"} {
		if name == "program" && len(slices.Compact(slices.Sorted(slices.Values(columns[name])))) < 2 {
			continue // that all readings are from one program is no news
		}
		data.Columns = append(data.Columns, compare.Column{Name: name, Value: columns[name]})
	}
	for _, name := range []string{"order within the day", "position in the rope (m)", "dry mass (g)", "uptake (% of dry mass)"} {
		if slices.ContainsFunc(measured[name], func(v float64) bool { return !math.IsNaN(v) }) {
			data.Measured = append(data.Measured, compare.Measured{Name: name, Value: measured[name]})
		}
	}
	return data, left
}

// orderOfDay numbers the releases of each day, whatever they were for.
func orderOfDay(s *campaign.Study) map[string]float64 {
	drops := slices.Clone(s.Drops)
	slices.SortStableFunc(drops, func(a, b campaign.Drop) int { return a.At.Compare(b.At) })
	taken, order := map[string]float64{}, map[string]float64{}
	for _, d := range drops {
		day := d.At.Format(time.DateOnly)
		taken[day]++
		order[d.ID] = taken[day]
	}
	return order
}

// middle is where in its rope a specimen comes from; NaN when not recorded.
func middle(p campaign.Specimen) float64 {
	if p.To <= p.From {
		return math.NaN()
	}
	return (p.From + p.To) / 2
}

// massOf is the newest mass of a specimen weighed dry; or in any other state, before
// its first fall, since a soak after its falls had no part in them. NaN when never
// weighed so.
func massOf(s *campaign.Study, specimen string, dry bool) float64 {
	mass := math.NaN()
	first, fell := firstFall(s, specimen)
	for _, w := range s.Standing() { // in time order
		if w.Specimen == specimen && w.IsDry() == dry && (dry || !fell || w.At.Before(first)) {
			mass = w.Mass
		}
	}
	return mass
}

// firstFall is when a specimen's rope was first loaded by a fall.
func firstFall(s *campaign.Study, specimen string) (at time.Time, fell bool) {
	for _, d := range s.Drops { // in the order released
		if d.Specimen == specimen && d.Took() {
			return d.At, true
		}
	}
	return at, false
}

// tenth is a value to one decimal, as scales and balances read; a mass of 0.2112 kg
// times 1000 is 211.2 g and not 211.20000000000002.
func tenth(v float64) float64 { return math.Round(10*v) / 10 }

// tookUp is the water that a specimen took, as a share of its dry mass; NaN when
// it was not weighed both ways.
func tookUp(s *campaign.Study, specimen string) float64 {
	return massOf(s, specimen, false)/massOf(s, specimen, true) - 1
}

// scaleOf is the scale that a question is answered on: logarithms for a margin
// of a share, the values as they are for an amount; or the one forced.
func scaleOf(q campaign.Question, forced compare.Scale) compare.Scale {
	switch {
	case forced != "":
		return forced
	case q.Margin.Share > 0:
		return compare.Log
	}
	return compare.Linear
}

// scales are those that the questions about a measure ask for, the one that most
// ask for first. Without a question it is logarithms where there are some.
func scales(questions []campaign.Question, m campaign.Measure, values []float64, forced compare.Scale) []compare.Scale {
	asked := map[compare.Scale]int{}
	for _, q := range questions {
		if q.Value == m {
			asked[scaleOf(q, forced)]++
		}
	}
	switch {
	case len(asked) == 0 && forced != "":
		return []compare.Scale{forced}
	case len(asked) == 0 && slices.ContainsFunc(values, func(v float64) bool { return v <= 0 }):
		return []compare.Scale{compare.Linear}
	case len(asked) == 0 || asked[compare.Linear] == 0:
		return []compare.Scale{compare.Log}
	case asked[compare.Log] == 0:
		return []compare.Scale{compare.Linear}
	case asked[compare.Linear] > asked[compare.Log]:
		return []compare.Scale{compare.Linear, compare.Log}
	}
	return []compare.Scale{compare.Log, compare.Linear}
}

// askOf is the model of a measure by a rule.
func askOf(p *campaign.Plan, rule campaign.AnalysisRule, m campaign.Measure, on compare.Scale, questions []compare.Question) compare.Ask {
	ask := compare.Ask{
		Measure: string(m), Unit: m.Unit(), Baseline: p.BaselineCondition(), Scale: on,
		FallsAs: compare.FallsAs(rule.FallsAs.Word()), Adjust: compare.Adjust(rule.Adjust.Word()),
		SpreadByCondition: rule.SpreadByCondition, EachFall: true, Margin: commonMargin(questions),
	}
	if rule.DF == campaign.Satterthwaite {
		ask.DF = lmm.Satterthwaite
	}
	for _, c := range p.Conditions {
		ask.Conditions = append(ask.Conditions, c.Name)
	}
	for _, b := range rule.Blocks {
		ask.Blocks = append(ask.Blocks, string(b))
	}
	return ask
}

// commonMargin is the margin that all questions have; none when they differ.
func commonMargin(questions []compare.Question) compare.Margin {
	var out compare.Margin
	for i, q := range questions {
		have := compare.Margin{Share: q.Share, Amount: q.Amount}
		if i > 0 && have != out {
			return compare.Margin{}
		}
		out = have
	}
	return out
}

func questionOf(p *campaign.Plan, q campaign.Question) compare.Question {
	out := compare.Question{
		Name: q.Name, Asks: q.Asks, Measure: string(q.Value), Unit: q.Value.Unit(), Condition: q.Compare, Baseline: q.Baseline,
		Share: q.Margin.Share, Amount: q.Margin.Amount, Trend: q.Trend, Claim: compare.Claim(q.Claim),
	}
	for _, n := range q.Falls {
		out.Falls = append(out.Falls, compare.FallNumber(n))
	}
	for _, n := range q.BaselineFalls {
		out.BaselineFalls = append(out.BaselineFalls, compare.FallNumber(n))
	}
	if len(p.Ropes) > 1 { // the plan deals specimens to conditions rope by rope
		out.Within = ropeColumn
	}
	return out
}

// dealtWithin takes away a re-randomisation test that has one arrangement only,
// because no rope has specimens of both conditions, and says so.
func dealtWithin(a compare.Answer) compare.Answer {
	if r := a.Randomisation; r != nil && r.Arrangements == 1 {
		a.Randomisation = nil
		a.Notes = append(slices.DeleteFunc(slices.Clone(a.Notes), func(n string) bool { return strings.Contains(n, r.Said) }),
			"no rope has specimens of both conditions, so they cannot be dealt anew, and what is found may be of the ropes")
	}
	return a
}

// unanswered says of a question that its model could not be fitted.
func unanswered(q compare.Question, why error) compare.Answer {
	nan := math.NaN()
	a := compare.Answer{
		Question: q, Verdict: compare.NoClaim, Notes: []string{},
		Sentence: fmt.Sprintf("%s: no claim about its %s against %s.", q.Condition, q.Measure, q.Baseline),
		Rule:     "a claim needs a model, and none could be fitted.",
		Settle:   compare.Settle{Seen80: compare.Unknown, Seen90: compare.Unknown, None80: compare.Unknown, None90: compare.Unknown},
		Difference: compare.Difference{
			Condition: q.Condition, Baseline: q.Baseline, Falls: q.Falls,
			Amount: nan, SE: nan, DF: nan, Lower: nan, Upper: nan, T: nan, P: nan, PAdjusted: nan, Lower90: nan, Upper90: nan,
			Percent: nan, PercentLower: nan, PercentUpper: nan, PercentLower90: nan, PercentUpper90: nan,
			EquivalenceP: nan, EquivalencePAdjusted: nan,
		},
	}
	a.Notes = append(a.Notes, Model{Refused: why}.Why()...)
	return a
}

func measuredIn(r *trace.Reading, m campaign.Measure) trace.Value {
	switch m {
	case campaign.PeakForce:
		return r.PeakForce
	case campaign.ReboundSpeed:
		return r.ReboundSpeed
	case campaign.MaxStretch:
		return r.MaxStretch
	case campaign.EnergyAbsorbed:
		return r.EnergyAbsorbed
	}
	return trace.None()
}

// unusable says why a reading cannot serve for a measure; empty when it can.
func unusable(r *trace.Reading, m campaign.Measure) string {
	for _, n := range r.Notes {
		if n.Grade == trace.Missing {
			return n.Text
		}
	}
	if !measuredIn(r, m).Known() {
		return fmt.Sprintf("its trace gives no %s", m)
	}
	return ""
}
