package main

import (
	"math"
	"time"

	"fallwright.example/cutlist"
	"fallwright.example/power"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/timetable"
)

// A plan in JSON, with the units in the names.
type (
	plannedJSON struct {
		Study     string            `json:"study"`
		Title     string            `json:"title"`
		Invented  bool              `json:"invented"`
		Questions []plannedQuestion `json:"questions"`
		Specimens []plannedSpecimen `json:"specimens"`
		Totals    plannedTotals     `json:"totals"`
		Cutting   *plannedCutting   `json:"cutting"`
		HowMany   []plannedNumbers  `json:"how_many"`
		Timetable *plannedTable     `json:"timetable"`
		NoTable   []refusedJSON     `json:"no_timetable,omitempty"`
		Blind     bool              `json:"blind"`
		Seed      uint64            `json:"seed"`
		Caution   string            `json:"caution"`
	}
	plannedQuestion struct {
		Name     string         `json:"name"`
		Asks     string         `json:"asks"`
		Measure  string         `json:"measure"`
		Contrast string         `json:"contrast"`
		Claim    string         `json:"claim"`
		Sides    [2]plannedSide `json:"sides"`
		Drops    int            `json:"drops"`
		Chance   *plannedChance `json:"chance"`
	}
	plannedSide struct {
		Condition string   `json:"condition"`
		Falls     []int    `json:"falls"`
		Number    int      `json:"number"`
		Specimens []string `json:"specimens"` // none where labels hide the condition
	}
	plannedChance struct {
		Calls        string   `json:"calls_for"`
		Margins      float64  `json:"difference_in_margins"`
		Power        float64  `json:"power"`
		SE           float64  `json:"power_se"`
		Higher       float64  `json:"higher"`
		Lower        float64  `json:"lower"`
		NoDifference float64  `json:"no_difference"`
		NotSettled   float64  `json:"not_settled"`
		Half         *float64 `json:"half_width"`
		HalfP10      *float64 `json:"half_width_p10"`
		HalfP90      *float64 `json:"half_width_p90"`
	}
	plannedSpecimen struct {
		Label     string  `json:"label"`
		Lot       string  `json:"lot"`
		Rope      string  `json:"rope"`
		Condition string  `json:"condition,omitempty"` // hidden where labels hide it
		From      float64 `json:"from_m"`
		To        float64 `json:"to_m"`
		Spare     bool    `json:"spare"`
		Place     int     `json:"place"`
		Day       int     `json:"day"`
	}
	plannedTotals struct {
		Specimens int     `json:"specimens"`
		Spares    int     `json:"spares"`
		Drops     int     `json:"drops"`
		Rope      float64 `json:"rope_m"`
		Rests     int     `json:"rests"`
		Waiting   float64 `json:"waiting_s"`
	}
	plannedCutting struct {
		Opened float64       `json:"opened_m"`
		Waste  float64       `json:"waste_m"`
		Proven bool          `json:"proven_least"`
		Ropes  []plannedRope `json:"ropes"`
		Notes  []string      `json:"notes"`
	}
	plannedRope struct {
		Rope     string       `json:"rope"`
		Pieces   int          `json:"pieces"`
		Cut      float64      `json:"cut_m"`
		Lost     float64      `json:"lost_m"`
		Waste    float64      `json:"waste_m"`
		Unusable float64      `json:"unusable_m"`
		Left     [][2]float64 `json:"left_m"`
	}
	plannedNumbers struct {
		Measure string         `json:"measure"`
		Scale   string         `json:"scale"`
		Wanted  float64        `json:"power_wanted"`
		Spreads string         `json:"spreads"`
		Curve   []plannedCell  `json:"curve"`
		Best    *plannedReach  `json:"cheapest"`
		AtBest  []plannedShown `json:"at_best"`
		Refused []refusedJSON  `json:"refused,omitempty"`
		Notes   []string       `json:"notes"`
	}
	plannedCell struct {
		Specimens int      `json:"specimens"`
		Falls     int      `json:"falls"`
		Power     *float64 `json:"least_power"`
	}
	plannedReach struct {
		Specimens int        `json:"specimens"`
		Falls     int        `json:"falls"`
		Bill      power.Bill `json:"bill"`
		Close     bool       `json:"close"`
	}
	plannedShown struct {
		Falls      int      `json:"falls"`
		Specimens  int      `json:"specimens"`
		Question   string   `json:"question"`
		Difference *float64 `json:"difference"`
		Margin     *float64 `json:"margin"`
	}
	plannedTable struct {
		Makespan float64      `json:"makespan_s"`
		Bound    float64      `json:"bound_s"`
		BoundBy  string       `json:"bound_by"`
		Waiting  float64      `json:"waiting_s"`
		Working  float64      `json:"working_s"`
		Days     []plannedDay `json:"days"`
		Steps    []plannedOp  `json:"steps"`
	}
	plannedDay struct {
		Date    string  `json:"date"`
		Series  int     `json:"series"`
		Falls   int     `json:"falls"`
		Used    float64 `json:"used_s"`
		Waiting float64 `json:"waiting_s"`
		Idle    float64 `json:"tower_idle_s"`
	}
	plannedOp struct {
		Start    time.Time `json:"start"`
		End      time.Time `json:"end"`
		Do       string    `json:"do"`
		Specimen string    `json:"specimen"`
		Fall     int       `json:"fall,omitempty"`
		Tower    string    `json:"tower,omitempty"`
		Place    string    `json:"place,omitempty"`
		People   []string  `json:"people"`
	}
	refusedJSON struct {
		Where string   `json:"where"`
		What  string   `json:"what"`
		Hints []string `json:"hints"`
	}
)

