package study

import (
	"context"
	"fmt"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/dial"
	"fallwright.example/num/quantity"
)

// Rig is a study's rig, with what dialling in for its rope can start from.
type Rig struct {
	Study   *campaign.Study
	Told    Dialling   // what the study says of it, filled in
	Lot     string     // of the rope dialled in for
	Assumed []Assumed  // what is filled in that the study does not say
	Trials  []RigTrial // recorded trial drops, in their order; the usable ones are in Told
	Checks  []DropRow  // check drops, in their order

	drops []DropRow
}

// Assumed is something filled in that a study does not say.
type Assumed struct {
	About    string // the part of a Dialling, as refusals call it
	Sentence string
}

// RigTrial is a recorded trial drop.
type RigTrial struct {
	DropRow
	Told DiallingTrial
	Why  string // it cannot be used; empty when it can
}

// DayChecks is what is confirmed by name before the first drop of a day.
func DayChecks() []string {
	return []string{
		"The release is worked from outside the exclusion zone.",
		"The exclusion zone is marked, and nobody is in it while a mass hangs.",
		"The mass is blocked before anybody goes to it.",
		"Mass and cell are held by a second line should rope, knot or anchor go.",
		"The catch bed is in place and takes the mass from the highest drop.",
		"Water is off the floor where people stand, and away from mains and loggers.",
		"Everybody at the tower has eye and ear protection on.",
	}
}

// Rig is what dialling in for a study starts from.
func (d *Desk) Rig(ctx context.Context, name string) (*Rig, error) {
	s, readings, err := d.recorded(ctx, name)
	if err != nil {
		return nil, err
	}
	return NewRig(s, dropRows(s, readings)), nil
}

// NewRig fills in what a study and its drops say of dialling in. Limits that no
// study file states are those that its own settings and trials have shown.
func NewRig(s *campaign.Study, drops []DropRow) *Rig {
	r := &Rig{Study: s, drops: drops}
	rope, known := dialledRope(&s.Plan)
	r.Lot = rope.Lot
	for i, row := range drops {
		switch row.Drop.Kind {
		case campaign.Trial:
			t := r.trial(drops[:i], row)
			r.Trials = append(r.Trials, t)
			if t.Why == "" {
				r.Told.Trials = append(r.Told.Trials, t.Told)
			}
		case campaign.Check:
			r.Checks = append(r.Checks, row)
		}
	}
	r.tower()
	if known {
		r.rope(rope)
	}
	r.Told.Falls = fmt.Sprint(max(1, s.Plan.Series.Falls))
	return r
}

// With is the rig as another plan for the same study says it, with the drops
// that were made.
func (r *Rig) With(p campaign.Plan) *Rig {
	other := *r.Study
	other.Plan = p
	return NewRig(&other, r.drops)
}

// tower fills in the window and what the tower can do.
func (r *Rig) tower() {
	p, t, usual := &r.Study.Plan, &r.Told, dial.Usual()
	t.Low, t.High = quantity.Format(usual.Low, quantity.Force), quantity.Format(usual.High, quantity.Force)
	t.Lowest, t.Step, t.Enough, t.Level = "5 cm", "1 cm", "90 %", "90 %"
	if p.Rig.Gravity > 0 {
		t.Gravity = quantity.Format(p.Rig.Gravity, quantity.Acceleration)
	}
	settings := slices.Clone(p.Settings)
	slices.SortStableFunc(settings, func(a, b campaign.Setting) int { // that of the series first
		switch p.Series.Setting {
		case a.Name:
			return -1
		case b.Name:
			return 1
		}
		return 0
	})
	var masses, lengths []float64
	highest := 0.0
	for _, s := range settings {
		if s.Mass > 0 && !slices.Contains(masses, s.Mass) {
			masses = append(masses, s.Mass)
		}
		if s.FreeLength > 0 && !slices.Contains(lengths, s.FreeLength) {
			lengths = append(lengths, s.FreeLength)
		}
		highest = max(highest, s.Drop)
	}
	t.Masses, t.FreeLengths = listed(masses, quantity.Mass), listed(lengths, quantity.Length)
	if highest > 0 {
		t.Highest = quantity.Format(highest, quantity.Length)
		r.assume("highest drop", "The highest drop is that of the study's settings: state the tower's own.")
	}
	r.assume("window, low", "The window is the usual 3 to 4 kN: common practice, no source.")
}

