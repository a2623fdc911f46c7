package study

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/uptake"
)

// Dose is how a value of the falls goes with the water in the rope.
type Dose struct {
	Lot     string
	Measure campaign.Measure
	*uptake.Dose
	Points []uptake.Dosed // SI, one a fall
	Left   []string       // specimens without an uptake at their first fall, and why
	Why    string         // that there is no line
}

// AtLeast is the value at the least water that was seen: the line is not read beyond.
func (d Dose) AtLeast() float64 { return d.AtZero.Value + d.Slope.Value*d.From }

// Share is the change for ten points of per cent more water as a share of AtLeast.
func (d Dose) Share() float64 { return d.PerTenth.Value / d.AtLeast() }

// dose puts peaks and rebounds against uptake, lot by lot.
func (w *Water) dose(readings map[string]StoredReading) {
	s := w.Study
	for _, lot := range lotsOf(&s.Plan) {
		at, left := w.wetness(lot)
		for _, m := range []campaign.Measure{campaign.PeakForce, campaign.ReboundSpeed} {
			d := Dose{Lot: lot, Measure: m, Left: left}
			for _, drop := range s.Counting() {
				r, read := readings[drop.ID]
				share, known := at[drop.Specimen]
				if !known || !read || unusable(&r.Reading, m) != "" {
					continue
				}
				d.Points = append(d.Points, uptake.Dosed{
					Specimen: drop.Specimen, Fall: fmt.Sprint(drop.Fall), Uptake: share, Value: float64(measuredIn(&r.Reading, m)),
				})
			}
			var err error
			if d.Dose, err = uptake.DoseOf(d.Points); err != nil {
				d.Why = whys(problem.All(err))
			}
			if d.Dose != nil || len(d.Points) > 0 {
				w.Doses = append(w.Doses, d)
			}
		}
	}
	w.Doses = slices.DeleteFunc(w.Doses, func(d Dose) bool { return d.Dose == nil && noneWet(d.Points) })
}

func noneWet(points []uptake.Dosed) bool {
	return !slices.ContainsFunc(points, func(p uptake.Dosed) bool { return p.Uptake != 0 })
}

func lotsOf(p *campaign.Plan) []string {
	var out []string
	for _, r := range p.Ropes {
		if !slices.Contains(out, r.Lot) {
			out = append(out, r.Lot)
		}
	}
	return out
}

// wetness is the uptake that each specimen of a lot had by its last weighing before
// its first fall: none for one that was last weighed dry, unless the plan soaks it.
func (w *Water) wetness(lot string) (at map[string]float64, left []string) {
	at = map[string]float64{}
	for _, sp := range w.Study.Plan.Specimens {
		first, fell := firstFall(w.Study, sp.Label)
		if sp.Lot != lot || !fell {
			continue
		}
		var last *Weighed
		for i := range w.Weighed {
			if one := &w.Weighed[i]; one.Specimen == sp.Label && one.At.Before(first) {
				last = one
			}
		}
		switch {
		case last == nil:
			left = append(left, sp.Label+" was not weighed before its falls")
		case last.IsDry() && soaks(&w.Study.Plan, sp.Condition):
			left = append(left, sp.Label+" was to be soaked and was not weighed after it")
		case last.IsDry():
			at[sp.Label] = 0
		case math.IsNaN(last.Uptake):
			left = append(left, sp.Label+" has no dry mass")
		default:
			at[sp.Label] = last.Uptake
		}
	}
	return at, left
}

func soaks(p *campaign.Plan, condition string) bool {
	return slices.ContainsFunc(p.Preparations, func(do campaign.Preparation) bool {
		return do.Do == campaign.Soak && slices.Contains(do.Conditions, condition)
	})
}

// Gauged is what was gauged.
type Gauged struct {
	Rows     []GaugedRow
	Nominals []NominalRow
	Swelling []SwellingRow
	Lengths  []LengthRow
	Sheaths  []SheathRow
	Notes    []string // in what gaugings are not those of the standard
}