func refusedOf(err error) []refusedJSON {
	var out []refusedJSON
	for _, p := range problem.All(err) {
		out = append(out, refusedJSON{p.Where, p.What, append([]string{}, p.Hints...)})
	}
	return out
}

// known is nil for a number that there is none of.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func planJSON(p *study.Planned) plannedJSON {
	plan := &p.Plan
	out := plannedJSON{
		Study: plan.Name, Title: plan.Title, Invented: plan.Invented, Questions: []plannedQuestion{}, Specimens: []plannedSpecimen{},
		Totals:  plannedTotals(p.Totals),
		HowMany: []plannedNumbers{}, Blind: plan.Order.Blind, Seed: plan.Order.Seed, NoTable: refusedOf(p.NoTimetable),
		Caution: "comparative results on this rig, not a type test; they do not show that any rope or fall is safe",
	}
	for _, q := range p.Questions {
		one := plannedQuestion{
			Name: q.Question.Name, Asks: q.Question.Asks, Measure: string(q.Question.Value), Contrast: contrastText(q.Question),
			Claim: string(q.Question.Claim), Drops: q.Drops, Chance: chanceOf(p, q.Question.Name),
		}
		for i, s := range q.Sides {
			one.Sides[i] = plannedSide{s.Condition, append([]int{}, s.Falls...), len(s.Specimens), append([]string{}, s.Specimens...)}
			if plan.Order.Blind {
				one.Sides[i].Specimens = []string{}
			}
		}
		out.Questions = append(out.Questions, one)
	}
	for _, s := range plan.Specimens {
		one := plannedSpecimen{s.Label, s.Lot, s.RopeID(), s.Condition, s.From, s.To, s.Spare, s.Place, s.Day}
		if plan.Order.Blind {
			one.Condition = ""
		}
		out.Specimens = append(out.Specimens, one)
	}
	out.Cutting = cuttingOf(p.Cut)
	for _, h := range p.HowMany {
		out.HowMany = append(out.HowMany, numbersOf(h))
	}
	if p.Timetable != nil {
		out.Timetable = tableOf(p.Timetable)
	}
	return out
}

// chanceOf is what the simulation gives for a question; nil without one.
func chanceOf(p *study.Planned, question string) *plannedChance {
	for _, h := range p.HowMany {
		if h.Result == nil {
			continue
		}
		for _, c := range h.Result.Chances {
			if c.Question.Name != question {
				continue
			}
			return &plannedChance{
				Calls: c.Calls.Word(c.Question.Measure), Margins: c.Truth.Margins, Power: c.Power.P, SE: c.Power.SE,
				Higher: c.Higher.P, Lower: c.Lower.P, NoDifference: c.NoDifference.P, NotSettled: c.NotSettled.P,
				Half: known(c.Half.Mean), HalfP10: known(c.Half.P10), HalfP90: known(c.Half.P90),
			}
		}
	}
	return nil
}

func cuttingOf(l *cutlist.List) *plannedCutting {
	if l == nil {
		return nil
	}
	out := &plannedCutting{Opened: l.Opened, Waste: l.Waste, Proven: l.Proven, Notes: append([]string{}, l.Notes...), Ropes: []plannedRope{}}
	for _, u := range l.Uses {
		one := plannedRope{u.Rope, u.Pieces, u.Cut, u.Lost, u.Waste, u.Unusable, [][2]float64{}}
		for _, left := range u.Left {
			one.Left = append(one.Left, [2]float64{left.From, left.To})
		}
		out.Ropes = append(out.Ropes, one)
	}
	return out
}

func numbersOf(h study.HowMany) plannedNumbers {
	out := plannedNumbers{
		Measure: string(h.Measure), Scale: string(h.Scale), Wanted: h.Wanted,
		Curve: []plannedCell{}, AtBest: []plannedShown{}, Refused: append(refusedOf(h.Refused), refusedOf(h.Short)...), Notes: append([]string{}, h.Notes...),
	}
	if h.Result != nil {
		out.Spreads = h.Result.Said
		out.Notes = append(out.Notes, h.Result.Notes...)
	}
	if h.Curve != nil {
		for _, c := range h.Curve.Cells {
			one := plannedCell{Specimens: c.Specimens, Falls: c.Falls}
			if c.Result != nil {
				one.Power = known(c.Result.Least().Power.P)
			}
			out.Curve = append(out.Curve, one)
		}
	}
	if h.Choice != nil && h.Short == nil {
		b := h.Choice.Best
		out.Best = &plannedReach{b.Specimens, b.Falls, b.Bill, b.Close}
	}
	for _, m := range h.Best {
		for _, s := range m.Shown {
			out.AtBest = append(out.AtBest, plannedShown{m.Falls, m.Specimens, s.Question.Name, known(s.Difference), known(s.Margin)})
		}
	}
	return out
}

func tableOf(t *timetable.Table) *plannedTable {
	out := &plannedTable{
		Makespan: t.Makespan.Seconds(), Bound: t.Bound.Seconds(), BoundBy: t.BoundBy, Waiting: t.Waiting.Seconds(), Working: t.Working.Seconds(),
		Days: []plannedDay{}, Steps: []plannedOp{},
	}
	for _, d := range t.Days {
		out.Days = append(out.Days, plannedDay{d.Open.Format(time.DateOnly), d.Series, d.Falls, d.Used().Seconds(), d.Waiting.Seconds(), d.TowerIdle.Seconds()})
	}
	for _, o := range t.Ops {
		out.Steps = append(out.Steps, plannedOp{o.Start, o.End, string(o.Kind), o.Specimen, o.Fall, o.Tower, o.Place, append([]string{}, o.People...)})
	}
	return out
}
