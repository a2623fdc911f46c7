package web

import (
	"cmp"
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
	"fallwright.example/web/page/mark"
	"fallwright.example/web/page/traces"
)

// traces is the table of drops, filtered and sorted as the address asks.
func (s *server) traces(r *http.Request) (answer, error) {
	open, err := s.open(r.Context(), r.PathValue("name"), "Traces", "traces")
	if err != nil {
		return answer{}, err
	}
	query := r.URL.Query()
	order, err := readOrder(query)
	if err != nil {
		return answer{}, inFrame{err, open.frame}
	}
	o := open.overview
	p := &o.Study.Plan
	v := traces.View{
		Frame: open.frame, Path: studyPath(p.Name) + "/traces", All: len(o.Drops),
		Overlay: studyPath(p.Name) + "/overlay", Import: studyPath(p.Name) + "/import",
	}
	v.Filters = filters(o, query)
	v.Columns = columns(v.Path, query, order)
	if order.by != "" {
		v.Kept = append(v.Kept, traces.Pair{Value: "sort", Text: order.by})
	}
	if order.down {
		v.Kept = append(v.Kept, traces.Pair{Value: "order", Text: "down"})
	}
	for _, d := range o.Drops {
		if !wanted(d, query) {
			continue
		}
		row := traces.Row{DropRow: d, Condition: mark.Of(p, d.Condition)}
		if d.Drop.Trace != nil {
			row.Href = tracePath(p.Name, d.Drop.ID)
		}
		v.Rows = append(v.Rows, row)
	}
	order.sort(v.Rows)
	v.Range = peakRange(v.Rows)
	return page(r.Context(), traces.Page(v))
}

// sorts is what the table can be sorted by: heading and key. A key's words sort
// before its number where both are there.
var sorts = []struct {
	by, label, unit string
	text            bool
	word            func(traces.Row) string
	number          func(traces.Row) float64
}{
	{by: "specimen", label: "specimen", text: true, word: func(r traces.Row) string { return r.Drop.Specimen }, number: fallOf},
	{by: "fall", label: "fall", number: fallOf},
	{by: "condition", label: "condition", text: true, number: func(r traces.Row) float64 { return float64(r.Condition.Place) }},
	{by: "peak", label: "peak", unit: "kN", number: valueOf(func(x *trace.Reading) trace.Value { return x.PeakForce })},
	{},
	{by: "grade", label: "quality", text: true, number: gradeOf},
	{by: "rise", label: "to peak", unit: "ms", number: valueOf(func(x *trace.Reading) trace.Value { return x.TimeToPeak })},
	{by: "impact", label: "impact", unit: "m/s", number: valueOf(func(x *trace.Reading) trace.Value { return x.ImpactSpeed })},
	{by: "stretch", label: "stretch", unit: "m", number: valueOf(func(x *trace.Reading) trace.Value { return x.MaxStretch })},
	{by: "absorbed", label: "absorbed", unit: "J", number: valueOf(func(x *trace.Reading) trace.Value { return x.EnergyAbsorbed })},
	{by: "rest", label: "rest", number: func(r traces.Row) float64 { return r.Rest.Seconds() }},
	{by: "time", label: "released", number: func(r traces.Row) float64 { return float64(r.Drop.At.UnixMilli()) }},
	{label: "remark", text: true},
}

func fallOf(r traces.Row) float64 { return float64(r.Drop.Fall) }

func valueOf(of func(*trace.Reading) trace.Value) func(traces.Row) float64 {
	return func(r traces.Row) float64 {
		if r.Reading == nil {
			return math.NaN()
		}
		return float64(of(r.Reading))
	}
}

// gradeOf puts what needs a look last: good, doubtful, incomplete, no reading,
// void.
func gradeOf(r traces.Row) float64 {
	switch {
	case r.Drop.Void != nil:
		return 4
	case r.Reading == nil:
		return 3
	}
	return float64(slices.Index([]trace.Grade{trace.Said, trace.Doubtful, trace.Missing}, r.Reading.Grade()))
}

// order is what the table is sorted by; by is empty for the order released.
type order struct {
	by   string
	down bool
}

func readOrder(q url.Values) (order, error) {
	o := order{by: q.Get("sort"), down: q.Get("order") == "down"}
	if o.by == "" {
		return o, nil
	}
	var known []string
	for _, s := range sorts {
		if s.by == o.by {
			return o, nil
		}
		if s.by != "" {
			known = append(known, s.by)
		}
	}
	return o, problem.New(problem.Invalid, "sort", "%q is not a column of the table", o.by).
		Hint("one of %s", strings.Join(known, ", "))
}

// sort is stable, so that ties stay in the order released; a missing value
// comes last either way.
func (o order) sort(rows []traces.Row) {
	for _, s := range sorts {
		if s.by != o.by || o.by == "" {
			continue
		}
		slices.SortStableFunc(rows, func(a, b traces.Row) int {
			if s.word != nil {
				if c := natural(s.word(a), s.word(b)); c != 0 {
					return o.turn(c)
				}
			}
			x, y := s.number(a), s.number(b)
			if math.IsNaN(x) || math.IsNaN(y) {
				return cmp.Compare(missing(x), missing(y))
			}
			return o.turn(cmp.Compare(x, y))
		})
	}
}

