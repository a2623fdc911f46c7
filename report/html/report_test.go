package html

import (
	"fmt"
	"io"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
	"fallwright.example/trace"
)

func TestReportSaysEverything(t *testing.T) {
	r := fixture(t)
	text := said(parse(t, written(t, r)))
	found := 0
	want := func(what, part string) {
		t.Helper()
		part = strings.Join(strings.Fields(strings.ReplaceAll(part, "\u202f", " ")), " ")
		if part == "" || !strings.Contains(text, part) {
			t.Errorf("the report does not say the %s %q", what, part)
		}
		found++
	}
	p := r.Overview.Study.Plan
	for _, s := range p.Specimens {
		want("specimen", s.Label)
	}
	for _, c := range p.Conditions {
		want("condition", c.Name)
	}
	for _, rope := range p.Ropes {
		want("lot", rope.Lot)
	}
	for _, q := range p.Questions {
		want("question", q.Asks)
	}
	for _, i := range r.Inputs {
		want("hash", i.File.SHA256)
		want("file", i.File.Name)
	}
	for _, d := range r.Overview.Study.Drops {
		if d.Void != nil {
			want("reason", d.Void.Reason)
		}
		if d.Note != "" {
			want("remark at the tower", d.Note)
		}
	}
	for _, d := range r.Overview.Study.Deviations {
		want("deviation", d.Text)
	}
	for _, d := range r.Overview.Departures {
		want("departure", d.Where+": "+d.Text)
	}
	for _, a := range r.Findings.Answers {
		want("finding", a.Sentence)
		want("rule", a.Rule)
		want("verdict", a.Verdict.Word(a.Question.Measure))
		for _, n := range a.Notes {
			want("note", n[1:])
		}
	}
	for _, part := range []string{
		r.Findings.Method, r.Program, r.Overview.Study.Frozen.PlanSHA256, "±5 %", "±0.15 kN",
		"not a type test to EN\u00a0892 or UIAA\u00a0101", "do not show that any rope or any fall is safe",
		"Follow the instructions of the rope's maker, local rules, and the advice of qualified people",
		"dropped or soaked are to be destroyed", "No trace was recorded.", "not loaded", "loaded: fall 3 stays taken",
		"18 specimens 2 ropes 89 counting falls of 90 planned 2 void drops 1 deviation 1 departure 1 value left out 1 doubtful trace",
		"Doubtful: The trace itself shows 4.99 m/s",
	} {
		want("sentence", strings.ReplaceAll(part, "\u00a0", " "))
	}
	if found < 240 {
		t.Errorf("only %d things were looked for", found)
	}
}

// The numbers of the tables are those of the Report, as figure writes them.
func TestReportTablesHoldTheNumbers(t *testing.T) {
	r := fixture(t)
	var rows []string
	for _, e := range named(parse(t, written(t, r)), "tr") {
		rows = append(rows, strings.Join(strings.Fields(string(e.text)), " "))
	}
	found := 0
	for _, model := range r.Findings.Measures[0].Models {
		found += modelRows(t, rows, model)
	}
	for _, drop := range r.Overview.Drops {
		if drop.Reading == nil {
			continue
		}
		peak, start := figure.KN(float64(drop.Reading.PeakForce)), strconv.Itoa(drop.Drop.Fall)+" "
		if drop.Drop.Fall == 0 {
			start = string(drop.Drop.Kind) + " "
		}
		if !slices.ContainsFunc(rows, func(s string) bool { return strings.HasPrefix(s, start) && strings.Contains(s, " "+peak+" ") }) {
			t.Errorf("no row for %s with %s kN", dropName(drop.Drop), peak)
		}
		found++
	}
	for _, s := range r.Overview.Specimens {
		row := strings.Join([]string{s.Specimen.Label, s.Specimen.Condition, s.Specimen.Lot, position(s.Specimen), figure.Fixed(s.Mass, 3), fmt.Sprint(s.Taken), fmt.Sprint(s.Counting)}, " ")
		if !slices.Contains(rows, row) {
			t.Errorf("no row %q", row)
		}
		found++
	}
	if found < 2*30+80+18 {
		t.Errorf("only %d rows were looked for", found)
	}
}

// modelRows looks for the row of each mean with its difference.
func modelRows(t *testing.T, rows []string, model study.Model) (found int) {
	t.Helper()
	for _, c := range model.Analysis.Means {
		row := fmt.Sprintf("%s %d %s %s %s", c.Fall, c.N, figure.KN(c.Centre),
			figure.Range(c.CentreLower/1000, c.CentreUpper/1000, 2), figure.Range(c.NewLower/1000, c.NewUpper/1000, 2))
		for _, d := range model.Analysis.Against {
			if d.Fall != c.Fall || d.Condition != c.Condition {
				continue
			}
			if model.Scale == compare.Log {
				row += fmt.Sprintf(" %s\u202f%% %s", figure.Signed(d.Percent, 1), figure.Range(d.PercentLower, d.PercentUpper, 1))
			} else {
				row += fmt.Sprintf(" %s\u202fkN %s", figure.Signed(d.Amount/1000, 2), figure.Range(d.Lower/1000, d.Upper/1000, 2))
			}
		}
		if c.Condition == "dry" {
			row += " baseline"
		}
		if !slices.Contains(rows, strings.Join(strings.Fields(row), " ")) {
			t.Errorf("no row %q", row)
		}
		found++
	}
	return found
}

