package campaign

import (
	"math"
	"strings"
	"testing"
	"time"

	"fallwright.example/problem"
)

// small is a plan that keeps every rule; each case breaks one.
func small() Plan {
	levels := func(rope, water string) map[string]string { return map[string]string{"rope": rope, "water": water} }
	return Plan{
		Name: "sea-water", Title: "Sea water and the catch",
		Questions: []Question{{
			Name: "soaked", Asks: "Does it catch harder when soaked?", Value: PeakForce,
			Compare: "Marram soaked", Baseline: "Marram dry", Falls: []int{1, 3}, Margin: Margin{Share: 0.05},
		}},
		Factors: []Factor{{Name: "rope", Levels: []string{"marram", "samphire"}}, {Name: "water", Levels: []string{"dry", "soaked"}}},
		Conditions: []Condition{
			{Name: "Marram dry", Levels: levels("marram", "dry"), Baseline: true},
			{Name: "Marram soaked", Levels: levels("marram", "soaked")},
			{Name: "Samphire dry", Levels: levels("samphire", "dry")},
		},
		Ropes: []Rope{{Lot: "Marram 9.6", Length: 60}, {Lot: "Samphire 9.6 treated"}},
		Specimens: []Specimen{
			{Label: "M-01", Lot: "Marram 9.6", Condition: "Marram dry", From: 1, To: 4.4},
			{Label: "M-02", Lot: "Marram 9.6", Condition: "Marram soaked", From: 4.4, To: 7.8},
			{Label: "S-01", Lot: "Samphire 9.6 treated", Condition: "Samphire dry", From: 1, To: 4.4},
		},
		Rig:      Rig{Name: "Boathouse tower", CellRange: 20000},
		Settings: []Setting{{Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6}, {Name: "low", Mass: 80, Drop: 0.7, FreeLength: 2.6}},
		Series:   Series{Falls: 3, Setting: "standard", Rest: Rest{3 * time.Minute, 15 * time.Second}},
		Reading:  ReadingRule{Class: 60},
	}
}

// stated is small with everything that a rig can state, as far as it goes.
func stated() Plan {
	p := small()
	p.Rig.EdgeFriction, p.Rig.EdgeAngle, p.Rig.EdgeFrictionUncertainty = 1, 4*math.Pi, 1
	p.Rig.GateFlag, p.Rig.GateAbove, p.Rig.GateUncertainty = 1, 1.41, 0.2
	p.Rig.CellUncertainty, p.Rig.GravityUncertainty = 0.2, 0.1
	p.Settings[0].MassUncertainty, p.Settings[0].DropUncertainty, p.Settings[0].FreeLengthUncertainty = 16, 0.284, 0.52
	return p
}

