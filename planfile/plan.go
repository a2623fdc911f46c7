// Package planfile reads the files that a study is planned and recorded in by
// hand: the study file, which is a campaign.Plan in TOML, and the table of
// drops. docs/FORMATS.md describes both.
//
// What is wrong with a file comes all at once, as a problem.List: each fault
// with its line, the line itself with the fault underlined, and what to write
// instead.
package planfile

import (
	"slices"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/draw"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// Parse reads a study file. name is what the file is called in refusals.
//
// The error is a problem.List in the order of the file. The rules of the plan
// itself (campaign.Plan.Faults) are checked on what could be read, except where
// a fault of the file would only be reported twice.
func Parse(name string, data []byte) (campaign.Plan, error) {
	r := newReading(name, data)
	root, ok := r.toml()
	if ok && r.format(root) {
		r.plan(root)
		r.rules()
		r.draw()
	}
	if err := r.err(); err != nil {
		return campaign.Plan{}, err
	}
	return r.made, nil
}

// draw draws the specimens of a plan that leaves them to the draw. What cannot be
// drawn is a fault of the part that asks for it.
func (r *reading) draw() {
	if r.err() != nil || !r.made.Cutting.Asked() {
		return
	}
	drawn, _, err := draw.Specimens(r.made)
	for _, p := range problem.All(err) {
		p.What = p.Error() // the place becomes the line
		r.add(r.find(campaign.Place{Part: campaign.CuttingPart}), p)
	}
	if err == nil {
		r.made = drawn
		r.rules()
	}
}

func newReading(name string, data []byte) *reading {
	return &reading{
		refusals: refusals{source: source{name, data}},
		places:   map[campaign.Place]span{}, spoilts: map[campaign.Place]bool{},
	}
}

// reading is one study file or recipe being read.
type reading struct {
	refusals
	made    campaign.Plan
	places  map[campaign.Place]span
	spoilts map[campaign.Place]bool // where the file is at fault already
	mends   []span                  // values that lacked their quotes

	combined bool // conditions are made of the factors
}

// mark keeps where a place of the plan is in the file.
func (r *reading) mark(place campaign.Place, at span) { r.places[place] = at }

// spoil notes that a place could not be read, so that nothing that follows from
// it is refused as well: the place itself, and its field in any part of the
// kind.
func (r *reading) spoil(place campaign.Place) {
	place.Element = ""
	r.spoilts[place] = true
	r.spoilts[campaign.Place{Part: place.Part, Index: -1, Field: place.Field}] = true
}

func (r *reading) spoilt(place campaign.Place) bool {
	place.Element = ""
	return r.spoilts[place]
}

// format holds that the file says which format it is in, and that it is ours.
func (r *reading) format(root *node) bool {
	e, there := root.get(formatKey)
	misspelt := slices.ContainsFunc(root.entries, func(e entry) bool {
		_, near := problem.Nearest(e.name, []string{formatKey})
		return near
	})
	switch {
	case !there && misspelt: // which strangers refuses
		return true
	case !there:
		r.lacks(0, "the file does not say which format it is in").
			Hint("write above everything else: %s = %d", formatKey, Format)
		return true
	case e.value.raw == strconv.Itoa(Format):
		return true
	}
	v, whole := e.value.whole()
	q := r.refuse(e.value.at, "%s is not a format of study files known here", shown(e.value))
	if whole && v > Format {
		q.Hint("read it with a newer fallwright; this one reads format %d", Format)
	} else {
		q.Hint("write: %s = %d", formatKey, Format)
	}
	return false
}

// plan reads every part.
func (r *reading) plan(root *node) {
	r.strangers(root)
	for _, n := range r.tables(root, "study") {
		f := r.open(n.part, n.node, 0)
		p := &r.made
		p.Name, p.Title, p.Purpose, p.By = f.text("name"), f.text("title"), f.text("purpose"), f.text("by")
		p.Invented = f.flag("invented")
	}
	for i, n := range r.tables(root, "question") {
		r.question(r.open(n.part, n.node, i))
	}
	r.conditions(root)
	for i, n := range r.tables(root, "rope") {
		f := r.open(n.part, n.node, i)
		r.made.Ropes = append(r.made.Ropes, campaign.Rope{
			Name: f.text("name"), Lot: f.text("lot"), Type: f.text("type"),
			Diameter: f.known("diameter", quantity.Length), MassPerLength: f.known("mass_per_length", quantity.MassPerLength),
			Length: f.known("length", quantity.Length), FirstFallForce: f.known("first_fall_force", quantity.Force),
			Construction: f.text("construction"), Treatment: f.text("treatment"), History: f.text("history"),
			Discard: f.in("discard", quantity.Length), Damage: f.stretches("damage"), MiddleMark: f.known("middle_mark", quantity.Length),
		})
	}
	r.specimens(root)
	r.tower(root)
}

// tower reads the parts that say how specimens are dropped and traces read.
func (r *reading) tower(root *node) {
	for _, n := range r.tables(root, "rig") {
		f := r.open(n.part, n.node, 0)
		r.made.Rig = campaign.Rig{
			Name: f.text("name"), Cell: f.text("cell"), Guide: f.text("guide"),
			CellRange: f.known("cell_range", quantity.Force), EdgeRadius: f.in("edge_radius", quantity.Length),
			Gravity: f.known("gravity", quantity.Acceleration),

			EdgeFriction: f.number("edge_friction"), EdgeAngle: f.in("edge_angle", quantity.Angle),
			GateFlag: f.known("gate_flag", quantity.Length), GateAbove: f.in("gate_above", quantity.Length),

			CellUncertainty:         f.known("cell_uncertainty", quantity.Share),
			GravityUncertainty:      f.known("gravity_uncertainty", quantity.Acceleration),
			EdgeFrictionUncertainty: f.number("edge_friction_uncertainty"),
			GateUncertainty:         f.known("gate_uncertainty", quantity.Share),
			GuideShare:              f.known("guide_share", quantity.Share),
			GuideUncertainty:        f.known("guide_uncertainty", quantity.Share),
		}
	}
	for i, n := range r.tables(root, "setting") {
		f := r.open(n.part, n.node, i)
		r.made.Settings = append(r.made.Settings, campaign.Setting{
			Name: f.text("name"), Mass: f.in("mass", quantity.Mass),
			Drop: f.in("drop", quantity.Length), FreeLength: f.in("free_length", quantity.Length),

			MassUncertainty:       f.known("mass_uncertainty", quantity.Mass),
			DropUncertainty:       f.known("drop_uncertainty", quantity.Length),
			FreeLengthUncertainty: f.known("free_length_uncertainty", quantity.Length),
		})
	}
	for _, n := range r.tables(root, "series") {
		f := r.open(n.part, n.node, 0)
		r.made.Series = campaign.Series{
			Falls: f.whole("falls"), Setting: f.text("setting"),
			Rest: campaign.Rest{Set: f.duration("rest"), Tolerance: f.duration("rest_tolerance")},
			Overnight: campaign.Overnight{
				After: f.whole("overnight_after"),
				Rest:  campaign.Rest{Set: f.duration("overnight"), Tolerance: f.duration("overnight_tolerance")},
			},
		}
	}
	for _, n := range r.tables(root, "reading") {
		f := r.open(n.part, n.node, 0)
		r.made.Reading = campaign.ReadingRule{Class: f.filter(), Ask: f.ask()}
	}
	for _, n := range r.tables(root, "analysis") {
		r.made.Analysis = r.open(n.part, n.node, 0).analysis()
	}
	r.planning(root)
}

// question reads a question; its margin has the unit of its value.
func (r *reading) question(f form) {
	q := campaign.Question{
		Name: f.text("name"), Asks: f.text("asks"), Value: campaign.Measure(f.text("value")),
		Compare: f.text("compare"), Baseline: f.text("with"), Falls: f.falls("falls"),
		BaselineFalls: f.falls("with_falls"), Trend: f.flag("trend"), Claim: f.claim(),
		About: f.text("about"),
	}
	among := []quantity.Dimension{quantity.Force, quantity.Speed, quantity.Length, quantity.Energy, quantity.Share}
	if d, known := dimensionOf[q.Value]; known {
		among = []quantity.Dimension{d, quantity.Share}
	}
	if v, d := f.value("margin", among...); d == quantity.Share {
		q.Margin.Share = v
	} else {
		q.Margin.Amount = v
	}
	r.made.Questions = append(r.made.Questions, q)
}

// claim reads what a question is to show; a peak force is harder or softer.
func (f form) claim() campaign.Claim {
	switch text := f.text("claim"); text {
	case "harder":
		return campaign.ClaimHigher
	case "softer":
		return campaign.ClaimLower
	default:
		return campaign.Claim(text)
	}
}

// dimensionOf is the dimension of each value that a question can be about.
var dimensionOf = map[campaign.Measure]quantity.Dimension{
	campaign.PeakForce: quantity.Force, campaign.ReboundSpeed: quantity.Speed,
	campaign.MaxStretch: quantity.Length, campaign.EnergyAbsorbed: quantity.Energy,
}

// most falls that a question may name: more than any rope takes.
const most = 1000

// falls reads [1, 5], 1 or "1 to 5".
func (f form) falls(name string) []int {
	const wanted = `a list of whole numbers, or "1 to 5"`
	n := f.take(name)
	if n == nil {
		return nil
	}
	if first, last, ok := fallRange(n); ok {
		var falls []int
		for i := first; i <= last; i++ {
			at := f.field(name)
			at.Element = strconv.Itoa(i - first)
			f.mark(at, n.at)
			falls = append(falls, i)
		}
		return falls
	}
	items := n.items
	switch n.kind {
	case isList:
	case isWhole:
		items = []*node{n}
	case isText:
		f.refuse(n.at, "%s is no range of falls", shown(n)).Hint(`write "1 to 5", or a list: [1, 5]`)
		f.spoil(f.field(name))
		return nil
	default:
		f.wrong(n, name, wanted)
		return nil
	}
	var falls []int
	for i, item := range items {
		v, ok := item.whole()
		if !ok {
			f.wrong(item, name, wanted)
			continue
		}
		at := f.field(name)
		at.Element = strconv.Itoa(i)
		f.mark(at, item.at)
		falls = append(falls, v)
	}
	return falls
}

// fallRange reads "1 to 5".
func fallRange(n *node) (first, last int, ok bool) {
	from, to, isRange := strings.Cut(n.text, " to ")
	if n.kind != isText || !isRange {
		return 0, 0, false
	}
	first, err1 := strconv.Atoi(strings.TrimSpace(from))
	last, err2 := strconv.Atoi(strings.TrimSpace(to))
	return first, last, err1 == nil && err2 == nil && first <= last && last-first < most
}

// levels reads a condition's levels, one text a factor.
func (f form) levels(name string) map[string]string {
	n := f.take(name)
	levels := map[string]string{}
	if n == nil {
		return levels
	}
	if n.kind != isTable {
		f.wrong(n, name, "a table with one level for each factor")
		return levels
	}
	for _, e := range n.entries {
		if e.value.kind != isText {
			f.wrong(e.value, name, "a table of texts")
			continue
		}
		at := f.field(name)
		at.Element = e.name
		f.mark(at, span{e.at.from, e.value.at.to})
		levels[e.name] = e.value.text
	}
	return levels
}

// filter reads "CFC 60" or "none".
func (f form) filter() int {
	n := f.take("filter")
	if n == nil {
		return 0
	}
	if n.kind == isText && n.text == "none" {
		return 0
	}
	number, cfc := strings.CutPrefix(n.text, "CFC ")
	class, err := strconv.Atoi(number)
	if !cfc || err != nil || class == 0 {
		f.spoil(f.field("filter"))
		if n.kind != isRefused {
			f.refuse(n.at, "%s is no filter", shown(n)).Hint(`write "CFC 60", "CFC 180", "CFC 600", "CFC 1000" or "none"`)
		}
		return 0
	}
	return class
}
