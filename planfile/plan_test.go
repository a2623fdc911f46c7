package planfile

import (
	"math"
	"os"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

func skerryHead(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("../demo/skerry-head.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// The demonstration's study file gives the plan that it is said to be.
func TestSkerryHead(t *testing.T) {
	p, err := Parse("skerry-head.toml", []byte(skerryHead(t)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"name", p.Name, "sea-water"},
		{"title", p.Title, "Sea water and the catch"},
		{"invented", p.Invented, true},
		{"questions", len(p.Questions), 6},
		{"conditions", len(p.Conditions), 6},
		{"specimens", len(p.Specimens), 18},
		{"baseline", p.BaselineCondition(), "Marram dry"},
		{"levels", p.Conditions[5].Levels["rope"] + " " + p.Conditions[5].Levels["water"], "samphire dried"},
		{"rope", p.Ropes[1], campaign.Rope{
			Lot: "Samphire 9.6 treated", Type: "single", Diameter: 0.0096, MassPerLength: 0.063,
			Length: 60, Treatment: "against water, sheath and core", History: "new",
		}},
		{"specimen", p.Specimens[8], campaign.Specimen{
			Label: "M-09", Lot: "Marram 9.6", Condition: "Marram soaked",
			From: 28.2, To: 31.6, Knots: "figure of eight, both ends",
		}},
		{"rig", p.Rig, campaign.Rig{
			Name: "Boathouse tower", Cell: "20 kN load cell at the anchor", CellRange: 20000,
			EdgeRadius: 0.005, Guide: "two steel wires", CellUncertainty: 0.005,
		}},
		{"setting", p.Settings[0], campaign.Setting{
			Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6, MassUncertainty: 0.05, DropUncertainty: 0.005,
		}},
		{"series", p.Series, campaign.Series{Falls: 5, Setting: "standard", Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second}}},
		{"class", p.Reading.Class, 60},
		{"value", p.Questions[5].Value, campaign.ReboundSpeed},
		{"margin", p.Questions[5].Margin, campaign.Margin{Share: 0.05}},
	} {
		if !reflect.DeepEqual(c.got, c.want) {
			t.Errorf("%s = %v, want %v", c.what, c.got, c.want)
		}
	}
	if falls := p.Questions[4].Falls; !slices.Equal(falls, []int{1, 2, 3, 4, 5}) {
		t.Errorf(`"1 to 5" is read as %v`, falls)
	}
	thirds := map[string]int{}
	for _, s := range p.Specimens {
		if s.From < 1 {
			t.Errorf("%s begins at %g m: the first metre is to be left out", s.Label, s.From)
		}
		thirds[s.Condition+strconv.Itoa(int((s.From-1)/10.2))]++
	}
	if len(thirds) != 18 {
		t.Errorf("conditions are not spread over the rope: %v", thirds)
	}
}

// What a study file says of trace files and of the rig's accuracy.
func TestStatedRig(t *testing.T) {
	file := swap(t, skerryHead(t), "filter = \"CFC 60\"", `filter = "CFC 180"
rate = "2 kHz"
force = 2
time = "t [s]"
stretch = "none"
gate = "gate"
unit = "daN"
delimiter = "bar"
decimal = "comma"
sheet = 1
part = "run 3"
full_scale = 20.5
pull = "negative"`)
	file = swap(t, file, "[rig]", `[rig]
edge_friction = 0.2
edge_angle = "90 deg"
edge_friction_uncertainty = 0.03
gate_flag = "20 mm"
gate_above = "10 cm"
gate_uncertainty = "1 %"
guide_share = "2 %"
guide_uncertainty = "0.5 %"
gravity_uncertainty = "0.001 m/s2"`)
	file = swap(t, file, "[[setting]]", `[[setting]]
free_length_uncertainty = "1 cm"`)
	p, err := Parse("s.toml", []byte(file))
	if err != nil {
		t.Fatal(err)
	}
	want := campaign.ReadingRule{Class: 180, Ask: trace.Ask{
		Rate: 2000, Force: "2", Time: "t [s]", Stretch: "none", Gate: "gate", Unit: "daN", Delimiter: "bar", Decimal: "comma",
		Sheet: "1", Part: "run 3", FullScale: 20.5, Pull: trace.PullNegative,
	}}
	if p.Reading != want {
		t.Errorf("reading is %+v\nwant %+v", p.Reading, want)
	}
	rig := campaign.Rig{
		Name: "Boathouse tower", Cell: "20 kN load cell at the anchor", CellRange: 20000, EdgeRadius: 0.005, Guide: "two steel wires",
		EdgeFriction: 0.2, EdgeAngle: math.Pi / 2, GateFlag: 0.02, GateAbove: 0.1,
		CellUncertainty: 0.005, GravityUncertainty: 0.001, EdgeFrictionUncertainty: 0.03, GateUncertainty: 0.01,
		GuideShare: 0.02, GuideUncertainty: 0.005,
	}
	if p.Rig != rig {
		t.Errorf("rig is %+v\nwant %+v", p.Rig, rig)
	}
	setting := campaign.Setting{
		Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6,
		MassUncertainty: 0.05, DropUncertainty: 0.005, FreeLengthUncertainty: 0.01,
	}
	if p.Settings[0] != setting {
		t.Errorf("setting is %+v\nwant %+v", p.Settings[0], setting)
	}
}

// The short form of a specimen and its long form make the same plan, and both
// take their turn in the order of the file: here the last piece of the first cut
// is written out between the two cuts.
func TestSpecimensInOrder(t *testing.T) {
	file := skerryHead(t)
	other := swap(t, file, `"M-07", "M-08", "M-09",`, `"M-07", "M-08",`)
	other = swap(t, other, `"Marram dried",  "Marram dry",    "Marram soaked",
]
`, `"Marram dried",  "Marram dry",
]

[[specimen]]
label     = "M-09"
lot       = "Marram 9.6"
condition = "Marram soaked"
from      = "28.2 m"
to        = "31.6 m"
knots     = "figure of eight, both ends"
`)
	want, err1 := Parse("a", []byte(file))
	got, err2 := Parse("b", []byte(other))
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	if !slices.Equal(got.Specimens, want.Specimens) {
		t.Errorf("got %v\nwant %v", got.Specimens, want.Specimens)
	}
}

// Positions of pieces are plain numbers to 0.1 mm, and one piece begins where
// the one before it ends.
func TestPositions(t *testing.T) {
	p, err := Parse("s.toml", []byte(swap(t, skerryHead(t), `each   = "3.40 m"`, `each = "3.3333 m"`)))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{1, 4.3333, 7.6666, 10.9999, 14.3332, 17.6665, 20.9998, 24.3331, 27.6664} {
		if s := p.Specimens[i]; s.From != want || i > 0 && s.From != p.Specimens[i-1].To {
			t.Errorf("%s begins at %.17g m, want %g", s.Label, s.From, want)
		}
	}
}

// Bytes that are no text are refused as such.
func TestForeign(t *testing.T) {
	for name, data := range map[string]string{"picture": "\x89PNG\r\n\x1a\n", "zeros": "fallwright = 1\n\x00\x00", "UTF-16": "\xff\xfef\x00a\x00"} {
		_, err := Parse("s.toml", []byte(data))
		if all := problem.All(err); len(all) != 1 || all[0].Kind != problem.Unreadable {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func swap(t testing.TB, s, old, new string) string {
	t.Helper()
	if !strings.Contains(s, old) {
		t.Fatalf("the study file has no %q", old)
	}
	return strings.Replace(s, old, new, 1)
}

// rendered is a problem as a terminal shows it.
func rendered(p *problem.Problem) string {
	lines := []string{p.Error()}
	if p.Quote != "" {
		lines = append(lines, p.Quote)
	}
	for _, h := range p.Hints {
		lines = append(lines, "-> "+h)
	}
	if p.State != "" {
		lines = append(lines, p.State)
	}
	return strings.Join(lines, "\n")
}

// Every refusal of a study file, whole: place, line, underline, what to write.
// Each case replaces one piece of the demonstration's file, which breaks one
// rule and must be refused once.
func TestRefusals(t *testing.T) {
	file := skerryHead(t)
	for _, c := range refusedFiles {
		_, err := Parse("s.toml", []byte(swap(t, file, c.old, c.new)))
		var got []string
		for _, p := range problem.All(err) {
			got = append(got, rendered(p))
			if p.Kind != problem.Invalid {
				t.Errorf("%s: kind %d", c.new, p.Kind)
			}
		}
		if text := strings.Join(got, "\n\n"); text != strings.TrimSpace(c.want) {
			t.Errorf("%s\n got:\n%s\nwant:\n%s", c.new, text, strings.TrimSpace(c.want))
		}
	}
	if len(refusedFiles) < 45 {
		t.Errorf("looked at %d refusals", len(refusedFiles))
	}
}

// Faults of several parts come together, in the order of the file, and what
// follows from one of them is not said again.
func TestFaultsTogether(t *testing.T) {
	file := skerryHead(t)
	for _, c := range [][2]string{
		{`invented = true`, `invented = yes`},
		{`margin  = "5 %"`, `margin = "5"`},
		{`with    = "Marram dry"`, `wiht = "Marram dry"`},
		{`levels = ["dry", "soaked", "dried"]`, `levels = "dry"`},
		{`length          = "60 m"`, `length = "60 kg"`},
		{`"M-04", "M-05"`, `"M-04", "M-01"`},
		{`mass             = "80 kg"`, `mass = 80 kg`},
		{`falls          = 5`, ``},
		{`setting        = "standard"`, `setting = "high"`},
	} {
		file = swap(t, file, c[0], c[1])
	}
	_, err := Parse("s.toml", []byte(file))
	var got []string
	for _, p := range problem.All(err) {
		got = append(got, p.Error())
	}
	want := []string{
		`s.toml:11: yes is no value for invented`,
		`s.toml:20: [[question]] has no key "wiht"`,
		`s.toml:22: "5" has no unit`,
		`s.toml:77: "dry" is text, and levels is a list of texts`,
		`s.toml:111: "60 kg" is a mass, not a length`,
		`s.toml:135: the label "M-01" is taken by specimen 1`,
		`s.toml:172: 80 kg is not in quotes`,
		`s.toml:178: [series] has no falls`,
		`s.toml:180: there is no setting "high"`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A plan that is returned keeps the rules, whatever line is missing or doubled;
// what is refused names a line of the file and says what to do.
func TestNoFaultIsLost(t *testing.T) {
	lines := strings.Split(skerryHead(t), "\n")
	refused, taken := 0, 0
	for i := range lines {
		for _, doubled := range []bool{false, true} {
			altered := slices.Delete(slices.Clone(lines), i, i+1)
			if doubled {
				altered = slices.Insert(slices.Clone(lines), i, lines[i])
			}
			if holdsUp(t, []byte(strings.Join(altered, "\n"))) {
				taken++
			} else {
				refused++
			}
		}
	}
	if refused < 150 || taken < 50 {
		t.Errorf("refused %d, taken %d of %d lines twice", refused, taken, len(lines))
	}
}

var place = regexp.MustCompile(`^s\.toml(:([0-9]+))?$`)

// holdsUp parses a file, holds what is true of every outcome, and reports
// whether it was taken.
func holdsUp(t *testing.T, data []byte) bool {
	t.Helper()
	p, err := Parse("s.toml", data)
	if err == nil {
		if err := p.Validate(); err != nil {
			t.Errorf("a plan was returned that breaks rules: %v\n%s", err, data)
		}
		return true
	}
	all := problem.All(err)
	if len(all) == 0 {
		t.Errorf("a bare error: %v", err)
	}
	for _, q := range all {
		m := place.FindStringSubmatch(q.Where)
		line, _ := strconv.Atoi(m[2])
		if m == nil || m[1] != "" && (line < 1 || line > strings.Count(string(data), "\n")+1 || !strings.Contains(q.Quote, "^")) {
			t.Errorf("%q, %q is not in the file:\n%s", q.Where, q.Quote, data)
		}
		if len(q.Hints) == 0 || q.What == "" {
			t.Errorf("%v says not what to do", q)
		}
	}
	return false
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(skerryHead(f)))
	for _, c := range refusedFiles {
		f.Add([]byte(c.new))
	}
	for _, s := range []string{"fallwright = 1", "\xff", "[[cut]]\nlabels = [1, [2], {a = 1}]", "a.b.c = 1\n[a]", "[[a.b]]\n[[a.b]]", "[reading]\nfilter.x = [[{a=1}]]", "rope = [{lot=1},{}]"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) { holdsUp(t, data) })
}

func BenchmarkParse(b *testing.B) {
	data := []byte(skerryHead(b))
	for b.Loop() {
		if _, err := Parse("s.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}

// A file that says how many specimens its conditions have comes back with them
// drawn, and a draw that cannot be is a fault of its [cutting].
func TestDrawnFile(t *testing.T) {
	file := `fallwright = 1
[study]
name = "short"
title = "Short"
[[condition]]
name = "dry"
baseline = true
specimens = 2
[[condition]]
name = "wet"
specimens = 2
[[factor]]
name = "water"
levels = ["no", "yes"]
[[rope]]
lot = "Marram 9.6"
length = "LENGTH"
discard = "50 cm"
[rig]
name = "tower"
[[setting]]
name = "standard"
mass = "80 kg"
drop = "1.42 m"
free_length = "2.60 m"
[series]
falls = 3
setting = "standard"
[reading]
filter = "none"
[cutting]
knot_takes = "40 cm"
spares = 1
[order]
seed = 4711
`
	file = strings.Replace(file, "baseline = true", "baseline = true\nlevels = { water = \"no\" }", 1)
	file = strings.Replace(file, `name = "wet"`, "name = \"wet\"\nlevels = { water = \"yes\" }", 1)
	p, err := Parse("short.toml", []byte(strings.Replace(file, "LENGTH", "30 m", 1)))
	if err != nil {
		t.Fatal(err)
	}
	spares := 0
	for _, s := range p.Specimens {
		if s.Spare {
			spares++
		}
	}
	if len(p.Specimens) != 6 || spares != 2 {
		t.Errorf("%+v", p.Specimens)
	}
	_, err = Parse("short.toml", []byte(strings.Replace(file, "LENGTH", "15 m", 1)))
	found := problem.All(err)
	if len(found) != 1 || !strings.HasPrefix(found[0].Where, "short.toml:33") || !strings.Contains(found[0].What, "6 specimens take 20.40 m") {
		t.Errorf("%v", err)
	}
}