func TestPlanThatKeepsTheRules(t *testing.T) {
	for name, plan := range map[string]Plan{
		"small": small(),
		"rig with an edge, a gate and all uncertainties at their limits": stated(),
		"one condition, no factor, no question": {
			Name: "rest", Conditions: []Condition{{Name: "rested"}}, Settings: []Setting{{Name: "standard", Mass: 80, Drop: 1, FreeLength: 2}},
			Series: Series{Falls: 1, Setting: "standard"},
		},
	} {
		if err := plan.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Each case breaks one rule of small and names the whole refusal: where, what
// and the first hint.
func TestPlanRules(t *testing.T) {
	nan := math.NaN()
	cases := []struct {
		name   string
		breaks func(p *Plan)
		want   string // "where: what | hint"
		at     Place
	}{
		{
			"no study name", func(p *Plan) { p.Name = "" },
			`study: the study has no name | give it one word, such as "sea-water"`,
			Place{Part: StudyPart, Field: "name"},
		},
		{
			"study name of words", func(p *Plan) { p.Name = "Sea Water!" },
			`study: the name "Sea Water!" is not one word of a-z, 0-9 and hyphens | write "sea-water"`,
			Place{Part: StudyPart, Field: "name"},
		},
		{
			"study name like a flag", func(p *Plan) { p.Name = "-x" },
			`study: the name "-x" is not one word of a-z, 0-9 and hyphens | write "x"`,
			Place{Part: StudyPart, Field: "name"},
		},

		{
			"falls as what is not there", func(p *Plan) { p.Analysis.FallsAs = "lines" },
			`analysis: there is no falls "lines" | write one of: "levels", "trend", "trend-per-specimen"`,
			Place{Part: AnalysisPart, Field: "falls"},
		},
		{
			"degrees of freedom that are not there", func(p *Plan) { p.Analysis.DF = "all" },
			`analysis: there is no df "all" | write one of: "kenward-roger", "satterthwaite"`,
			Place{Part: AnalysisPart, Field: "df"},
		},
		{
			"adjustment that is not there", func(p *Plan) { p.Analysis.Adjust = "some" },
			`analysis: there is no adjust "some" | write one of: "none", "holm", "joint"`,
			Place{Part: AnalysisPart, Field: "adjust"},
		},
		{
			"block twice", func(p *Plan) { p.Analysis.Blocks = []Block{DayBlock, RopeBlock, DayBlock} },
			`analysis: the block "day" is named twice | name it once`,
			Place{Part: AnalysisPart, Field: "blocks", Element: "2"},
		},
		{
			"block that is not there", func(p *Plan) { p.Analysis.Blocks = []Block{"rig"} },
			`analysis: "rig" is no block | the blocks are: "rope", "day"; specimens are always one`,
			Place{Part: AnalysisPart, Field: "blocks", Element: "0"},
		},
		{
			"ropes of one rope", func(p *Plan) {
				p.Analysis.Blocks = []Block{RopeBlock}
				p.Specimens[2].Lot, p.Specimens[2].From, p.Specimens[2].To = "Marram 9.6", 10, 13
			},
			`analysis: all specimens are cut from one rope, which cannot differ from another | leave the block "rope" out`,
			Place{Part: AnalysisPart, Field: "blocks", Element: "0"},
		},
		{
			"own trends over two falls", func(p *Plan) {
				p.Analysis.FallsAs, p.Series.Falls, p.Questions[0].Falls = FallTrendPerSpecimen, 2, []int{1}
			},
			`analysis: "trend-per-specimen" needs series of 3 falls or more, and these have 2 | write "levels", or make the series longer`,
			Place{Part: AnalysisPart, Field: "falls"},
		},

		{
			"question without name", func(p *Plan) { p.Questions[0].Name = " " },
			`question 1: it has no name | give it a name of its own`,
			Place{Part: QuestionPart, Field: "name"},
		},
		{
			"question name twice", func(p *Plan) { p.Questions = append(p.Questions, p.Questions[0]) },
			`question "soaked": the name "soaked" is taken by question 1 | give one of the two another name`,
			Place{Part: QuestionPart, Index: 1, Field: "name"},
		},
		{
			"hidden space in a name", func(p *Plan) { p.Questions[0].Name = "so\u200baked " },
			"question \"so\\u200baked \": the name \"so\\u200baked \" has a space or a control character that would not be seen | write \"so aked\"",
			Place{Part: QuestionPart, Field: "name"},
		},
		{
			"unknown value", func(p *Plan) { p.Questions[0].Value = "peak" },
			`question "soaked": "peak" is no value that a question can be about | the values are: "peak force", "rebound speed", "largest stretch", "energy absorbed"`,
			Place{Part: QuestionPart, Field: "value"},
		},
		{
			"unknown condition to compare", func(p *Plan) { p.Questions[0].Compare = "Marram wet" },
			`question "soaked": there is no condition "Marram wet" | the plan has: "Marram dry", "Marram soaked", "Samphire dry"`,
			Place{Part: QuestionPart, Field: "compare"},
		},
		{
			"unknown baseline", func(p *Plan) { p.Questions[0].Baseline = "dry" },
			`question "soaked": there is no condition "dry" | the plan has: "Marram dry", "Marram soaked", "Samphire dry"`,
			Place{Part: QuestionPart, Field: "baseline"},
		},
		{
			"compared with itself", func(p *Plan) { p.Questions[0].Compare = "Marram dry" },
			`question "soaked": condition "Marram dry" would be compared with itself | name two different conditions`,
			Place{Part: QuestionPart, Field: "compare"},
		},
		{
			"condition of a question without specimen", func(p *Plan) { p.Specimens[1].Condition = "Marram dry" },
			`question "soaked": condition "Marram soaked" has no specimen, so nothing can answer the question | give the condition at least two specimens, or take the question out`,
			Place{Part: QuestionPart, Field: "compare"},
		},
		{
			"no falls", func(p *Plan) { p.Questions[0].Falls = nil },
			`question "soaked": no fall is named that answers the question | name falls of the series, such as 1`,
			Place{Part: QuestionPart, Field: "falls"},
		},
		{
			"fall zero", func(p *Plan) { p.Questions[0].Falls = []int{0} },
			`question "soaked": fall 0 is outside the series, which has 3 falls | name falls from 1 to 3, or make the series longer`,
			Place{Part: QuestionPart, Field: "falls", Element: "0"},
		},
		{
			"fall beyond the series", func(p *Plan) { p.Questions[0].Falls = []int{3, 4} },
			`question "soaked": fall 4 is outside the series, which has 3 falls | name falls from 1 to 3, or make the series longer`,
			Place{Part: QuestionPart, Field: "falls", Element: "1"},
		},
		{
			"fall twice", func(p *Plan) { p.Questions[0].Falls = []int{1, 1} },
			`question "soaked": fall 1 is named twice | name it once`,
			Place{Part: QuestionPart, Field: "falls", Element: "1"},
		},
		{
			"no margin", func(p *Plan) { p.Questions[0].Margin = Margin{} },
			`question "soaked": the margin is 0, or there is none | give the smallest difference that matters, such as "5 %" or an amount in the value's own unit`,
			Place{Part: QuestionPart, Field: "margin"},
		},
		{
			"two margins", func(p *Plan) { p.Questions[0].Margin = Margin{0.05, 200} },
			`question "soaked": the margin is both a share and an amount | keep one of the two`,
			Place{Part: QuestionPart, Field: "margin"},
		},
		{
			"negative margin", func(p *Plan) { p.Questions[0].Margin = Margin{Amount: -200} },
			`question "soaked": the margin is -200 N, which is not above zero | give the smallest difference that matters, such as "5 %" or an amount in the value's own unit`,
			Place{Part: QuestionPart, Field: "margin"},
		},
		{
			"margin not a number", func(p *Plan) { p.Questions[0].Margin = Margin{Share: nan} },
			`question "soaked": the margin is NaN %, which is not above zero | give the smallest difference that matters, such as "5 %" or an amount in the value's own unit`,
			Place{Part: QuestionPart, Field: "margin"},
		},
		{
			"margin of everything", func(p *Plan) { p.Questions[0].Margin = Margin{Share: 5} },
			`question "soaked": the margin of 500 % is the whole of the baseline or more | give the smallest difference that matters, such as "5 %" or an amount in the value's own unit`,
			Place{Part: QuestionPart, Field: "margin"},
		},

		{
			"factor twice", func(p *Plan) { p.Factors = append(p.Factors, p.Factors[0]) },
			`factor "rope": the name "rope" is taken by factor 1 | give one of the two another name`,
			Place{Part: FactorPart, Index: 2, Field: "name"},
		},
		{"factor without levels", func(p *Plan) {
			p.Factors[1].Levels = nil
			p.Conditions, p.Questions, p.Specimens = nil, nil, nil
		}, `factor "water": the factor has no level | list its levels, such as "dry" and "soaked"`, Place{Part: FactorPart, Index: 1, Field: "levels"}},
		{
			"level twice", func(p *Plan) { p.Factors[1].Levels = []string{"dry", "soaked", "dry"} },
			`factor "water": the level "dry" is listed twice | list it once`,
			Place{Part: FactorPart, Index: 1, Field: "levels", Element: "2"},
		},
		{
			"level without a word", func(p *Plan) { p.Factors[1].Levels = []string{"dry", "soaked", ""} },
			`factor "water": the level "" is no name | give the level a word`,
			Place{Part: FactorPart, Index: 1, Field: "levels", Element: "2"},
		},

		{
			"no baseline", func(p *Plan) { p.Conditions[0].Baseline = false },
			`conditions: none of the 3 conditions is the baseline | mark the one that the others are compared with`,
			Place{Part: ConditionPart},
		},
		{
			"two baselines", func(p *Plan) { p.Conditions[2].Baseline = true },
			`condition "Samphire dry": condition "Marram dry" is the baseline already | mark one condition only`,
			Place{Part: ConditionPart, Index: 2, Field: "baseline"},
		},
		{
			"factor left out", func(p *Plan) { delete(p.Conditions[1].Levels, "water") },
			`condition "Marram soaked": it does not say its level of factor "water" | the levels are: "dry", "soaked"`,
			Place{Part: ConditionPart, Index: 1, Field: "levels"},
		},
		{
			"unknown level", func(p *Plan) { p.Conditions[1].Levels["water"] = "wet" },
			`condition "Marram soaked": factor "water" has no level "wet" | the levels are: "dry", "soaked"`,
			Place{Part: ConditionPart, Index: 1, Field: "levels", Element: "water"},
		},
		{
			"unknown factor", func(p *Plan) { p.Conditions[1].Levels["salt"] = "yes" },
			`condition "Marram soaked": there is no factor "salt" | the plan has: "rope", "water"`,
			Place{Part: ConditionPart, Index: 1, Field: "levels", Element: "salt"},
		},
		{
			"same combination", func(p *Plan) { p.Conditions[2].Levels["rope"] = "marram" },
			`condition "Samphire dry": it has the same levels as condition "Marram dry" | change a level, or name what sets the two apart as a factor`,
			Place{Part: ConditionPart, Index: 2, Field: "levels"},
		},

		{
			"lot twice", func(p *Plan) { p.Ropes = append(p.Ropes, Rope{Lot: "Marram 9.6"}) },
			`rope "Marram 9.6": the lot "Marram 9.6" is taken by rope 1 | give one of the two another lot`,
			Place{Part: RopePart, Index: 2, Field: "lot"},
		},
		{
			"negative diameter", func(p *Plan) { p.Ropes[1].Diameter = -0.0096 },
			`rope "Samphire 9.6 treated": the diameter is -0.0096 m | give a value above zero, or leave it out when it is not known`,
			Place{Part: RopePart, Index: 1, Field: "diameter"},
		},
		{
			"endless mass per length", func(p *Plan) { p.Ropes[1].MassPerLength = math.Inf(1) },
			`rope "Samphire 9.6 treated": the mass per length is +Inf kg/m | give a value above zero, or leave it out when it is not known`,
			Place{Part: RopePart, Index: 1, Field: "mass_per_length"},
		},
		{
			"length not a number", func(p *Plan) { p.Ropes[1].Length = nan },
			`rope "Samphire 9.6 treated": the length is NaN m | give a value above zero, or leave it out when it is not known`,
			Place{Part: RopePart, Index: 1, Field: "length"},
		},
		{
			"negative first-fall force", func(p *Plan) { p.Ropes[1].FirstFallForce = -1 },
			`rope "Samphire 9.6 treated": the first-fall force is -1 N | give a value above zero, or leave it out when it is not known`,
			Place{Part: RopePart, Index: 1, Field: "first_fall_force"},
		},

		{
			"label twice", func(p *Plan) { p.Specimens[2].Label = "M-01" },
			`specimen "M-01": the label "M-01" is taken by specimen 1 | give one of the two another label`,
			Place{Part: SpecimenPart, Index: 2, Field: "label"},
		},
		{
			"unknown lot", func(p *Plan) { p.Specimens[2].Lot = "Samphire" },
			`specimen "S-01": there is no rope of lot "Samphire" | the plan has: "Marram 9.6", "Samphire 9.6 treated"`,
			Place{Part: SpecimenPart, Index: 2, Field: "lot"},
		},
		{
			"specimen of an unknown condition", func(p *Plan) { p.Specimens[2].Condition = "" },
			`specimen "S-01": there is no condition "" | the plan has: "Marram dry", "Marram soaked", "Samphire dry"`,
			Place{Part: SpecimenPart, Index: 2, Field: "condition"},
		},
		{
			"piece before the rope", func(p *Plan) { p.Specimens[2].From = -0.5 },
			`specimen "S-01": it begins at -0.5 m, before the rope does | measure positions from one end of the rope, which is 0 m`,
			Place{Part: SpecimenPart, Index: 2, Field: "from"},
		},
		{
			"piece backwards", func(p *Plan) { p.Specimens[2].From, p.Specimens[2].To = 4.4, 1 },
			`specimen "S-01": it would run from 4.4 m to 1 m | the end of a piece is further along the rope than its beginning`,
			Place{Part: SpecimenPart, Index: 2, Field: "to"},
		},
		{
			"piece past the end", func(p *Plan) { p.Specimens[1].To = 60.1 },
			`specimen "M-02": it ends at 60.1 m, and the rope "Marram 9.6" is 60 m long | move the piece, or correct the length of the rope`,
			Place{Part: SpecimenPart, Index: 1, Field: "to"},
		},
		{
			"pieces overlap", func(p *Plan) { p.Specimens[1].From = 4.3 },
			`specimen "M-02": it begins at 4.3 m of rope "Marram 9.6", inside specimen M-01, which runs from 1 m to 4.4 m | move one of the two`,
			Place{Part: SpecimenPart, Index: 1, Field: "from"},
		},
		{
			"piece inside a longer one, not the next", func(p *Plan) {
				p.Specimens[0].To = 20
				p.Specimens[1].From, p.Specimens[1].To = 21, 24
				p.Specimens[2] = Specimen{Label: "M-03", Lot: "Marram 9.6", Condition: "Samphire dry", From: 19, To: 20.5}
			}, `specimen "M-03": it begins at 19 m of rope "Marram 9.6", inside specimen M-01, which runs from 1 m to 20 m | move one of the two`,
			Place{Part: SpecimenPart, Index: 2, Field: "from"},
		},

		{
			"negative cell range", func(p *Plan) { p.Rig.CellRange = -1 },
			`rig: the range of the cell is -1 N | give a value above zero, or leave it out when it is not known`,
			Place{Part: RigPart, Field: "cell_range"},
		},
		{
			"negative edge radius", func(p *Plan) { p.Rig.EdgeRadius = -1 },
			`rig: the edge radius is -1 m | give a value above zero, or leave it out when it is not known`,
			Place{Part: RigPart, Field: "edge_radius"},
		},
		{
			"gravity of the moon", func(p *Plan) { p.Rig.Gravity = 1.62 },
			`rig: gravity of 1.62 m/s2 is found nowhere on the ground, where it is between 9.7 and 9.9 | leave it out for the standard value, 9.80665 m/s2`,
			Place{Part: RigPart, Field: "gravity"},
		},
		{
			"cell uncertainty beyond all cells", func(p *Plan) { p.Rig.CellUncertainty = 0.5 },
			`rig: the uncertainty of the cell is 50 %, outside 0 to 20 % | give the standard uncertainty (k = 1), such as "0.5 %"; a certificate with k = 2 states twice that`,
			Place{Part: RigPart, Field: "cell_uncertainty"},
		},
		{
			"cell uncertainty below zero", func(p *Plan) { p.Rig.CellUncertainty = -0.005 },
			`rig: the uncertainty of the cell is -0.5 %, outside 0 to 20 % | give the standard uncertainty (k = 1), such as "0.5 %"; a certificate with k = 2 states twice that`,
			Place{Part: RigPart, Field: "cell_uncertainty"},
		},
		{
			"gate uncertainty that is none", func(p *Plan) { p.Rig.GateFlag, p.Rig.GateUncertainty = 0.02, nan },
			`rig: the uncertainty of the light gate is NaN %, outside 0 to 20 % | give the standard uncertainty (k = 1), such as "0.5 %"; a certificate with k = 2 states twice that`,
			Place{Part: RigPart, Field: "gate_uncertainty"},
		},
		{
			"gravity hardly known", func(p *Plan) { p.Rig.GravityUncertainty = 0.5 },
			`rig: the uncertainty of gravity is 0.5 m/s2, outside 0 to 0.2 m/s2, which is all that gravity varies on the ground | give the standard uncertainty (k = 1), such as "0.001 m/s2", or leave it out`,
			Place{Part: RigPart, Field: "gravity_uncertainty"},
		},
		{
			"edge friction beyond rope", func(p *Plan) { p.Rig.EdgeFriction, p.Rig.EdgeAngle = 1.2, 1 },
			`rig: the friction of the edge is 1.2, outside 0 to 1 | give a number such as 0.2, or leave it out`,
			Place{Part: RigPart, Field: "edge_friction"},
		},
		{
			"edge turned three times", func(p *Plan) { p.Rig.EdgeFriction, p.Rig.EdgeAngle = 0.2, 6*math.Pi },
			`rig: the rope turns by 1080 degrees at the edge, outside 0 to 720 | give the angle between the rope before the edge and after it, such as "90 deg"`,
			Place{Part: RigPart, Field: "edge_angle"},
		},
		{
			"edge friction without angle", func(p *Plan) { p.Rig.EdgeFriction = 0.2 },
			`rig: there is friction at an edge, and no angle that the rope turns by | give edge_angle, such as "90 deg", or leave the friction out`,
			Place{Part: RigPart, Field: "edge_friction"},
		},
		{
			"edge angle without friction", func(p *Plan) { p.Rig.EdgeAngle = 1 },
			`rig: the rope turns at an edge, and its friction is not given | give edge_friction, or leave the angle out`,
			Place{Part: RigPart, Field: "edge_angle"},
		},
		{
			"uncertainty of no edge", func(p *Plan) { p.Rig.EdgeFrictionUncertainty = 0.02 },
			`rig: there is an uncertainty, and no friction that it belongs to | give edge_friction and edge_angle, or leave the uncertainty out`,
			Place{Part: RigPart, Field: "edge_friction_uncertainty"},
		},
		{
			"gate without a flag", func(p *Plan) { p.Rig.GateAbove = 0.1 },
			`rig: there is a light gate, and the width of its flag is not given | give gate_flag, such as "20 mm", or leave gate_above out`,
			Place{Part: RigPart, Field: "gate_above"},
		},
		{
			"flag as wide as a door", func(p *Plan) { p.Rig.GateFlag = 2 },
			`rig: the flag is 2 m wide, outside 0 to 1 m | give the width that breaks the beam, such as "20 mm"`,
			Place{Part: RigPart, Field: "gate_flag"},
		},
		{
			"gate above the release", func(p *Plan) { p.Rig.GateFlag, p.Rig.GateAbove = 0.02, 1.42 },
			`rig: the gate is 1.42 m above first contact, and the mass falls 1.42 m before it | measure from the flag's middle in the beam to where it is when the rope goes tight`,
			Place{Part: RigPart, Field: "gate_above"},
		},
		{
			"mass uncertain by a third", func(p *Plan) { p.Settings[0].MassUncertainty = 27 },
			`setting "standard": the uncertainty of the mass is 27 kg, outside 0 to 20 % of its 80 kg | give the standard uncertainty (k = 1): how far off it is likely to be, in the unit of the mass`,
			Place{Part: SettingPart, Field: "mass_uncertainty"},
		},
		{
			"drop uncertainty below zero", func(p *Plan) { p.Settings[1].DropUncertainty = -0.005 },
			`setting "low": the uncertainty of the drop is -5 mm, outside 0 to 20 % of its 0.7 m | give the standard uncertainty (k = 1): how far off it is likely to be, in the unit of the drop`,
			Place{Part: SettingPart, Index: 1, Field: "drop_uncertainty"},
		},
		{
			"free length uncertain by itself", func(p *Plan) { p.Settings[0].FreeLengthUncertainty = 2.6 },
			`setting "standard": the uncertainty of the free length is 2.6 m, outside 0 to 20 % of its 2.6 m | give the standard uncertainty (k = 1): how far off it is likely to be, in the unit of the free length`,
			Place{Part: SettingPart, Field: "free_length_uncertainty"},
		},
		{
			"gravity with a slipped point", func(p *Plan) { p.Rig.Gravity = 98.1 },
			`rig: gravity of 98.1 m/s2 is found nowhere on the ground, where it is between 9.7 and 9.9 | leave it out for the standard value, 9.80665 m/s2`,
			Place{Part: RigPart, Field: "gravity"},
		},

		{
			"setting twice", func(p *Plan) { p.Settings[1].Name = "standard" },
			`setting "standard": the name "standard" is taken by setting 1 | give one of the two another name`,
			Place{Part: SettingPart, Index: 1, Field: "name"},
		},
		{
			"no mass", func(p *Plan) { p.Settings[1].Mass = 0 },
			`setting "low": the mass is 0 kg | give a value above zero`,
			Place{Part: SettingPart, Index: 1, Field: "mass"},
		},
		{
			"negative drop", func(p *Plan) { p.Settings[1].Drop = -0.1 },
			`setting "low": the drop is -0.1 m | give a value above zero`,
			Place{Part: SettingPart, Index: 1, Field: "drop"},
		},
		{
			"free length not a number", func(p *Plan) { p.Settings[1].FreeLength = nan },
			`setting "low": the free length is NaN m | give a value above zero`,
			Place{Part: SettingPart, Index: 1, Field: "free_length"},
		},

		{
			"no falls in the series", func(p *Plan) { p.Series.Falls, p.Questions = 0, nil },
			`series: a series of 0 falls answers nothing | give each specimen at least 1 fall`,
			Place{Part: SeriesPart, Field: "falls"},
		},
		{
			"series at an unknown setting", func(p *Plan) { p.Series.Setting = "high" },
			`series: there is no setting "high" | the plan has: "standard", "low"`,
			Place{Part: SeriesPart, Field: "setting"},
		},
		{
			"negative rest", func(p *Plan) { p.Series.Rest.Set = -time.Second },
			`series: the rest is -1 s, below zero | give a time, such as "3 min", or leave it out`,
			Place{Part: SeriesPart, Field: "rest"},
		},
		{
			"negative tolerance", func(p *Plan) { p.Series.Rest.Tolerance = -time.Second },
			`series: the tolerance of the rest is -1 s, below zero | give a time, such as "15 s"`,
			Place{Part: SeriesPart, Field: "rest_tolerance"},
		},
		{
			"tolerance of nothing", func(p *Plan) { p.Series.Rest.Set = 0 },
			`series: there is a tolerance, and no rest that it belongs to | give the rest, or leave the tolerance out`,
			Place{Part: SeriesPart, Field: "rest_tolerance"},
		},
		{
			"unknown class", func(p *Plan) { p.Reading.Class = 100 },
			`reading: there is no filter class CFC 100 | the classes are CFC 60, 180, 600 and 1000 (ISO 6487), or none`,
			Place{Part: ReadingPart, Field: "filter"},
		},
	}
	for _, c := range cases {
		p := small()
		c.breaks(&p)
		faults := p.Faults()
		if len(faults) != 1 {
			t.Errorf("%s: %d faults, want 1: %v", c.name, len(faults), p.Validate())
			continue
		}
		f := faults[0]
		if got := oneLine(f.Problem); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
		if f.Place != c.at {
			t.Errorf("%s: at %+v, want %+v", c.name, f.Place, c.at)
		}
		plainText(t, c.name, f.Problem)
	}
	if len(cases) < 50 {
		t.Errorf("looked at %d rules, want at least 50", len(cases))
	}
}

// A file is mended in one go: faults of several parts come together.
func TestPlanFaultsTogether(t *testing.T) {
	p := small()
	p.Name, p.Series.Setting, p.Specimens[0].Lot, p.Questions[0].Falls = "A b", "none", "?", []int{9}
	if all := problem.All(p.Validate()); len(all) != 4 {
		t.Errorf("%d problems, want 4: %v", len(all), all)
	}
}

// A long piece overlaps every piece in its reach, not only the next.
func TestOverlapsOfALongPiece(t *testing.T) {
	p := small()
	p.Specimens[0].To = 20
	p.Specimens[1].From, p.Specimens[1].To = 4, 7
	p.Specimens = append(p.Specimens, Specimen{Label: "M-03", Lot: "Marram 9.6", Condition: "Marram dry", From: 2, To: 3})
	var at []int
	for _, f := range p.Faults() {
		at = append(at, f.Place.Index)
	}
	if len(at) != 2 || at[0] != 3 || at[1] != 1 {
		t.Errorf("faults of specimens %v, want 3 and 1: %v", at, p.Validate())
	}
}

// oneLine is a refusal with its first hint.
func oneLine(p *problem.Problem) string {
	s := p.Error()
	if len(p.Hints) > 0 {
		s += " | " + p.Hints[0]
	}
	return s
}

// plainText holds how refusals are worded.
func plainText(t *testing.T, name string, p *problem.Problem) {
	t.Helper()
	if len(p.Hints) == 0 {
		t.Errorf("%s: no hint what to do", name)
	}
	for _, s := range append([]string{p.What}, p.Hints...) {
		low := strings.ToLower(s)
		for _, word := range []string{"invalid", "failed to", "please", "error", "%!"} {
			if strings.Contains(low, word) {
				t.Errorf("%s: %q says %q", name, s, word)
			}
		}
		if strings.HasSuffix(s, ".") || s == "" || (s[0] >= 'A' && s[0] <= 'Z' && !strings.HasPrefix(s, "M-")) {
			t.Errorf("%s: %q does not begin in lower case, or ends with a full stop", name, s)
		}
	}
}