// GaugedRow is one gauging that stands.
type GaugedRow struct {
	campaign.Gauging
	Lot      string
	Nominal  float64       // m; 0 when not known
	Measured uptake.Gauged // Diameter NaN where only a length was taken
}

// NominalRow is how much thicker the specimens of a lot are than it is sold as.
type NominalRow struct {
	Lot       string
	Wet       bool
	Nominal   float64 // m
	Specimens int
	More      uptake.Estimate // m
}

// SwellingRow is the change of diameter of a lot from dry to wet.
type SwellingRow struct {
	Lot string
	uptake.Swelling
}

// LengthRow is the change of length of a lot from dry to wet.
type LengthRow struct {
	Lot string
	uptake.Change
}

// SheathRow is how far the sheath of a lot came past the core.
type SheathRow struct {
	Lot           string
	Wet           bool
	Specimens     int
	Amount, Share uptake.Estimate // Share is NaN where no length was measured
}

func (w *Water) gauge() {
	for _, g := range w.Study.StandingGaugings() {
		sp, _ := w.Study.Plan.Specimen(g.Specimen)
		rope, _ := w.Study.Plan.RopeOf(sp)
		row := GaugedRow{Gauging: g, Lot: sp.Lot, Nominal: rope.Diameter}
		row.Measured.Diameter.Value, row.Measured.Oval = math.NaN(), math.NaN()
		if len(g.Levels) > 0 {
			m, err := uptake.Gauge(uptake.Diameters{Specimen: g.Specimen, Load: g.Load, Kind: rope.Type, Contact: g.Contact, Levels: g.Levels})
			if err != nil {
				w.Gauged.Notes = append(w.Gauged.Notes, whys(problem.All(err)))
				continue
			}
			row.Measured = m
			for _, n := range m.Notes {
				w.Gauged.Notes = append(w.Gauged.Notes, g.Specimen+": "+n)
			}
		}
		w.Gauged.Rows = append(w.Gauged.Rows, row)
	}
	for _, lot := range lotsOf(&w.Study.Plan) {
		w.Gauged.lot(lot)
	}
}

// newest are the newest rows of each specimen of a lot, dry or wet, that keep has.
func (g *Gauged) newest(lot string, wet bool, keep func(GaugedRow) bool) []GaugedRow {
	var out []GaugedRow
	for _, row := range g.Rows {
		if row.Lot != lot || row.Wet != wet || !keep(row) {
			continue
		}
		if i := slices.IndexFunc(out, func(o GaugedRow) bool { return o.Specimen == row.Specimen }); i >= 0 {
			out[i] = row
			continue
		}
		out = append(out, row)
	}
	return out
}

func (g *Gauged) lot(lot string) {
	diameters := map[bool][]uptake.Gauged{}
	for _, wet := range []bool{false, true} {
		rows := g.newest(lot, wet, func(r GaugedRow) bool { return len(r.Levels) > 0 })
		for _, r := range rows {
			diameters[wet] = append(diameters[wet], r.Measured)
		}
		if len(rows) > 0 && rows[0].Nominal > 0 {
			if more, err := uptake.AgainstNominal(diameters[wet], rows[0].Nominal); err == nil {
				g.Nominals = append(g.Nominals, NominalRow{lot, wet, rows[0].Nominal, len(rows), more})
			}
		}
		g.sheath(lot, wet)
	}
	if sw, err := uptake.Swelled(diameters[false], diameters[true]); err == nil {
		g.Swelling = append(g.Swelling, SwellingRow{lot, sw})
	}
	g.length(lot)
}

func (g *Gauged) sheath(lot string, wet bool) {
	var shifts []float64
	length := 0.0
	rows := g.newest(lot, wet, func(r GaugedRow) bool { return r.Sheath != nil })
	for _, r := range rows {
		shifts, length = append(shifts, *r.Sheath), r.Length
	}
	for _, r := range rows {
		if r.Length != length { // one length for all, or the share is not given
			length = 0
		}
	}
	if len(rows) == 0 {
		return
	}
	nan := math.NaN()
	row := SheathRow{lot, wet, len(rows), uptake.Estimate{}, uptake.Estimate{Value: nan, SE: nan, Lower: nan, Upper: nan}}
	per := length
	if per == 0 {
		per = 1
	}
	amount, share, err := uptake.SheathShift(shifts, per)
	if err != nil {
		return
	}
	row.Amount = amount
	if length > 0 {
		row.Share = share
	}
	g.Sheaths = append(g.Sheaths, row)
}

