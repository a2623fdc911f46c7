package planfile

import (
	"slices"
	"strings"

	"fallwright.example/problem"
)

// Format is the number of the study file's format, which its first key gives.
const Format = 1

// formatKey is the key above all parts.
const formatKey = "fallwright"

// part is one part of a study file: [name], or [[name]] when there can be many.
type part struct {
	name string
	many bool
	need bool
	keys []key
}

// key is one key of a part.
type key struct {
	name    string
	need    bool
	example string   // what may stand right of the equals sign
	also    []string // words that people try instead
}

// parts is the whole of the study file. The document's reference and the hints
// are held to it by tests.
var parts = []part{
	{"study", false, true, []key{
		{"name", true, `"sea-water"`, []string{"id"}},
		{"title", true, `"Sea water and the catch"`, nil},
		{"purpose", false, `"Find out whether a rope soaked in sea water catches harder."`, []string{"aim", "description"}},
		{"by", false, `"Skerry Head Climbing Club"`, []string{"author", "lab", "club"}},
		{"invented", false, `true`, []string{"demo"}},
	}},
	{"question", true, false, []key{
		{"name", true, `"soaked, fall 1"`, []string{"id"}},
		{"asks", true, `"Does Marram catch harder when it is soaked?"`, []string{"text", "question", "title"}},
		{"value", true, `"peak force"`, []string{"measure", "metric"}},
		{"compare", true, `"Marram soaked"`, []string{"condition"}},
		{"with", true, `"Marram dry"`, []string{"baseline", "against", "to"}},
		{"falls", true, `[1]`, []string{"fall"}},
		{"margin", true, `"5 %"`, []string{"threshold", "limit"}},
		{"with_falls", false, `[1]`, []string{"baseline_falls", "against_falls"}},
		{"trend", false, `false`, []string{"slope"}},
		{"claim", false, `"higher"`, []string{"direction", "shows", "expects"}},
		{"about", false, `"water"`, []string{"factor"}},
	}},
	{"factor", true, false, []key{
		{"name", true, `"water"`, []string{"id"}},
		{"levels", true, `["dry", "soaked"]`, []string{"values"}},
		{"within", false, `{ water = "soaked" }`, []string{"nested", "nested_in", "belongs_to", "parent", "in"}},
		{"lots", false, `["Marram 9.6", "Samphire 9.6 treated"]`, []string{"lot", "ropes"}},
	}},
	{"condition", true, true, []key{
		{"name", true, `"Marram dry"`, []string{"id"}},
		{"levels", false, `{ rope = "marram", water = "dry" }`, []string{"factors"}},
		{"baseline", false, `true`, []string{"control", "reference"}},
		{"lot", false, `"Marram 9.6"`, []string{"rope"}},
		{"specimens", false, `3`, []string{"count", "number", "n"}},
	}},
	{"combinations", false, false, []key{
		{"specimens", false, `3`, []string{"count", "number", "n"}},
		{"baseline", false, `{ rope = "marram", water = "dry" }`, []string{"control", "reference"}},
	}},
	{"rope", true, true, []key{
		{"name", false, `"A"`, []string{"id"}},
		{"lot", true, `"Marram 9.6"`, nil},
		{"type", false, `"single"`, []string{"kind"}},
		{"diameter", false, `"9.6 mm"`, nil},
		{"mass_per_length", false, `"62 g/m"`, []string{"weight", "mass"}},
		{"length", false, `"60 m"`, nil},
		{"first_fall_force", false, `"8.4 kN"`, []string{"impact_force", "force"}},
		{"construction", false, `"kernmantel, 40-carrier sheath"`, nil},
		{"treatment", false, `"none"`, nil},
		{"history", false, `"new"`, []string{"age"}},
		{"discard", false, `"1 m"`, []string{"ends"}},
		{"damage", false, `["22.4 m to 22.9 m"]`, []string{"damages"}},
		{"middle_mark", false, `"30 m"`, []string{"mark", "middle"}},
	}},
	{"specimen", true, false, []key{
		{"label", true, `"M-01"`, []string{"name", "id"}},
		{"lot", true, `"Marram 9.6"`, nil},
		{"condition", true, `"Marram dry"`, nil},
		{"from", false, `"1 m"`, []string{"start"}},
		{"to", false, `"4.40 m"`, []string{"end"}},
		{"knots", false, `"figure of eight, both ends"`, []string{"knot"}},
		{"rope", false, `"A"`, nil},
		{"spare", false, `false`, nil},
		{"place", false, `1`, []string{"order"}},
		{"day", false, `1`, nil},
	}},
	{"cut", true, false, []key{
		{"lot", true, `"Marram 9.6"`, nil},
		{"rope", false, `"A"`, nil},
		{"labels", true, `["M-01", "M-02", "M-03"]`, []string{"label", "names"}},
		{"conditions", true, `["Marram dry", "Marram soaked", "Marram dried"]`, []string{"condition"}},
		{"from", false, `"1 m"`, []string{"start"}},
		{"each", false, `"3.40 m"`, []string{"length"}},
		{"knots", false, `"figure of eight, both ends"`, []string{"knot"}},
	}},
	{"rig", false, true, []key{
		{"name", true, `"Boathouse tower"`, []string{"id"}},
		{"cell", false, `"load cell at the anchor"`, nil},
		{"cell_range", false, `"20 kN"`, []string{"range", "capacity"}},
		{"edge_radius", false, `"5 mm"`, []string{"edge"}},
		{"guide", false, `"two steel wires"`, []string{"guides"}},
		{"gravity", false, `"9.816 m/s2"`, []string{"g"}},
		{"cell_uncertainty", false, `"0.5 %"`, []string{"uncertainty", "accuracy"}},
		{"gravity_uncertainty", false, `"0.001 m/s2"`, nil},
		{"edge_friction", false, `0.2`, []string{"friction", "mu"}},
		{"edge_angle", false, `"90 deg"`, []string{"angle"}},
		{"edge_friction_uncertainty", false, `0.03`, nil},
		{"gate_flag", false, `"20 mm"`, []string{"flag", "gate"}},
		{"gate_above", false, `"10 cm"`, nil},
		{"gate_uncertainty", false, `"1 %"`, nil},
		{"guide_share", false, `"2 %"`, nil},
		{"guide_uncertainty", false, `"0.5 %"`, nil},
	}},
	{"setting", true, true, []key{
		{"name", true, `"standard"`, []string{"id"}},
		{"mass", true, `"80 kg"`, []string{"weight"}},
		{"drop", true, `"1.42 m"`, []string{"height", "drop_height"}},
		{"free_length", true, `"2.60 m"`, []string{"length", "rope"}},
		{"mass_uncertainty", false, `"50 g"`, nil},
		{"drop_uncertainty", false, `"5 mm"`, []string{"height_uncertainty"}},
		{"free_length_uncertainty", false, `"1 cm"`, []string{"length_uncertainty"}},
	}},
	{"series", false, true, []key{
		{"falls", true, `5`, []string{"drops", "count"}},
		{"setting", true, `"standard"`, nil},
		{"rest", false, `"3 min"`, []string{"pause", "interval"}},
		{"rest_tolerance", false, `"15 s"`, []string{"tolerance"}},
		{"overnight_after", false, `3`, []string{"night_after"}},
		{"overnight", false, `"16 h"`, []string{"night", "long_rest"}},
		{"overnight_tolerance", false, `"4 h"`, nil},
	}},
	{"reading", false, true, append([]key{
		{"filter", true, `"CFC 60"`, []string{"cfc", "class"}},
	}, askKeys...)},
	{"analysis", false, false, []key{
		{"falls", false, `"levels"`, []string{"falls_as", "fall"}},
		{"blocks", false, `["day"]`, []string{"block", "random"}},
		{"spread", false, `"by condition"`, []string{"spreads", "variance"}},
		{"df", false, `"kenward-roger"`, []string{"degrees_of_freedom"}},
		{"adjust", false, `"holm"`, []string{"adjustment", "correction"}},
	}},
	{"cutting", false, false, []key{
		{"each", false, `"3.40 m"`, []string{"length", "piece"}},
		{"knot_takes", false, `"40 cm"`, []string{"knot"}},
		{"knots", false, `"figure of eight, both ends"`, nil},
		{"loss", false, `"5 mm"`, []string{"kerf"}},
		{"spares", false, `1`, []string{"spare"}},
	}},
	{"order", false, false, []key{
		{"seed", true, `4711`, []string{"random_seed"}},
		{"within", false, `["rope", "day"]`, []string{"blocks", "balance"}},
		{"max_run", false, `2`, []string{"run"}},
		{"blind", false, `true`, []string{"blinded"}},
	}},
	{"days", false, false, []key{
		{"dates", true, `["2026-12-05", "2026-12-06"]`, []string{"date", "days"}},
		{"hours", true, `"09:00 to 16:30"`, []string{"open", "daylight"}},
		{"breaks", false, `["12:30 to 13:00"]`, []string{"break", "lunch"}},
		{"towers", false, `1`, []string{"tower"}},
		{"people", false, `2`, []string{"hands"}},
		{"remount", false, `false`, nil},
		{"weigh", false, `"1 min"`, nil},
		{"put_in", false, `"1 min"`, nil},
		{"hang", false, `"4 min"`, []string{"mount"}},
		{"settle", false, `"3 min"`, nil},
		{"drop", false, `"1 min"`, nil},
		{"take_down", false, `"2 min"`, []string{"dismount"}},
		{"checks", false, `1`, []string{"check", "check_drops"}},
	}},
	{"preparation", true, false, []key{
		{"do", true, `"soak"`, []string{"kind", "what"}},
		{"conditions", true, `["Marram soaked"]`, []string{"condition"}},
		{"in", false, `"sea-water bath"`, []string{"bath", "place"}},
		{"holds", false, `6`, []string{"capacity", "size"}},
		{"time", true, `"30 min"`, []string{"for", "duration"}},
		{"tolerance", false, `"5 min"`, nil},
		{"to_drop", false, `"5 min"`, []string{"drain"}},
		{"to_drop_tolerance", false, `"2 min"`, nil},
	}},
	{"numbers", false, false, []key{
		{"power", false, `"80 %"`, nil},
		{"margins", false, `2`, []string{"difference", "effect"}},
		{"levels", false, `{ "peak force" = "3.5 kN" }`, []string{"level"}},
		{"specimens", false, `"3 %"`, []string{"between_specimens"}},
		{"ropes", false, `"2 %"`, []string{"between_ropes"}},
		{"days", false, `"1 %"`, []string{"between_days"}},
		{"falls", false, `"2 %"`, []string{"residual", "within"}},
		{"study", false, `"sea-water"`, []string{"from", "pilot"}},
		{"most", false, `9`, []string{"max", "limit"}},
		{"per_metre", false, `3`, []string{"rope_cost"}},
		{"per_hour", false, `20`, []string{"tower_cost"}},
	}},
	{"water", false, false, []key{
		{"definition", false, `"mass gained over dry mass"`, []string{"uptake"}},
		{"dry_state", false, `"48 h at 23 °C, 50 % humidity"`, []string{"dry"}},
		{"drain", false, `"2 min"`, []string{"draining", "drained"}},
		{"blot", false, `"one turn in a dry towel"`, []string{"blotting", "blotted"}},
		{"bath", false, `"sea water"`, []string{"water", "in"}},
		{"bath_c", false, `14`, []string{"temperature"}},
		{"ends", false, `"sealed"`, []string{"end"}},
		{"depth", false, `"20 cm"`, nil},
		{"resolution", false, `"0.1 g"`, []string{"step"}},
		{"repeatability", false, `"0.2 g"`, nil},
		{"at", false, `["1 min", "15 min"]`, []string{"times", "compare_at"}},
	}},
}

