package compare

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/problem"
)

// mostValue is the mostValue value taken: far beyond any rope, and its square still
// fits a float64.
const mostValue = 1e100

// factor is a column of names as levels in order.
type factor struct {
	levels []string
	code   []int // of each row
}

// factorOf numbers names in the order given, others after as they first appear.
func factorOf(names, order []string) factor {
	f := factor{code: make([]int, len(names))}
	number := map[string]int{}
	present := map[string]bool{}
	for _, n := range names {
		present[n] = true
	}
	add := func(n string) {
		if _, known := number[n]; !known && present[n] {
			number[n] = len(f.levels)
			f.levels = append(f.levels, n)
		}
	}
	for _, n := range order {
		add(n)
	}
	for i, n := range names {
		add(n)
		f.code[i] = number[n]
	}
	return f
}

// table is the rows that the model takes. Factors that the data lack have no
// levels.
type table struct {
	n         int
	of        []int     // index into the rows of Data
	raw       []float64 // in the unit
	value     []float64 // on the model's scale
	condition factor
	fall      factor
	x         []float64 // fall as a number, where falls are a trend
	specimen  factor
	blocks    []factor    // beside Ask.Blocks
	covariate [][]float64 // beside Ask.Covariates
	name      func(i int) string
}

// rowName is what row i of d is called.
func (d Data) rowName(i int) string {
	if i < len(d.Row) && d.Row[i] != "" {
		return d.Row[i]
	}
	return fmt.Sprintf("row %d", i+1)
}

// check refuses columns of unequal length.
func (d Data) check() error {
	n := len(d.Value)
	uneven := func(what string, m int) error {
		return problem.New(problem.Invalid, what, "%d entries for %d values, one a row is needed", m, n)
	}
	lengths := []struct {
		what string
		m    int
	}{{"specimen", len(d.Specimen)}, {"condition", len(d.Condition)}, {"fall", len(d.Fall)}}
	for _, l := range lengths {
		if l.m != 0 && l.m != n {
			return uneven(l.what, l.m)
		}
	}
	for _, c := range d.Columns {
		if len(c.Value) != n {
			return uneven("column "+c.Name, len(c.Value))
		}
	}
	for _, c := range d.Measured {
		if len(c.Value) != n {
			return uneven("column "+c.Name, len(c.Value))
		}
	}
	return nil
}

// rows makes the table of a model. Rows without a value, block or covariate are
// left out and named in notes; what else is missing or is no number is refused,
// every row at fault named.
func (d Data) rows(ask Ask) (*table, []string, error) {
	if err := d.check(); err != nil {
		return nil, nil, err
	}
	blocks, err := d.blocks(ask.Blocks)
	if err != nil {
		return nil, nil, err
	}
	covariates, err := d.covariates(ask.Covariates)
	if err != nil {
		return nil, nil, err
	}
	out := leaving{}
	var faults problem.List
	t := &table{name: d.rowName}
	for i, v := range d.Value {
		if out.row(d, i, ask, blocks, covariates) {
			continue
		}
		if p := d.fault(i, ask); p != nil {
			faults = append(faults, p)
			continue
		}
		t.of = append(t.of, i)
		t.raw = append(t.raw, v)
	}
	if err := first(faults, 20).Err(); err != nil {
		return nil, nil, err
	}
	if len(t.of) == 0 {
		return nil, nil, problem.New(problem.TooFew, "", "no row with a value")
	}
	t.n = len(t.of)
	t.fill(d, ask, blocks, covariates)
	return t, out.notes(), nil
}

// first keeps the first of a long list and says how many more there are.
func first(l problem.List, most int) problem.List {
	if len(l) <= most {
		return l
	}
	rest := problem.New(problem.Invalid, "", "%d more rows of this kind", len(l)-most)
	return append(l[:most:most], rest)
}

// fault is what is wrong with row i, or nil.
func (d Data) fault(i int, ask Ask) *problem.Problem {
	where, v := d.rowName(i), d.Value[i]
	switch {
	case math.Abs(v) > mostValue:
		return problem.New(problem.Invalid, where, "its value is %g, a number up to %g is needed", v, mostValue).
			Hint("leave the value empty and say why")
	case ask.Scale == Log && v <= 0:
		return problem.New(problem.Invalid, where, "its value is %g, the log scale needs positive ones", v).
			Hint("take the linear scale, or leave the value empty and say why")
	}
	for _, c := range []struct {
		what  string
		empty bool
	}{
		{"specimen", d.Specimen != nil && d.Specimen[i] == ""},
		{"condition", d.Condition != nil && d.Condition[i] == ""},
		{"fall", d.Fall != nil && d.Fall[i] == ""},
	} {
		if c.empty {
			return problem.New(problem.Invalid, where, "its %s is empty", c.what).Hint("fill it in, or take the row out")
		}
	}
	if d.Fall != nil && ask.FallsAs != Levels {
		if _, ok := d.Fall[i].Number(); !ok {
			return problem.New(problem.Invalid, where, "its fall is %q, a trend over falls needs a number", string(d.Fall[i])).
				Hint("take falls as levels, or name the fall by its number")
		}
	}
	return nil
}

// leaving is the rows left out, by the reason.
type leaving struct {
	why  []string
	rows map[string][]string
}

