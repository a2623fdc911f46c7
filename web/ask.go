package web

import (
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/study"
	"fallwright.example/trace"
	"fallwright.example/web/page/importer"
)

// correction is one field of an Ask as the page names it, which is the name that
// the command line has for it.
type correction struct {
	name, label, hint string
	options           []importer.Pair // value and words; empty for text
	number            bool
	text              func(*trace.Ask) *string
	figure            func(*trace.Ask) *float64
}

var corrections = []correction{
	{name: "force", label: "force column", hint: "its name or number", text: func(a *trace.Ask) *string { return &a.Force }},
	{name: "time", label: "time column", hint: "its name or number", text: func(a *trace.Ask) *string { return &a.Time }},
	{name: "stretch", label: "stretch column", hint: "or none", text: func(a *trace.Ask) *string { return &a.Stretch }},
	{name: "gate", label: "light gate column", hint: "or none", text: func(a *trace.Ask) *string { return &a.Gate }},
	{name: "unit", label: "unit of force", options: pairs("", "as found", "N", "N", "mN", "mN", "daN", "daN", "kN", "kN", "lbf", "lbf", "kgf", "kgf", "g", "g, a sensor in the mass", "m/s2", "m/s², a sensor in the mass"), text: func(a *trace.Ask) *string { return &a.Unit }},
	{name: "rate", label: "sample rate, Hz", hint: "overrides the file's times", number: true, figure: func(a *trace.Ask) *float64 { return &a.Rate }},
	{name: "delimiter", label: "between cells", options: pairs("", "as found", "comma", "comma", "semicolon", "semicolon", "tab", "tab", "space", "space", "bar", "bar"), text: func(a *trace.Ask) *string { return &a.Delimiter }},
	{name: "decimal", label: "decimal mark", options: pairs("", "as found", "point", "point", "comma", "comma"), text: func(a *trace.Ask) *string { return &a.Decimal }},
	{name: "sheet", label: "sheet of a workbook", hint: "its name or number", text: func(a *trace.Ask) *string { return &a.Sheet }},
	{name: "part", label: "drop of several", hint: "its name or number", text: func(a *trace.Ask) *string { return &a.Part }},
	{name: "full-scale", label: "force at full scale", hint: "of formats without units", number: true, figure: func(a *trace.Ask) *float64 { return &a.FullScale }},
}

func correctionNames() []string {
	out := make([]string, len(corrections))
	for i, c := range corrections {
		out[i] = c.name
	}
	return out
}

// pulls are the ways a pull can go, as the page names them.
var pulls = []importer.Pair{{Name: "", Value: "as found"}, {Name: "positive", Value: "positive"}, {Name: "negative", Value: "negative"}}

func pairs(words ...string) []importer.Pair {
	var out []importer.Pair
	for i := 0; i+1 < len(words); i += 2 {
		out = append(out, importer.Pair{Name: words[i], Value: words[i+1]})
	}
	return out
}

// askedOf is how a file is to be read: from the recipe named, or else the plan's
// rule, with the corrections over it.
func (s *server) askedOf(r *http.Request, open *opened, q url.Values) (trace.Ask, error) {
	plan := &open.overview.Study.Plan
	ask := plan.Reading.Ask
	if name := q.Get("recipe"); name != "" {
		all, err := s.desk.Recipes(r.Context(), plan.Rig.Name)
		if err != nil {
			return ask, err
		}
		i := slices.IndexFunc(all, func(r campaign.Recipe) bool { return r.Name == name })
		if i < 0 {
			return ask, problem.New(problem.NotFound, "recipe", "there is no recipe %q for %s", name, plan.Rig.Name)
		}
		ask = all[i].Ask
	}
	return ask, correct(&ask, q)
}

// correct puts what a query or a form asks over an Ask. "found" takes a
// correction back that a recipe has.
func correct(ask *trace.Ask, q url.Values) error {
	for _, c := range corrections {
		text := strings.TrimSpace(q.Get(c.name))
		if text == "" {
			continue
		}
		if c.text != nil {
			*c.text(ask) = text
			continue
		}
		v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
		if err != nil || math.IsInf(v, 0) || math.IsNaN(v) || !(v > 0) {
			return problem.New(problem.Invalid, c.label, "%q is not a number above zero", text).Hint("write it in digits, as 1200")
		}
		*c.figure(ask) = v
	}
	switch text := q.Get("pull"); text {
	case "":
	case "positive":
		ask.Pull = trace.PullPositive
	case "negative":
		ask.Pull = trace.PullNegative
	default:
		return problem.New(problem.Invalid, "pull", "%q is no way for a pull to go", text).Hint("positive or negative")
	}
	return nil
}

// fields are the corrections with what was understood in them.
func fields(p *study.Preview, q url.Values) []importer.Field {
	found := map[string]string{}
	for _, f := range p.Layout.Facts {
		found[strings.TrimPrefix(f.Flag, "--")] = f.Is
	}
	delete(found, "part") // how many there are is not which is shown
	if p.Chosen >= 0 && len(p.Parts) > 1 {
		found["part"] = partName(p, p.Chosen)
	}
	if _, err := strconv.ParseFloat(strings.TrimSuffix(found["rate"], " Hz"), 64); err != nil {
		delete(found, "rate") // the unit of a time column has this flag too
	}
	for _, c := range p.Layout.Columns {
		if _, known := found[c.Use]; c.Use != "" && !known {
			found[c.Use] = c.Title
		}
	}
	ask := p.Ask
	var out []importer.Field
	for _, c := range corrections {
		f := importer.Field{Name: c.name, Label: c.label, Hint: c.hint, Options: slices.Clone(c.options), Number: c.number, Value: found[c.name]}
		asked := ""
		if c.text != nil {
			asked = *c.text(&ask)
		} else if v := *c.figure(&ask); v != 0 {
			asked = strconv.FormatFloat(v, 'g', -1, 64)
		}
		settle(&f, asked, q)
		withFound(&f, found[c.name])
		out = append(out, f)
	}
	pull := importer.Field{Name: "pull", Label: "a pull is", Options: slices.Clone(pulls), Value: found["pull"]}
	settle(&pull, map[trace.Pull]string{trace.PullPositive: "positive", trace.PullNegative: "negative"}[ask.Pull], q)
	withFound(&pull, found["pull"])
	return append(out, pull)
}

// settle fills a field with what was asked, and marks whether the address asked
// it, or the recipe or the plan.
func settle(f *importer.Field, asked string, q url.Values) {
	if asked == "" {
		return
	}
	f.Value, f.Asked = asked, strings.TrimSpace(q.Get(f.Name)) != ""
	f.Set = !f.Asked
}

// withFound says in a list of choices what was found, and offers what was asked
// when it is none of them.
func withFound(f *importer.Field, found string) {
	if len(f.Options) == 0 {
		return
	}
	switch {
	case f.Set:
		f.Options[0].Value = "as set: " + f.Value
	case found != "" && !f.Asked:
		f.Options[0].Value = "as found: " + found
	}
	if f.Asked && !slices.ContainsFunc(f.Options, func(o importer.Pair) bool { return o.Name == f.Value }) {
		f.Options = append(f.Options, importer.Pair{Name: f.Value, Value: f.Value})
	}
}