func (g *Gauged) length(lot string) {
	has := func(r GaugedRow) bool { return r.Length > 0 }
	wet := g.newest(lot, true, has)
	var pairs []uptake.Pair
	for _, dry := range g.newest(lot, false, has) {
		if i := slices.IndexFunc(wet, func(r GaugedRow) bool { return r.Specimen == dry.Specimen && r.Load == dry.Load }); i >= 0 {
			pairs = append(pairs, uptake.Pair{Specimen: dry.Specimen, Before: dry.Length, After: wet[i].Length})
		}
	}
	if c, err := uptake.Changed(pairs); err == nil {
		g.Lengths = append(g.Lengths, LengthRow{lot, c})
	}
}

// Pulled is what it took to draw ropes through devices.
type Pulled struct {
	Rows   []PulledRow
	Ratios []uptake.PullRatio
	Why    string // that there are no ratios; empty where there are, or no pulls
}

// PulledRow is one pull that stands.
type PulledRow struct {
	campaign.Pull
	Lot     string
	Braking float64 // Mean over Held; NaN when Held is not stated
}

func (w *Water) pull() {
	var all []uptake.Pulled
	for _, p := range w.Study.StandingPulls() {
		sp, _ := w.Study.Plan.Specimen(p.Specimen)
		row := PulledRow{p, sp.Lot, math.NaN()}
		if p.Held > 0 {
			row.Braking = p.Mean / p.Held
		}
		w.Pulled.Rows = append(w.Pulled.Rows, row)
		state := "dry"
		if p.Wet {
			state = "wet"
		}
		all = append(all, uptake.Pulled{Device: p.Device, Condition: sp.Lot + ", " + state, Specimen: p.Specimen, Force: p.Mean})
	}
	if len(all) == 0 {
		return
	}
	var err error
	if w.Pulled.Ratios, err = uptake.ComparePulls(all); err != nil {
		w.Pulled.Why = whys(problem.All(err))
	}
}

// Pull records a pull. With a trace its mean force and stick-slip are read from it.
func (d *Desk) Pull(ctx context.Context, name string, p campaign.Pull, file string, data []byte) (campaign.Pull, *uptake.PullReading, error) {
	p.ID = d.NewID()
	p.At = atNow(p.At, d.now())
	if data == nil {
		return p, nil, d.Store.AddPull(ctx, name, p, nil)
	}
	if p.Mean != 0 || p.StickSlip != nil {
		return p, nil, problem.New(problem.Invalid, "pull of "+p.Specimen, "there are a force and a trace").
			Hint("give the trace alone: the force is read from it").In("the pull was not stored")
	}
	s, err := d.load(ctx, name)
	if err != nil {
		return p, nil, err
	}
	rec, err := d.part(file, data, s.Plan.Reading.Ask)
	if err != nil {
		return p, nil, err
	}
	read, err := uptake.ReadPull(pullOf(rec, p))
	if err != nil {
		return p, nil, located(err, file)
	}
	source := sourceFile(file, data)
	p.Trace, p.Mean = &source, read.Mean
	if !math.IsNaN(read.Amplitude) {
		p.StickSlip = &read.Amplitude
	}
	return p, &read, d.Store.AddPull(ctx, name, p, data)
}

// pullOf is a recording of a pull, its force above zero whichever sign the cell has.
func pullOf(rec *trace.Recording, p campaign.Pull) uptake.Pull {
	sum := 0.0
	force := slices.Clone(rec.Force)
	for _, f := range force {
		sum += f
	}
	if sum < 0 {
		for i := range force {
			force[i] = -force[i]
		}
	}
	return uptake.Pull{Time: rec.Time, Force: force, Speed: p.Speed, Held: p.Held}
}
