package study

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/draw"
	"fallwright.example/power"
	"fallwright.example/problem"
)

// HowMany is what a plan can show for the questions of one measure, on one scale,
// if things are as it supposes.
type HowMany struct {
	Measure campaign.Measure
	Scale   compare.Scale
	Plan    power.Plan
	Price   power.Price
	Limits  power.Limits
	Wanted  float64 // power

	Result *power.Result // of the plan as it is; nil when Refused
	Curve  *power.Curve  // over specimens and falls
	// Choice is the cheapest plan with the power wanted; what Short says where
	// there is none.
	Choice  *power.Choice
	Short   error
	Best    []power.Most // for each question, what rope and time at hand can show at best
	Refused error
	Notes   []string
}

const (
	usualPower   = 0.8
	usualMargins = 2
	// curveStudies are simulated at each size beside the plan's own: the standard
	// error of a chance is one per cent.
	curveStudies = 2000
)

// HowManyOf simulates studies of a plan, one measure and scale after the other.
// earlier are the spreads of an earlier study by measure and scale, nil where
// there are none.
func HowManyOf(ctx context.Context, p *campaign.Plan, earlier func(campaign.Measure, compare.Scale) (power.Variances, error), o power.Options) ([]HowMany, error) {
	var out []HowMany
	for _, m := range campaign.Measures() {
		for _, on := range []compare.Scale{compare.Log, compare.Linear} {
			questions := putOf(p, m, on)
			if len(questions) == 0 {
				continue
			}
			h := howMany(p, m, on, questions)
			if err := h.vary(p, earlier); err != nil {
				return nil, err
			}
			out = append(out, h)
		}
	}
	told := parts{told: o.Progress, all: partsOfLook * len(out)}
	for i := range out {
		if err := out[i].look(ctx, p, o, &told); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// putOf is the questions of a measure that are answered on a scale.
func putOf(p *campaign.Plan, m campaign.Measure, on compare.Scale) []power.Question {
	var out []power.Question
	for _, q := range p.Questions {
		if q.Value == m && scaleOf(q, "") == on {
			out = append(out, power.Question{Question: questionOf(p, q), Truth: truthOf(p, q)})
		}
	}
	return out
}

// truthOf is the difference supposed: none where none is claimed.
func truthOf(p *campaign.Plan, q campaign.Question) power.Truth {
	margins := p.Numbers.Margins
	if margins == 0 {
		margins = usualMargins
	}
	switch q.Claim {
	case campaign.ClaimNone:
		return power.Truth{}
	case campaign.ClaimLower:
		margins = -margins
	}
	return power.Truth{Margins: margins}
}

func howMany(p *campaign.Plan, m campaign.Measure, on compare.Scale, questions []power.Question) HowMany {
	h := HowMany{Measure: m, Scale: on, Wanted: p.Numbers.Power}
	if h.Wanted == 0 {
		h.Wanted = usualPower
	}
	bare := make([]compare.Question, len(questions))
	for i, q := range questions {
		bare[i] = q.Question
	}
	rule := p.Analysis
	h.Plan = power.Plan{Falls: p.Series.Falls, Questions: questions, Level: p.Numbers.Levels[m]}
	h.Plan.Blocks, h.Notes = blocksOf(p)
	rule.Blocks = nil
	for _, b := range h.Plan.Blocks {
		rule.Blocks = append(rule.Blocks, campaign.Block(b.Name))
	}
	h.Plan.Ask = askOf(p, rule, m, on, bare)
	for _, c := range p.Conditions {
		n := 0
		for _, s := range p.Specimens {
			if s.Condition == c.Name && !s.Spare {
				n++
			}
		}
		h.Plan.Conditions = append(h.Plan.Conditions, power.Condition{Name: c.Name, Specimens: n})
	}
	h.Price, h.Limits = priceOf(p)
	return h
}

// blocksOf is the plan's blocks as the simulation has them, and what it leaves
// out.
func blocksOf(p *campaign.Plan) (blocks []power.Block, notes []string) {
	for _, b := range p.Analysis.Blocks {
		switch b {
		case campaign.DayBlock:
			if n := len(p.Days.Dates); n > 1 {
				blocks = append(blocks, power.Block{Name: string(b), Levels: n})
			} else {
				notes = append(notes, "days are a random term of the analysis and the plan does not name several: they are left out here")
			}
		case campaign.RopeBlock:
			if n := len(p.Ropes); n > 1 && oneLot(p) {
				blocks = append(blocks, power.Block{Name: string(b), Levels: n})
			} else {
				notes = append(notes, "ropes are a random term of the analysis and do not hold every condition: what differs from rope to rope is left out here, and the study will show less")
			}
		}
	}
	return blocks, notes
}

// oneLot reports whether all ropes are of one lot.
func oneLot(p *campaign.Plan) bool {
	return !slices.ContainsFunc(p.Ropes, func(r campaign.Rope) bool { return r.Lot != p.Ropes[0].Lot })
}

// priceOf is what a specimen and a fall take, and what there is of rope and time.
func priceOf(p *campaign.Plan) (power.Price, power.Limits) {
	setting, _ := p.Setting(p.Series.Setting)
	d := p.Days
	price := power.Price{Metres: pieceOf(p, setting), PerMetre: p.Numbers.PerMetre, PerHour: p.Numbers.PerHour}
	price.Hang, price.Fall, price.Rest = onTower(p)
	if price.PerMetre == 0 && price.PerHour == 0 {
		price.PerMetre = 1
	}
	limits := power.Limits{Specimens: p.Numbers.Most}
	if n, why := ropeHolds(p, price.Metres-p.Cutting.Loss); n > 0 && (limits.Specimens == 0 || n < limits.Specimens) {
		limits.Specimens, limits.Why = n, why
	}
	working := d.To - d.From
	for _, b := range d.Breaks {
		working -= b.To - b.From
	}
	limits.Hours = float64(len(d.Dates)) * float64(max(1, d.Towers)) * working.Hours()
	return price, limits
}

// pieceOf is the rope that a specimen takes: by the plan's cutting, else what its
// longest listed specimen takes, else the free length.
func pieceOf(p *campaign.Plan, s campaign.Setting) float64 {
	if p.Cutting.Asked() {
		return p.Cutting.Piece(s) + p.Cutting.Loss
	}
	longest := 0.0
	for _, one := range p.Specimens {
		longest = max(longest, one.To-one.From)
	}
	if longest > 0 {
		return longest
	}
	return s.FreeLength
}

// onTower is the time, in s, that a specimen has the tower beside its falls, that a
// fall takes, and a rest after it. Settling and rests are counted to a release, and
// so hold the raising of the mass. Where specimens are remounted a rest keeps the
// tower no longer than taking down and hanging again.
func onTower(p *campaign.Plan) (hang, fall, rest float64) {
	d := p.Days
	settle := max(0, d.Settle-d.Drop)
	between := max(0, p.Series.Rest.Set-d.Drop)
	if d.Remount {
		between = min(between, d.TakeDown+d.Hang)
	}
	hang = (d.Hang + settle + d.TakeDown).Seconds()
	if after := p.Series.Overnight.After; after > 0 && after < p.Series.Falls {
		hang += hang - between.Seconds() // hung twice, and the night is no rest on the tower
	}
	return max(0, hang), d.Drop.Seconds(), between.Seconds()
}

// ropeHolds is how many specimens of each condition the rope at hand holds beside
// the spares, lot by lot and piece by piece, and in words why no more. 0 where a
// length that counts is not known.
func ropeHolds(p *campaign.Plan, piece float64) (n int, why string) {
	share := map[string]int{} // conditions of a lot
	for _, c := range p.Conditions {
		share[lotOf(p, c)]++
	}
	for _, r := range p.Ropes {
		if r.Length == 0 && share[r.Lot] > 0 || piece <= 0 {
			return 0, ""
		}
	}
	pieces := map[string]int{}
	for _, r := range draw.Ropes(p) {
		pieces[r.Lot] += r.Holds(piece, p.Cutting.Loss)
	}
	n = -1
	for _, r := range p.Ropes { // in order, for the same words each time
		if share[r.Lot] == 0 {
			continue
		}
		if room := pieces[r.Lot]/share[r.Lot] - p.Cutting.Spares; n < 0 || room < n {
			n, why = room, fmt.Sprintf("the rope at hand: %d pieces of %s", pieces[r.Lot], r.Lot)
			if p.Cutting.Spares > 0 {
				why += ", spares too"
			}
		}
	}
	return max(n, 1), why
}

// lotOf is the lot that a condition's specimens are cut from.
func lotOf(p *campaign.Plan, c campaign.Condition) string {
	if c.Lot != "" {
		return c.Lot
	}
	for _, s := range p.Specimens {
		if s.Condition == c.Name {
			return s.Lot
		}
	}
	return p.Ropes[0].Lot
}

// vary sets the spreads: the plan's own, else those of an earlier study, else
// common practice.
func (h *HowMany) vary(p *campaign.Plan, earlier func(campaign.Measure, compare.Scale) (power.Variances, error)) error {
	n := p.Numbers
	h.Plan.Variances = power.Defaults(h.Scale, h.Plan.Level)
	if earlier != nil && n.Study != "" {
		v, err := earlier(h.Measure, h.Scale)
		if err != nil {
			return err
		}
		h.Plan.Variances = v
	}
	unit := 1.0
	if h.Scale != compare.Log {
		unit = h.Plan.Level
	}
	for _, s := range []struct {
		group string
		share float64
	}{{"specimen", n.Specimens}, {"rope", n.Ropes}, {"day", n.Days}, {"", n.Falls}} {
		if s.share > 0 {
			h.Plan.Variances = given(h.Plan.Variances, s.group, s.share*unit)
		}
	}
	return nil
}

// given is v with the spread of a group as the plan gives it.
func given(v power.Variances, group string, sd float64) power.Variances {
	v.Parts = slices.Clone(v.Parts)
	one := compare.Variance{Group: group, SD: sd, DF: math.Inf(1)}
	if group != "" {
		one.Term = "intercept"
	}
	at := slices.IndexFunc(v.Parts, func(p compare.Variance) bool { return p.Group == group && p.Term == one.Term })
	if at < 0 {
		v.Parts = append(v.Parts, one)
	} else {
		v.Parts[at] = one
	}
	if v.Source == power.Default {
		v.Source, v.From = power.Given, "the study file, and common practice where it says none"
	} else if v.Source == power.EarlierStudy && !strings.Contains(v.From, ", ") {
		v.From += ", and the study file where it says some"
	}
	return v
}

// exampleOf is a level as a study file has it; the numbers are no advice.
func exampleOf(m campaign.Measure) string {
	switch m {
	case campaign.PeakForce:
		return "3.5 kN"
	case campaign.ReboundSpeed:
		return "3 m/s"
	case campaign.MaxStretch:
		return "90 cm"
	}
	return "1 kJ"
}

// partsOfLook is how many searches a look is.
const partsOfLook = 4

// look simulates.
func (h *HowMany) look(ctx context.Context, p *campaign.Plan, o power.Options, told *parts) error {
	next := func() power.Options {
		o.Progress = told.next()
		return o
	}
	if h.Scale != compare.Log && h.Plan.Level == 0 {
		h.Refused = problem.New(problem.TooFew, "numbers", "a margin of the %s is an amount, and what a specimen shows is not given", h.Measure).
			Hint("add to [numbers]: levels = { %q = %q }", string(h.Measure), exampleOf(h.Measure))
		return nil
	}
	var err error
	if h.Result, err = power.Simulate(ctx, h.Plan, next()); err != nil {
		h.Refused = err
		return ctx.Err()
	}
	falls := h.fallsLookedAt(p)
	o.Studies = curveStudies
	if h.Curve, err = power.Over(ctx, h.Plan, specimensLookedAt(p), falls, next()); err != nil && ctx.Err() != nil {
		return err
	}
	h.Choice, h.Short = power.Cheapest(ctx, h.Plan, h.Price, h.Limits, power.Wanted{Power: h.Wanted, Falls: falls}, next())
	if ctx.Err() != nil {
		return ctx.Err()
	}
	h.own()
	o.Studies = curveStudies / 2
	h.Best, err = power.Best(ctx, h.Plan, h.Price, h.Limits, power.Wanted{Power: h.Wanted, Falls: falls}, next())
	if err != nil && ctx.Err() != nil {
		return err
	}
	return nil
}

// own puts the plan's own result at its place of the curve: it has more studies,
// and two chances of one plan would be one too many.
func (h *HowMany) own() {
	n := h.Result.Specimens
	if h.Curve == nil || slices.ContainsFunc(h.Plan.Conditions, func(c power.Condition) bool { return c.Specimens != n }) {
		return
	}
	for i, c := range h.Curve.Cells {
		if c.Specimens == n && c.Falls == h.Plan.Falls && c.Result != nil {
			h.Curve.Cells[i].Result = h.Result
		}
	}
}

// fallsLookedAt are the shortest series that answers every question of the plan,
// of whatever measure, and the plan's.
func (h *HowMany) fallsLookedAt(p *campaign.Plan) []int {
	least := 1
	for _, q := range p.Questions {
		least = max(least, slices.Max(slices.Concat(q.Falls, q.BaselineFalls, []int{1})))
	}
	return slices.Compact([]int{least, p.Series.Falls})
}

// specimensLookedAt are numbers of specimens of a condition for the curve.
func specimensLookedAt(p *campaign.Plan) []int {
	most := p.Numbers.Most
	if most == 0 {
		most = 12
	}
	var out []int
	for _, n := range []int{2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 30, 50, 100} {
		if n <= most {
			out = append(out, n)
		}
	}
	return out
}
