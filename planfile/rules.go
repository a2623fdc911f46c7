package planfile

import (
	"fallwright.example/campaign"
)

// follows lists, for a field that a rule is about, the fields of other parts
// that the rule looks at: when one of those could not be read, the rule would
// only repeat that.
var follows = map[campaign.Part]map[string][]campaign.Place{
	campaign.QuestionPart: {
		"compare":  {{Part: "condition", Field: "name"}, {Part: "specimen", Field: "condition"}, {Part: "specimen", Field: "conditions"}},
		"baseline": {{Part: "condition", Field: "name"}, {Part: "specimen", Field: "condition"}, {Part: "specimen", Field: "conditions"}},
		"falls":    {{Part: "series", Field: "falls"}},

		"baseline_falls": {{Part: "series", Field: "falls"}, {Part: "question", Field: "falls"}},
		"about":          {{Part: "factor", Field: "name"}, {Part: "factor", Field: "levels"}, {Part: "condition", Field: "levels"}, {Part: "factor", Field: "within"}},
	},
	campaign.FactorPart: {
		"within": {{Part: "factor", Field: "name"}, {Part: "factor", Field: "levels"}, {Part: "condition", Field: "levels"}},
	},
	campaign.ConditionPart: {
		"":       {{Part: "condition", Field: "baseline"}, {Part: "condition", Field: "name"}},
		"levels": {{Part: "factor", Field: "name"}, {Part: "factor", Field: "levels"}, {Part: "factor", Field: "within"}},
		"lot":    {{Part: "factor", Field: "lots"}, {Part: "rope", Field: "lot"}},
	},
	campaign.SpecimenPart: {
		"lot":       {{Part: "rope", Field: "lot"}},
		"condition": {{Part: "condition", Field: "name"}},
		"from":      {{Part: "specimen", Field: "to"}, {Part: "specimen", Field: "each"}},
		"to":        {{Part: "specimen", Field: "from"}, {Part: "specimen", Field: "each"}},
	},
	campaign.RigPart: {
		"edge_friction":             {{Part: "rig", Field: "edge_angle"}},
		"edge_angle":                {{Part: "rig", Field: "edge_friction"}},
		"edge_friction_uncertainty": {{Part: "rig", Field: "edge_friction"}},
		"gate_above":                {{Part: "rig", Field: "gate_flag"}, {Part: "setting", Field: "drop"}},
		"gate_uncertainty":          {{Part: "rig", Field: "gate_flag"}},
	},
	campaign.SettingPart: {
		"mass_uncertainty":        {{Part: "setting", Field: "mass"}},
		"drop_uncertainty":        {{Part: "setting", Field: "drop"}},
		"free_length_uncertainty": {{Part: "setting", Field: "free_length"}},
	},
	campaign.SeriesPart: {
		"setting":        {{Part: "setting", Field: "name"}},
		"rest_tolerance": {{Part: "series", Field: "rest"}},
	},
	campaign.AnalysisPart: {
		"falls":  {{Part: "series", Field: "falls"}},
		"blocks": {{Part: "specimen", Field: "lot"}, {Part: "rope", Field: "lot"}},
	},
}

// rules adds what the plan itself refuses, each with its line.
func (r *reading) rules() {
	shown := map[span]map[string]bool{} // what was refused where
	for _, f := range r.made.Faults() {
		if r.known(f.Place) {
			continue
		}
		at := r.find(f.Place)
		// One key of a [[cut]] stands for the same field of many specimens, one of a
		// factor or of [combinations] for that of many conditions.
		once := f.Problem.What
		if f.Place.Part == campaign.SpecimenPart {
			once = f.Place.Field
		}
		if shown[at][once] {
			continue
		}
		if shown[at] == nil {
			shown[at] = map[string]bool{}
		}
		shown[at][once] = true
		if f.Place.Part == campaign.SpecimenPart {
			if f.Place.Field != "label" {
				f.Problem.What = r.made.Specimens[f.Place.Index].Label + ": " + f.Problem.What
			}
		}
		r.add(at, f.Problem)
		if f.Place.Part == campaign.ConditionPart && f.Place.Field == "" {
			if r.combined {
				f.Problem.Hint("add to [combinations] its levels, such as: baseline = %s", levelsOf(&r.made, r.made.Conditions[0]))
			} else {
				f.Problem.Hint("add to it: baseline = true")
			}
		}
	}
}

// known reports whether a fault of the plan follows from one of the file.
func (r *reading) known(place campaign.Place) bool {
	if r.spoilt(place) || r.spoilts[wholePart(string(place.Part))] {
		return true
	}
	for _, p := range follows[place.Part][place.Field] {
		p.Index = -1
		if r.spoilts[p] || r.spoilts[wholePart(string(p.Part))] {
			return true
		}
	}
	return false
}

// find returns where a place of the plan is in the file: the element, else the
// key, else the part.
func (r *reading) find(place campaign.Place) span {
	for _, p := range []campaign.Place{
		place,
		{Part: place.Part, Index: place.Index, Field: place.Field},
		{Part: place.Part, Index: place.Index},
	} {
		if at, ok := r.places[p]; ok {
			return at
		}
	}
	return span{}
}
