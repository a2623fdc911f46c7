package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/uptake"
)

// soakSigns stand before a state, so that it is seen at a glance.
var soakSigns = map[uptake.State]string{uptake.Saturated: "■", uptake.Rising: "◆", uptake.StillRising: "▲"}

// print says what was found: sentences first, numbers second, method third.
func (r *soaked) print(w io.Writer) {
	fmt.Fprintf(w, "%s: %s\n", r.name, figure.Counted(r.weighings(), "weighing"))
	for _, a := range r.answers {
		fmt.Fprintf(w, "\n%s %s\n%s\n", soakSigns[a.State], strings.ToUpper(string(a.State)), wrap("  ", "  ", a.Sentence()))
		for _, n := range a.Notes {
			fmt.Fprintln(w, wrap("  · ", "    ", n))
		}
	}
	r.printEnds(w)
	r.printAt(w)
	r.printContrasts(w)
	r.printTerms(w)
	r.printTried(w)
	r.printMethod(w)
	printList(w, "notes", r.notes)
}

func (r *soaked) printEnds(w io.Writer) {
	g := newGrid(1, "condition", "specimens", "weighings", "law", "ends at", "+95 % interval", "half, min", "+95 % interval", "90 %, min", "+95 % interval", "95 %, min", "+95 % interval")
	for _, a := range r.answers {
		cells := []string{a.Condition, strconv.Itoa(a.Specimens), strconv.Itoa(len(a.Points)), a.Law.Name}
		if !a.Law.Saturates() {
			g.row(append(cells, "no end", "", "", "", "", "", "", "")...)
			continue
		}
		cells = append(cells, uptakePercent(a.Saturation.Value), openRange(a.Saturation))
		for _, t := range a.Times {
			value := figure.Missing
			if !math.IsNaN(t.Value) && t.Lower > 0 {
				value = uptake.InMinutes(t.Value)
			}
			cells = append(cells, value, t.Span())
		}
		g.row(cells...)
	}
	g.print(w, "where it ends by the law, % of the dry mass, and when")
}

func uptakePercent(v float64) string { return figure.Fixed(100*v, 1) }

// openRange is an interval of uptake whose upper end may be open.
func openRange(e uptake.Estimate) string {
	if math.IsInf(e.Upper, 1) && !math.IsNaN(e.Lower) {
		return uptakePercent(e.Lower) + " or more"
	}
	return figure.Range(100*e.Lower, 100*e.Upper, 1)
}

func (r *soaked) printAt(w io.Writer) {
	g := newGrid(2, "condition", "minutes", "uptake", "95 % interval")
	for _, a := range r.answers {
		times := r.at
		if len(times) == 0 {
			times = []float64{a.First(), a.Last()}
		}
		for _, t := range times {
			if t > a.Last()*(1+1e-9) {
				g.row(a.Condition, uptake.InMinutes(t), figure.Missing, "not weighed so long")
				continue
			}
			e := a.At(t)
			g.row(a.Condition, uptake.InMinutes(t), uptakePercent(e.Value), figure.Range(100*e.Lower, 100*e.Upper, 1))
		}
	}
	g.print(w, "uptake by the law, % of the dry mass")
}

func (r *soaked) printContrasts(w io.Writer) {
	g := newGrid(2, "condition", "of", "difference", "95 % interval", "df", "p", "+p adjusted", "how")
	var marks []string
	for _, c := range r.contrasts {
		marks = c.Marks
		of := string(c.Quantity)
		if c.Quantity == uptake.AtTime {
			of = "uptake at " + uptake.Minutes(c.Time)
		}
		if math.IsNaN(c.Estimate) {
			g.row(c.A, of, figure.Missing, figure.Missing, figure.Missing, figure.Missing, figure.Missing, c.Said)
			continue
		}
		value, limits := figure.Signed(100*c.Estimate, 1), figure.Range(100*c.Lower, 100*c.Upper, 1)
		if c.Quantity == uptake.InRate {
			value, limits = "× "+figure.Fixed(c.Estimate, 2), figure.Range(c.Lower, c.Upper, 2)
		}
		if math.IsNaN(c.P) {
			g.row(c.A, of, value, figure.Missing, figure.Missing, figure.Missing, figure.Missing, c.Said)
			continue
		}
		g.row(c.A, of, value, limits, degrees(c.DF), pValue(c.P), pValue(c.PHolm), c.How)
	}
	title := "difference to " + r.baseline + ", percentage points; for rates a ratio"
	if len(marks) > 0 {
		title += " — " + strings.ToUpper(strings.Join(marks, "; "))
	}
	g.print(w, title)
}

func (r *soaked) printTerms(w io.Writer) {
	g := newGrid(1, "condition", "parameter", "value", "SE", "unit")
	for _, a := range r.answers {
		for i := range a.Law.Terms(a.P) {
			t, se := a.Term(i)
			g.row(a.Condition, t.Name, digits(t.Value), digits(se), t.Unit)
		}
	}
	g.print(w, "parameters of the law, s and kg/kg")
}

// digits writes a parameter of any size to four significant digits.
func digits(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return figure.Missing
	}
	return strings.Replace(strconv.FormatFloat(v, 'g', 4, 64), "-", "−", 1)
}

func (r *soaked) printTried(w io.Writer) {
	g := newGrid(1, "condition", "law", "parameters", "AICc above the least", "residual SD", "ends at")
	for _, a := range r.answers {
		if len(a.Tried) < 2 {
			continue
		}
		for _, f := range a.Tried {
			end := "no end"
			if f.Law.Saturates() {
				end = uptakePercent(f.Saturation.Value)
				if f.Saturation.Open() {
					end = "open"
				}
			}
			g.row(a.Condition, f.Law.Name, strconv.Itoa(f.Law.Parameters()), figure.Fixed(f.AICc-a.AICc, 1), figure.Fixed(100*f.Sigma, 2), end)
		}
	}
	g.print(w, "laws tried")
}

func (r *soaked) printMethod(w io.Writer) {
	var said, methods []string
	for _, a := range r.answers {
		name := ""
		if a.Condition != "" {
			name = a.Condition + ": "
		}
		said = append(said, name+a.Law.Formula+"; "+a.KindSaid())
		if m := a.Method(); !slices.Contains(methods, m) {
			methods = append(methods, m)
		}
		for _, l := range a.LeftOut {
			said = append(said, name+"not fitted, "+l)
		}
	}
	said = append(said, methods...)
	said = append(said, "uptake is the mass gained over the dry mass", "line to read by: "+uptake.PassLimitSaid)
	printList(w, "method", said)
}
