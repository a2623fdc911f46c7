package html

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/figure"
	"fallwright.example/study"
)

// page is a report with what its templates look up over and over.
type page struct {
	study.Report
	study *campaign.Study
	plan  *campaign.Plan
	names []string // conditions in the plan's order
	notes *ledger
}

func newPage(r study.Report) *page {
	p := &page{Report: r, study: r.Overview.Study, plan: &r.Overview.Study.Plan, notes: &ledger{}}
	for _, c := range p.plan.Conditions {
		p.names = append(p.names, c.Name)
	}
	for _, row := range p.Overview.Drops {
		p.notes.enter(row)
	}
	return p
}

// chapter is one heading of the report and its place in the contents.
type chapter struct{ id, title string }

var (
	findingsChapter   = chapter{"findings", "Findings"}
	questionsChapter  = chapter{"questions", "Questions"}
	planChapter       = chapter{"plan", "Plan"}
	deviationsChapter = chapter{"deviations", "Deviations from the plan"}
	specimensChapter  = chapter{"specimens", "Specimens and voids"}
	tablesChapter     = chapter{"by-fall", "By condition and fall"}
	effectsChapter    = chapter{"differences", "Differences against margins"}
	overlaysChapter   = chapter{"traces", "Traces laid over each other"}
	readingsChapter   = chapter{"readings", "Readings"}
	leftChapter       = chapter{"left-out", "Left out, and why"}
	modelsChapter     = chapter{"models", "Models and checks"}
	methodChapter     = chapter{"method", "Method"}
	limitsChapter     = chapter{"limits", "Safety and limits"}
	originChapter     = chapter{"origin", "Where the numbers come from"}
)

var chapters = []chapter{
	findingsChapter, questionsChapter, planChapter, deviationsChapter, specimensChapter, tablesChapter,
	effectsChapter, overlaysChapter, readingsChapter, leftChapter, modelsChapter, methodChapter, limitsChapter, originChapter,
}

func (p *page) title() string {
	if p.plan.Title != "" {
		return p.plan.Title
	}
	return p.plan.Name
}

// count is one number of the line under the title. It is printed also when
// zero.
type count struct {
	n    int
	what string
}

func (p *page) counts() []count {
	planned := 0
	for _, c := range p.Overview.Conditions {
		planned += c.Planned
	}
	counting := len(p.study.Counting())
	return []count{
		{len(p.plan.Specimens), plural(len(p.plan.Specimens), "specimen")},
		{len(p.plan.Ropes), plural(len(p.plan.Ropes), "rope")},
		{counting, fmt.Sprintf("%s of %d planned", plural(counting, "counting fall"), planned)},
		{len(p.voids()), plural(len(p.voids()), "void drop")},
		{len(p.study.Deviations), plural(len(p.study.Deviations), "deviation")},
		{len(p.Overview.Departures), plural(len(p.Overview.Departures), "departure")},
		{len(p.Findings.Left), plural(len(p.Findings.Left), "value") + " left out"},
		{p.Overview.Doubtful, plural(p.Overview.Doubtful, "doubtful trace")},
	}
}

func plural(n int, thing string) string {
	if n == 1 {
		return thing
	}
	return thing + "s"
}

// index is a condition's place in the plan, which fixes its colour and mark;
// -1 for a name that the plan does not have.
func (p *page) index(condition string) int { return slices.Index(p.names, condition) }

// swatch is the sign of a condition, empty for one that the plan does not have.
func (p *page) swatch(condition string) string {
	if i := p.index(condition); i >= 0 {
		return figure.Swatch(i)
	}
	return ""
}

// voids are the drops that do not count, in the order released.
func (p *page) voids() []study.DropRow {
	return p.drops(func(d campaign.Drop) bool { return d.Void != nil })
}

// others are the trials and checks, which count for nothing here.
func (p *page) others() []study.DropRow {
	return p.drops(func(d campaign.Drop) bool { return d.Kind != campaign.Fall })
}