func TestReportIsAccessible(t *testing.T) {
	all := parse(t, written(t, fixture(t)))
	if lang := named(all, "html")[0].attrs["lang"]; lang != "en-GB" {
		t.Errorf("language %q", lang)
	}
	level := 0
	for _, h := range named(all, "h1", "h2", "h3", "h4") {
		n := int(h.name[1] - '0')
		if n > level+1 || (n == 1) != (level == 0) {
			t.Errorf("h%d %q after h%d", n, h.text, level)
		}
		level = n
	}
	tables := named(all, "table")
	if len(tables) < 8 || len(named(all, "caption")) != len(tables) {
		t.Errorf("%d tables, %d captions", len(tables), len(named(all, "caption")))
	}
	for _, h := range named(all, "th") {
		if h.attrs["scope"] == "" {
			t.Errorf("header %q has no scope", h.text)
		}
	}
	boxes := 0
	for _, e := range all {
		if e.attrs["class"] == "scroll" {
			boxes++
			if e.attrs["tabindex"] != "0" || e.attrs["role"] != "region" || e.attrs["aria-label"] == "" {
				t.Errorf("box %v cannot be reached by keyboard, or has no name", e.attrs)
			}
		}
	}
	if boxes != len(tables) {
		t.Errorf("%d tables in %d boxes", len(tables), boxes)
	}
	checkIDs(t, all)
}

// checkIDs holds that every id is used once and that everything that points at
// one has something to point at, the contents too.
func checkIDs(t *testing.T, all []*element) {
	t.Helper()
	ids := map[string]int{}
	for _, e := range all {
		if id := e.attrs["id"]; id != "" {
			ids[id]++
		}
	}
	pointers := 0
	for _, e := range all {
		for _, to := range []string{strings.TrimPrefix(e.attrs["href"], "#"), e.attrs["aria-labelledby"]} {
			if to != "" {
				pointers++
				if ids[to] != 1 {
					t.Errorf("<%s> points at %q, which is there %d times", e.name, to, ids[to])
				}
			}
		}
	}
	if pointers != 2*len(chapters) {
		t.Errorf("%d pointers for %d chapters", pointers, len(chapters))
	}
}

// One file: nothing is fetched, nothing runs.
func TestReportNeedsNothingElse(t *testing.T) {
	page := written(t, fixture(t))
	looked := 0
	for _, e := range parse(t, page) {
		if slices.Contains([]string{"script", "link", "img", "iframe", "object", "image", "use"}, e.name) {
			t.Errorf("<%s> in the report", e.name)
		}
		for name, value := range e.attrs {
			looked++
			if strings.HasPrefix(name, "on") {
				t.Errorf("<%s %s>", e.name, name)
			}
			if name != "xmlns" && regexp.MustCompile(`(?i)https?://|javascript:|url\(`).MatchString(value) {
				t.Errorf("<%s %s=%q>", e.name, name, value)
			}
		}
	}
	if looked < 1000 {
		t.Errorf("only %d attributes were looked at", looked)
	}
	for _, s := range []string{"url(", "@import"} {
		if strings.Contains(page, s) {
			t.Errorf("%s in the report", s)
		}
	}
}

func TestReportIsTheSameTwice(t *testing.T) {
	r := fixture(t)
	first, second := written(t, r), written(t, r)
	if first != second {
		t.Error("the same report was written in two ways")
	}
}

// Names come from files and must not become markup, wherever they are printed.
func TestReportEscapes(t *testing.T) {
	const nasty = `<script>alert("x")</script>&'`
	r := fixture(t)
	s := r.Overview.Study
	s.Plan.Title, s.Plan.Purpose, s.Plan.By, s.Plan.Name = nasty, nasty, nasty, nasty
	s.Plan.Rig.Name, s.Plan.Ropes[0].Lot, s.Plan.Questions[0].Asks = nasty, nasty, nasty
	s.Plan.Conditions[1].Name, s.Deviations[0].Text = nasty, nasty
	r.Overview.Specimens[0].Specimen.Label = nasty
	r.Overview.Drops[0].Drop.Note = nasty
	r.Inputs[0].File.Name = nasty
	r.Findings.Answers[0].Sentence, r.Findings.Answers[0].Question.Condition = nasty, nasty
	model := &r.Findings.Measures[0].Models[0]
	model.Analysis.Means[0].Condition, model.Analysis.Said, model.Analysis.Formula = nasty, nasty, nasty
	model.Checks.Notes, model.Checks.Specimens[0].Name, model.Checks.Residuals[0].Row = []string{nasty}, nasty, nasty
	model.Checks.Residuals[0].Outlying = true
	r.Overlays[0].Traces[0].Condition = nasty
	page := written(t, r)
	if strings.Contains(page, "<script") {
		t.Error("a name became a script")
	}
	if n := strings.Count(said(parse(t, page)), nasty); n < 20 {
		t.Errorf("the name can be read %d times only", n)
	}
}