// askKeys say how trace files are read, in [reading] and in a recipe.
var askKeys = []key{
	{"rate", false, `"2000 Hz"`, []string{"sample_rate", "frequency"}},
	{"force", false, `"Load"`, []string{"load"}},
	{"time", false, `1`, nil},
	{"stretch", false, `"none"`, []string{"displacement", "extension"}},
	{"gate", false, `"none"`, []string{"light_gate"}},
	{"unit", false, `"kN"`, []string{"force_unit"}},
	{"delimiter", false, `"semicolon"`, []string{"separator", "sep"}},
	{"decimal", false, `"comma"`, []string{"decimal_mark", "decimal_sign"}},
	{"sheet", false, `"falls"`, []string{"worksheet", "tab"}},
	{"part", false, `1`, []string{"drop", "run"}},
	{"full_scale", false, `20`, []string{"fullscale", "scale"}},
	{"pull", false, `"negative"`, []string{"sign", "direction"}},
}

// partNamed returns the part of that name.
func partNamed(name string) (part, bool) {
	i := slices.IndexFunc(parts, func(p part) bool { return p.name == name })
	if i < 0 {
		return part{}, false
	}
	return parts[i], true
}

// header is the part's line in a file; a recipe, which is a file of its own, has
// none.
func (p part) header() string {
	switch {
	case p.name == recipePart.name:
		return "the recipe"
	case p.many:
		return "[[" + p.name + "]]"
	}
	return "[" + p.name + "]"
}

// key returns the key of that name.
func (p part) key(name string) (key, bool) {
	i := slices.IndexFunc(p.keys, func(k key) bool { return k.name == name })
	if i < 0 {
		return key{}, false
	}
	return p.keys[i], true
}

// line is the key as it may stand in a file.
func (k key) line() string { return k.name + " = " + k.example }

// names lists the names of a part's keys.
func (p part) names() []string {
	var out []string
	for _, k := range p.keys {
		out = append(out, k.name)
	}
	return out
}

// meant returns the key that an unknown name was most likely meant to be.
func (p part) meant(name string) (string, bool) {
	for _, k := range p.keys {
		if slices.Contains(k.also, strings.ToLower(name)) {
			return k.name, true
		}
	}
	return problem.Nearest(name, p.names())
}
