package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fallwright.example/internal/near"
)

const referenceTables = "../../refdata/compare"

// referenceRow is a line of a table of R's: of emmeans, by its own names.
type referenceRow map[string]any

func (r referenceRow) number(name string) float64 {
	if v, ok := r[name].(float64); ok {
		return v
	}
	return math.NaN()
}

// level is the condition or the fall of a line.
func (r referenceRow) level(names ...string) string {
	for _, name := range names {
		if v, ok := r[name]; ok {
			return fmt.Sprint(v)
		}
	}
	return ""
}

func (r referenceRow) condition() string {
	if c, ok := r["contrast"].(string); ok {
		c, _, _ = strings.Cut(c, " - ")
		return c
	}
	return r.level("Batch", "cask", "sample", "group")
}

func (r referenceRow) fall() string { return r.level("Days", "Day") }

// family is comparisons with their joint p, null where it was not worked out.
type family struct {
	Rows  []referenceRow
	Joint []*float64
}

type inferredByR struct {
	Means         []referenceRow
	Against       *family
	Overall       *family
	Trends        []referenceRow
	TrendsAgainst *family `json:"trends_against"`
	Terms         []struct{ F, DF1, DF2, P float64 }
}

type referenceCase struct {
	Name, Table string
	Arguments   []string
	Deviance    float64
	ResidualSD  float64 `json:"residual_sd"`
	Components  []struct {
		Group string
		A, B  *string
		Value float64
	}
	KenwardRoger  inferredByR `json:"kenward_roger"`
	Satterthwaite inferredByR
}

// printed is what the command prints of a table.
type printed struct {
	Deviance   *float64 `json:"reml_deviance"`
	ResidualSD float64  `json:"residual_sd"`
	Random     []struct {
		Group, Term string
		SD          float64
	}
	Correlations []struct{ Correlation *float64 }
	Means        []map[string]any
	Against      []map[string]any `json:"against_baseline"`
	Overall      []map[string]any `json:"overall_against_baseline"`
	Trends       []map[string]any
	Slopes       []map[string]any `json:"trends_against_baseline"`
	Terms        []struct{ F, DF1, DF2, P float64 }
	Notes        []string
}