func (p *page) kind(k campaign.Kind) []study.DropRow {
	return p.drops(func(d campaign.Drop) bool { return d.Kind == k })
}

func (p *page) drops(keep func(campaign.Drop) bool) []study.DropRow {
	var out []study.DropRow
	for _, row := range p.Overview.Drops {
		if keep(row.Drop) {
			out = append(out, row)
		}
	}
	return out
}

// dropName is what a drop is called where it stands alone.
func dropName(d campaign.Drop) string {
	var words []string
	if d.Specimen != "" {
		words = append(words, d.Specimen)
	}
	words = append(words, string(d.Kind))
	if d.Fall > 0 {
		words = append(words, fmt.Sprint(d.Fall))
	}
	return strings.Join(words, " ")
}

// margin writes a question's margin in the words it was set in.
func margin(m campaign.Margin, of campaign.Measure) string {
	if m.Share > 0 {
		return trimmed(100*m.Share) + "\u202f%"
	}
	u := figure.UnitOf(of)
	return trimmed(m.Amount*u.Scale) + "\u202f" + u.Name
}

// trimmed writes a number that a person set, without idle zeros.
func trimmed(v float64) string {
	s := figure.Fixed(v, 6)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// given writes a number with its unit, or that it is not known when it is zero,
// which is how a plan says so.
func given(v, scale float64, unit string) string {
	if v == 0 {
		return "not known"
	}
	return trimmed(v*scale) + "\u202f" + unit
}

// span writes a time as it is said at the tower.
func span(d time.Duration) string {
	if d == 0 {
		return "0\u202fs"
	}
	var words []string
	for _, u := range []struct {
		size time.Duration
		name string
	}{{time.Hour, "h"}, {time.Minute, "min"}} {
		if n := d / u.size; n > 0 {
			words = append(words, fmt.Sprintf("%d\u202f%s", n, u.name))
			d -= n * u.size
		}
	}
	if d > 0 {
		words = append(words, trimmed(d.Seconds())+"\u202fs")
	}
	return strings.Join(words, " ")
}

// falls writes which falls are meant: "fall 5", "falls 1 to 5", "falls 1, 3".
func falls(n []int) string {
	words := make([]string, len(n))
	run := true
	for i, f := range n {
		words[i] = fmt.Sprint(f)
		run = run && f == n[0]+i
	}
	switch {
	case len(n) == 1:
		return "fall " + words[0]
	case run && len(n) > 2:
		return "falls " + words[0] + " to " + words[len(n)-1]
	}
	return "falls " + strings.Join(words, ", ")
}

func at(t time.Time) string {
	if t.IsZero() {
		return "time not recorded"
	}
	return t.Format("2 January 2006, 15:04 MST")
}

func by(s campaign.Stamp) string {
	if s.By == "" {
		return at(s.At)
	}
	return at(s.At) + ", " + s.By
}

// orMissing gives the dash for a word that is not there.
func orMissing(s string) string {
	if s == "" {
		return figure.Missing
	}
	return s
}

// ruleOf is the rule that gave a verdict, in full under the first finding that
// it gave.
func (p *page) ruleOf(place int) string {
	all := p.Findings.Answers
	first := slices.IndexFunc(all, func(a compare.Answer) bool { return a.Rule == all[place].Rule })
	if first < place {
		return "as for “" + all[first].Question.Asks + "”"
	}
	return all[place].Rule
}

func levels(c campaign.Condition, factors []campaign.Factor) string {
	var words []string
	for _, f := range factors {
		if l, ok := c.Levels[f.Name]; ok {
			words = append(words, f.Name+": "+l)
		}
	}
	return orMissing(strings.Join(words, "; "))
}

var loose = regexp.MustCompile(`(\d) (%|(?:kN|N|J|m/s|m|s|min|h|kg|mm|ms)\b)`)

// tied keeps a number and its unit on one line.
func tied(s string) string { return loose.ReplaceAllString(s, "${1}\u202f${2}") }

// upper gives a text of the core, which begins in lower case, a capital.
func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