func TestInventedCannotBeOverlooked(t *testing.T) {
	r := fixture(t)
	page := written(t, r)
	marks := strings.Count(page, "invented numbers</text>")
	if figures := strings.Count(page, `role="img"`); marks != figures || figures == 0 {
		t.Errorf("%d of %d pictures are marked", marks, figures)
	}
	for _, s := range []string{"<strong>Invented numbers.</strong>", "Every number in this report is invented.", "@top-center", "(invented)"} {
		if !strings.Contains(page, s) {
			t.Errorf("the report lacks %q", s)
		}
	}
	r.Overview.Study.Plan.Invented = false
	if page := written(t, r); strings.Contains(strings.ToLower(page[strings.Index(page, "</style>"):]), "invented") || strings.Contains(page, "@top-center") {
		t.Error("a report of real drops is marked as invented")
	}
}

// What was not done is said as well: nothing is left to be guessed from a gap.
func TestReportOfAnEmptyStudy(t *testing.T) {
	s := &campaign.Study{Plan: campaign.Plan{Name: "bare"}}
	page := written(t, study.Report{Overview: study.Overview{Study: s}, Findings: study.Findings{Study: s, Exploratory: "the plan was never frozen"}})
	text := said(parse(t, page))
	for _, part := range []string{
		"0 specimens", "0 counting falls of 0 planned", "0 void drops", "0 deviations", "0 departures", "0 values left out",
		"No question was put, so there is no finding.", "The plan was never frozen.", "Exploratory, not confirmatory.",
		"No deviations recorded.", "No drop was voided.", "No trials or checks recorded.", "No counting fall was left out.",
		"No drop was recorded.", "No input files recorded.", "not controlled", "not a type test",
	} {
		if !strings.Contains(text, part) {
			t.Errorf("the report does not say %q", part)
		}
	}
	for _, c := range chapters {
		if !strings.Contains(page, `<section id="`+c.id+`"`) {
			t.Errorf("no chapter %s", c.id)
		}
	}
	if err := Write(io.Discard, study.Report{}); err == nil {
		t.Error("a report without a study was written")
	}
}

// Values that cannot be had, everywhere at once, are dashes and never NaN.
func TestReportOfMissingValues(t *testing.T) {
	r := fixture(t)
	nan := math.NaN()
	for _, model := range r.Findings.Measures[0].Models {
		for i := range model.Analysis.Means {
			c := &model.Analysis.Means[i]
			c.SD, c.SE, c.CentreLower, c.CentreUpper, c.NewLower, c.NewUpper = nan, nan, nan, nan, nan, nan
		}
		for i := range model.Analysis.Against {
			model.Analysis.Against[i] = nothingKnown(model.Analysis.Against[i])
		}
		for i := range model.Checks.Residuals {
			model.Checks.Residuals[i].Standardised = nan
		}
		for i := range model.Checks.Specimens {
			model.Checks.Specimens[i].Effect, model.Checks.Specimens[i].Changes[0].Without = nan, nan
		}
		model.Analysis.Terms[0].F, model.Analysis.Terms[0].P, model.Analysis.Deviance = nan, nan, nan
	}
	for i := range r.Findings.Answers {
		r.Findings.Answers[i].Difference = nothingKnown(r.Findings.Answers[i].Difference)
	}
	for i := range r.Overview.Drops {
		if x := r.Overview.Drops[i].Reading; x != nil {
			none := trace.None()
			x.PeakForce, x.TimeToPeak, x.FirstImpulse, x.ImpactSpeed, x.MaxStretch, x.EnergyIn, x.EnergyAbsorbed, x.ReboundSpeed = none, none, none, none, none, none, none, none
		}
	}
	page := written(t, r)
	parse(t, page)
	for _, s := range []string{"NaN", "Inf", "%!"} {
		if strings.Contains(page[strings.Index(page, "</style>"):], s) {
			t.Errorf("%s in the report", s)
		}
	}
}

// nothingKnown is a difference of which nothing can be had.
func nothingKnown(d compare.Difference) compare.Difference {
	nan := math.NaN()
	return compare.Difference{
		Condition: d.Condition, Baseline: d.Baseline, Fall: d.Fall, Amount: nan, SE: nan, DF: nan, Lower: nan, Upper: nan, T: nan, P: nan,
		PAdjusted: nan, Lower90: nan, Upper90: nan, Percent: nan, PercentLower: nan, PercentUpper: nan, PercentLower90: nan, PercentUpper90: nan,
		EquivalenceP: nan, EquivalencePAdjusted: nan,
	}
}

// tokens.css is the web app's own file, kept here to the byte.
func TestTokensAreTheWebApps(t *testing.T) {
	want, err := os.ReadFile("../../web/asset/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	if string(want) != tokens {
		t.Error("report/html/tokens.css differs from web/asset/tokens.css: copy it over")
	}
}