// row reports whether row i is left out.
func (l *leaving) row(d Data, i int, ask Ask, blocks [][]string, covariates [][]float64) bool {
	why := ""
	for k, c := range covariates {
		if math.IsNaN(c[i]) {
			why = "without " + ask.Covariates[k]
		}
	}
	for k, b := range blocks {
		if b[i] == "" {
			why = "without " + ask.Blocks[k]
		}
	}
	if math.IsNaN(d.Value[i]) {
		why = "without a value"
	}
	if why == "" {
		return false
	}
	if l.rows == nil {
		l.rows = map[string][]string{}
	}
	if l.rows[why] == nil {
		l.why = append(l.why, why)
	}
	l.rows[why] = append(l.rows[why], d.rowName(i))
	return true
}

func (l *leaving) notes() []string {
	var out []string
	for _, why := range l.why {
		out = append(out, fmt.Sprintf("left out, %s: %s", why, some(l.rows[why], 6)))
	}
	return out
}

// some names the first of a list and counts the rest.
func some(names []string, most int) string {
	if len(names) <= most {
		return strings.Join(names, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
}

// blocks finds the columns that blocks name; "batch:cask" joins two.
func (d Data) blocks(names []string) ([][]string, error) {
	var out [][]string
	for k, name := range names {
		if slices.Contains(names[:k], name) {
			return nil, problem.New(problem.Invalid, "block "+name, "named twice")
		}
		var parts [][]string
		for part := range strings.SplitSeq(name, ":") {
			at := slices.IndexFunc(d.Columns, func(c Column) bool { return c.Name == part })
			if at < 0 {
				return nil, problem.New(problem.NotFound, "block "+name, "no column is named %q", part).Hint("%s", d.have())
			}
			parts = append(parts, d.Columns[at].Value)
		}
		out = append(out, joined(parts, len(d.Value)))
	}
	return out, nil
}

// joined names each row by all of the parts, or not at all when one is empty.
func joined(parts [][]string, n int) []string {
	out := make([]string, n)
	row := make([]string, len(parts))
	for i := range out {
		for k, p := range parts {
			row[k] = p[i]
		}
		if !slices.Contains(row, "") {
			out[i] = strings.Join(row, "\x1f")
		}
	}
	return out
}

// have says which columns there are.
func (d Data) have() string {
	if len(d.Columns) == 0 {
		return "there is no other column of names"
	}
	names := make([]string, len(d.Columns))
	for i, c := range d.Columns {
		names[i] = c.Name
	}
	return "there is " + strings.Join(names, ", ")
}

func (d Data) covariates(names []string) ([][]float64, error) {
	var out [][]float64
	for k, name := range names {
		at := slices.IndexFunc(d.Measured, func(c Measured) bool { return c.Name == name })
		if at < 0 {
			return nil, problem.New(problem.NotFound, "covariate "+name, "no column of numbers is named so")
		}
		if slices.Contains(names[:k], name) || slices.Contains([]string{"condition", "fall", "intercept"}, name) {
			return nil, problem.New(problem.Invalid, "covariate "+name, "named twice")
		}
		for i, v := range d.Measured[at].Value {
			if math.Abs(v) > mostValue {
				return nil, problem.New(problem.Invalid, d.rowName(i), "its %s is %g, a number up to %g is needed", name, v, mostValue)
			}
		}
		out = append(out, d.Measured[at].Value)
	}
	return out, nil
}

// fill takes the rows kept.
func (t *table) fill(d Data, ask Ask, blocks [][]string, covariates [][]float64) {
	t.value = t.raw
	if ask.Scale == Log {
		t.value = make([]float64, t.n)
		for i, v := range t.raw {
			t.value[i] = math.Log(v)
		}
	}
	if d.Condition != nil {
		t.condition = factorOf(pick(d.Condition, t.of), ask.Conditions)
	}
	if d.Specimen != nil {
		t.specimen = factorOf(pick(d.Specimen, t.of), nil)
	}
	if d.Fall != nil {
		falls := make([]string, t.n)
		for i, r := range t.of {
			falls[i] = string(d.Fall[r].tidy())
		}
		t.fall = factorOf(falls, inOrder(falls))
		if ask.FallsAs != Levels {
			for _, f := range falls {
				x, _ := Fall(f).Number()
				t.x = append(t.x, x)
			}
		}
	}
	for _, b := range blocks {
		t.blocks = append(t.blocks, factorOf(pick(b, t.of), nil))
	}
	for _, c := range covariates {
		t.covariate = append(t.covariate, pick(c, t.of))
	}
}

func pick[T any](from []T, rows []int) []T {
	out := make([]T, len(rows))
	for i, r := range rows {
		out[i] = from[r]
	}
	return out
}

// inOrder gives the falls by number when all are numbers, and as they first
// appear otherwise.
func inOrder(falls []string) []string {
	f := factorOf(falls, nil)
	number := map[string]float64{}
	for _, name := range f.levels {
		x, ok := Fall(name).Number()
		if !ok {
			return f.levels
		}
		number[name] = x
	}
	slices.SortStableFunc(f.levels, func(a, b string) int {
		switch {
		case number[a] < number[b]:
			return -1
		case number[a] > number[b]:
			return 1
		}
		return 0
	})
	return f.levels
}