func compareTable(t *testing.T, args ...string) printed {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(context.Background(), append(append([]string{"compare"}, args...), "--json"), strings.NewReader(""), &out, &errs); code != done {
		t.Fatalf("%v: exit %d: %s", args, code, errs.String())
	}
	var p printed
	if err := json.Unmarshal(out.Bytes(), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

// counting counts what was compared, and fails for what is off.
type counting struct {
	*testing.T
	n int
}

// relative is for estimates and standard errors: 1e-6 of the value, or of the
// error where that is larger, as the two computations end their searches at.
func (c *counting) relative(what string, got, want, scale float64) {
	c.n++
	c.Helper()
	if !near.Abs(got, want, 1e-6*max(math.Abs(want), scale)) {
		c.Errorf("%s: %.10g, R has %.10g", what, got, want)
	}
}

func (c *counting) absolute(what string, got, want, tol float64) {
	c.n++
	c.Helper()
	if !near.Abs(got, want, tol) {
		c.Errorf("%s: %.10g, R has %.10g", what, got, want)
	}
}

func value(row map[string]any, name string) float64 {
	if v, ok := row[name].(float64); ok {
		return v
	}
	return math.NaN()
}

func name(v any) string {
	if v == nil {
		return ""
	}
	return fmt.Sprint(v)
}

// find is our line for one of R's.
func (c *counting) find(what string, table []map[string]any, r referenceRow) map[string]any {
	for _, row := range table {
		if name(row["condition"]) == r.condition() && name(row["fall"]) == r.fall() {
			return row
		}
	}
	c.Errorf("%s: no line for condition %q, fall %q", what, r.condition(), r.fall())
	return nil
}

// line compares one line: its estimate by our name and R's, and what goes with
// it. Limits of a family that was adjusted are its own and are not R's.
func (c *counting) line(what string, got map[string]any, want referenceRow, ours, theirs string, limits bool) {
	se := want.number("SE")
	c.relative(what+" "+ours, value(got, ours), want.number(theirs), se)
	if ours != "difference" || limits {
		c.relative(what+" lower", value(got, "lower"), want.number("lower.CL"), se)
		c.relative(what+" upper", value(got, "upper"), want.number("upper.CL"), se)
	}
	c.relative(what+" SE", value(got, "se"), se, 0)
	c.absolute(what+" df", value(got, "df"), want.number("df"), 1e-4*max(1, want.number("df")))
}

func (c *counting) family(what string, table []map[string]any, want *family, joint bool) {
	if want == nil {
		if len(table) > 0 {
			c.Errorf("%s: %d lines, and R has none", what, len(table))
		}
		return
	}
	if len(table) != len(want.Rows) {
		c.Errorf("%s: %d lines, R has %d", what, len(table), len(want.Rows))
	}
	for i, r := range want.Rows {
		got := c.find(what, table, r)
		if got == nil {
			continue
		}
		if joint {
			if want.Joint[i] != nil {
				c.absolute(what+" joint p", value(got, "p_adjusted"), *want.Joint[i], 1e-4)
			}
			continue
		}
		c.line(what, got, r, "difference", "estimate", true)
		c.absolute(what+" p", value(got, "p"), r.number("p.value"), 1e-6)
	}
}

func (c *counting) inference(got printed, want inferredByR) {
	if len(got.Means) != len(want.Means) {
		c.Errorf("%d means, R has %d", len(got.Means), len(want.Means))
	}
	for _, r := range want.Means {
		if row := c.find("means", got.Means, r); row != nil {
			c.line("mean", row, r, "mean", "emmean", true)
		}
	}
	for _, r := range want.Trends {
		if row := c.find("trends", got.Trends, r); row != nil {
			c.line("trend", row, r, "slope", "slope", true)
		}
	}
	c.family("against", got.Against, flat(want), false)
	c.family("overall", got.Overall, want.Overall, false)
	c.family("slopes", got.Slopes, want.TrendsAgainst, false)
	if len(got.Terms) != len(want.Terms) {
		c.Errorf("%d terms, R has %d", len(got.Terms), len(want.Terms))
		return
	}
	for i, r := range want.Terms {
		g := got.Terms[i]
		c.relative("F", g.F, r.F, 1)
		c.absolute("df1", g.DF1, r.DF1, 1e-9)
		c.absolute("df2", g.DF2, r.DF2, 1e-4*max(1, r.DF2))
		c.absolute("p of F", g.P, r.P, 1e-6)
	}
}

// flat is the comparisons at falls; without falls they are those over all.
func flat(r inferredByR) *family {
	if r.Against == nil {
		return r.Overall
	}
	return r.Against
}

func (c *counting) fit(got printed, want referenceCase) {
	if got.Deviance == nil {
		c.Errorf("no deviance")
		return
	}
	c.absolute("deviance", *got.Deviance, want.Deviance, 1e-6)
	c.relative("residual SD", got.ResidualSD, want.ResidualSD, 0)
	random, correlations := 0, 0
	for _, r := range want.Components {
		if r.B != nil {
			c.absolute("correlation", *got.Correlations[correlations].Correlation, r.Value, 1e-6)
			correlations++
			continue
		}
		random++
		group := map[string]string{"casks": "batch:cask", "Subject": "specimen", "Batch": "specimen"}[r.Group]
		if group == "" {
			group = r.Group
		}
		term := map[string]string{"(Intercept)": "intercept", "Days": "fall"}[*r.A]
		found := false
		for _, g := range got.Random {
			if g.Group == group && g.Term == term {
				c.relative("SD of "+group+" "+term, g.SD, r.Value, want.ResidualSD)
				found = true
			}
		}
		if !found {
			c.Errorf("no random effect %s of %s in %v", term, group, got.Random)
		}
	}
	if random != len(got.Random) {
		c.Errorf("%d random effects, R has %d", len(got.Random), random)
	}
}

// The command on the tables of refdata/compare against what R's packages make of
// them: make_reference.R there says how. Deviances to 1e-6, estimates and standard
// errors to 1e-6 of themselves, degrees of freedom to 1e-4, joint p to 1e-4,
// which is what the numerical derivatives of lmerTest and the integration of
// mvtnorm leave.
func TestCompareIsAsInR(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(referenceTables, "reference.json"))
	if err != nil {
		t.Fatal(err)
	}
	var reference struct{ Cases []referenceCase }
	if err := json.Unmarshal(data, &reference); err != nil {
		t.Fatal(err)
	}
	total := 0
	for _, want := range reference.Cases {
		t.Run(want.Name+" "+want.Table, func(t *testing.T) {
			c := &counting{T: t}
			args := append([]string{filepath.Join(referenceTables, want.Table)}, want.Arguments...)
			got := compareTable(t, args...)
			c.fit(got, want)
			c.inference(got, want.KenwardRoger)
			c.inference(compareTable(t, append(args, "--df", "satterthwaite")...), want.Satterthwaite)
			if want.KenwardRoger.Overall != nil {
				got := compareTable(t, append(args, "--adjust", "joint", "--family", "fall")...)
				if want.KenwardRoger.Against == nil {
					c.family("against", got.Against, want.KenwardRoger.Overall, true)
				} else { // all falls are one family, of twenty
					all := compareTable(t, append(args, "--adjust", "joint")...)
					c.family("against", all.Against, want.KenwardRoger.Against, true)
				}
				c.family("overall", got.Overall, want.KenwardRoger.Overall, true)
				c.family("slopes", got.Slopes, want.KenwardRoger.TrendsAgainst, true)
			}
			if c.n < 5 {
				t.Fatalf("%d numbers compared", c.n)
			}
			total += c.n
		})
	}
	if len(reference.Cases) != 20 || total < 3000 {
		t.Errorf("%d cases, %d numbers compared", len(reference.Cases), total)
	}
}