func (o order) turn(c int) int {
	if o.down {
		return -c
	}
	return c
}

func missing(v float64) int {
	if math.IsNaN(v) {
		return 1
	}
	return 0
}

// natural compares labels so that M-9 comes before M-10: by the words before
// the last number, then by that number.
func natural(a, b string) int {
	headA, nA := lastNumber(a)
	headB, nB := lastNumber(b)
	if c := cmp.Compare(headA, headB); c != 0 {
		return c
	}
	return cmp.Compare(nA, nB)
}

func lastNumber(s string) (string, int) {
	head := strings.TrimRight(s, "0123456789")
	n, err := strconv.Atoi(s[len(head):])
	if err != nil {
		return s, -1
	}
	return head, n
}

// columns are the headings; a link sorts, and turns the order when it is the
// one in use. Filters in the address stay.
func columns(path string, q url.Values, o order) []traces.Column {
	var out []traces.Column
	for _, s := range sorts {
		c := traces.Column{Label: s.label, Unit: s.unit, Text: s.text}
		if s.by != "" {
			next := url.Values{"sort": {s.by}}
			for _, f := range filterNames {
				if v := q.Get(f); v != "" {
					next.Set(f, v)
				}
			}
			if s.by == o.by {
				c.Order = "ascending"
				if o.down {
					c.Order = "descending"
				} else {
					next.Set("order", "down")
				}
			}
			c.Href = path + "?" + next.Encode()
		}
		out = append(out, c)
	}
	return out
}

var filterNames = []string{"condition", "specimen", "kind", "fall", "grade"}

// grades are the words of the grade filter.
var grades = []traces.Pair{
	{Value: "good", Text: "good"},
	{Value: "doubtful", Text: "doubtful"},
	{Value: "incomplete", Text: "incomplete"},
	{Value: "void", Text: "void"},
	{Value: "none", Text: "no reading"},
}

// gradeWord is the filter's word for a drop.
func gradeWord(d study.DropRow) string {
	switch {
	case d.Drop.Void != nil:
		return "void"
	case d.Reading == nil:
		return "none"
	}
	return mark.GradeWord(d.Reading.Grade())
}

// wanted reports whether a drop passes the filters of the address.
func wanted(d study.DropRow, q url.Values) bool {
	has := map[string]string{
		"condition": d.Condition, "specimen": d.Drop.Specimen,
		"kind": string(d.Drop.Kind), "fall": fallWord(d.Drop), "grade": gradeWord(d),
	}
	for _, name := range filterNames {
		if want := q.Get(name); want != "" && want != has[name] {
			return false
		}
	}
	return true
}

// fallWord is a fall's number; empty for a trial or a check.
func fallWord(d campaign.Drop) string {
	if d.Kind == campaign.Fall {
		return strconv.Itoa(d.Fall)
	}
	return ""
}

// filters offers what the study has.
func filters(o *study.Overview, q url.Values) []traces.Filter {
	p := &o.Study.Plan
	condition := traces.Filter{Name: "condition", Label: "condition"}
	for _, c := range p.Conditions {
		condition.Options = append(condition.Options, traces.Pair{Value: c.Name, Text: c.Name})
	}
	specimen := traces.Filter{Name: "specimen", Label: "specimen"}
	for _, s := range p.Specimens {
		specimen.Options = append(specimen.Options, traces.Pair{Value: s.Label, Text: s.Label})
	}
	kind, fall := traces.Filter{Name: "kind", Label: "kind"}, traces.Filter{Name: "fall", Label: "fall"}
	seen := map[string]bool{"": true}
	offer := func(f *traces.Filter, word string) {
		if !seen[word] {
			seen[word] = true
			f.Options = append(f.Options, traces.Pair{Value: word, Text: word})
		}
	}
	for _, d := range o.Drops {
		offer(&kind, string(d.Drop.Kind))
		offer(&fall, fallWord(d.Drop))
	}
	slices.SortFunc(fall.Options, func(a, b traces.Pair) int { return natural(a.Value, b.Value) })
	all := []traces.Filter{condition, specimen, kind, fall, {Name: "grade", Label: "quality", Options: grades}}
	for i := range all {
		all[i].Chosen = q.Get(all[i].Name)
	}
	return all
}

func peakRange(rows []traces.Row) traces.Range {
	r := traces.Range{Low: math.Inf(1), High: math.Inf(-1)}
	for _, row := range rows {
		if row.Reading != nil && row.Reading.PeakForce.Known() {
			r.Low = min(r.Low, float64(row.Reading.PeakForce))
			r.High = max(r.High, float64(row.Reading.PeakForce))
		}
	}
	return r
}