func (r *Rig) assume(about, sentence string) { r.Assumed = append(r.Assumed, Assumed{about, sentence}) }

// listed writes amounts beside each other.
func listed(values []float64, d quantity.Dimension) string {
	text := ""
	for i, v := range values {
		if i > 0 {
			text += ", "
		}
		text += quantity.Format(v, d)
	}
	return text
}

// The fall by which makers state a first-fall force: the standard's height and
// free length as most describe them, from memory; descriptions differ by 4 % in
// the factor.
const (
	makersDrop   = 4.8 // m
	makersLength = 2.8 // m
)

// makersMass is the mass of that fall by the type of the rope, 0 where one strand
// alone is not what is tested.
var makersMass = map[string]float64{"single": 80, "half": 55}

// dialledRope is the rope that dialling in is for: that of the baseline's first
// specimen, or else the plan's first.
func dialledRope(p *campaign.Plan) (campaign.Rope, bool) {
	if len(p.Ropes) == 0 {
		return campaign.Rope{}, false
	}
	for _, s := range p.Specimens {
		if s.Condition != p.BaselineCondition() {
			continue
		}
		if i := slices.IndexFunc(p.Ropes, func(o campaign.Rope) bool { return o.Lot == s.Lot }); i >= 0 {
			return p.Ropes[i], true
		}
	}
	return p.Ropes[0], true
}

// rope fills in what is published of a rope.
func (r *Rig) rope(of campaign.Rope) {
	mass := makersMass[of.Type]
	if of.FirstFallForce == 0 || mass == 0 {
		return
	}
	t := &r.Told
	t.Force, t.ForceMass = quantity.Format(of.FirstFallForce, quantity.Force), quantity.Format(mass, quantity.Mass)
	t.ForceDrop, t.ForceLength = quantity.Format(makersDrop, quantity.Length), quantity.Format(makersLength, quantity.Length)
	r.assume("published, force", fmt.Sprintf("The published force of %s is taken to be from %s, a drop of %s and %s of rope, the usual test of a %s rope.",
		of.Lot, t.ForceMass, t.ForceDrop, t.ForceLength, of.Type))
}

// trial is a recorded trial as dialling in takes it. The drops before it tell
// which fall of its specimen it is.
func (r *Rig) trial(before []DropRow, row DropRow) RigTrial {
	t, p := RigTrial{DropRow: row}, &r.Study.Plan
	set, known := p.Setting(row.Drop.Setting)
	if known {
		t.Told.Mass, t.Told.Drop = quantity.Format(set.Mass, quantity.Mass), quantity.Format(set.Drop, quantity.Length)
		t.Told.FreeLength = quantity.Format(set.FreeLength, quantity.Length)
	}
	fall := 1
	for _, b := range before {
		if d := b.Drop; d.Specimen != "" && d.Specimen == row.Drop.Specimen && (d.Void == nil || d.Void.Loaded) {
			fall++
		}
	}
	t.Told.Fall, t.Told.Specimen = fmt.Sprint(fall), row.Drop.Specimen
	if row.Reading != nil && row.Reading.PeakForce > 0 {
		t.Told.Peak = quantity.Format(float64(row.Reading.PeakForce), quantity.Force)
	}
	piece, labelled := p.Specimen(row.Drop.Specimen)
	switch {
	case row.Drop.Void != nil:
		t.Why = "it is void: " + row.Drop.Void.Reason
	case !known:
		t.Why = "it is not said with which setting it was made"
	case t.Told.Peak == "":
		t.Why = "it has no peak that was read"
	case labelled && piece.Lot != r.Lot:
		t.Why = fmt.Sprintf("it is of %s, and dialling in is for %s", piece.Lot, r.Lot)
	}
	return t
}
