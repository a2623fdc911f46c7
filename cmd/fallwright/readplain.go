package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"fallwright.example/trace"
)

// plainOutput prints each drop for people to read.
type plainOutput struct {
	w   io.Writer
	ask *readAsk
}

func (o *plainOutput) close() error { return nil }

func (o *plainOutput) take(d drops) error {
	if d.err != nil && !o.ask.preview {
		return nil
	}
	if o.ask.preview {
		printPreview(o.w, d)
	}
	for i, r := range d.readings {
		name := d.name
		if d.parts[i] != "" {
			name += ", drop " + d.parts[i]
		}
		fmt.Fprintf(o.w, "%s\n", name)
		printReading(o.w, r, o.ask.set)
		if o.ask.bounces {
			printContacts(o.w, r)
		}
		if o.ask.budget {
			printBudgets(o.w, r)
		}
		for _, n := range r.Notes {
			mark := map[trace.Grade]string{trace.Said: "·", trace.Doubtful: "?", trace.Missing: "!"}[n.Grade]
			fmt.Fprintln(o.w, wrap("  "+mark+" ", "    ", n.Text))
		}
	}
	return nil
}

// printPreview is what was understood of a file, why, and what corrects it.
func printPreview(out io.Writer, d drops) {
	fmt.Fprintf(out, "%s, as it was understood: %s\n", d.name, strings.ToLower(d.layout.Format[:min(1, len(d.layout.Format))])+d.layout.Format[min(1, len(d.layout.Format)):])
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, f := range d.layout.Facts {
		cure := ""
		if f.Flag != "" {
			cure = "else " + f.Flag
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\n", f.What, f.Is, f.Why, cure)
	}
	w.Flush()
	w = tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	for _, c := range d.layout.Columns {
		title, use := c.Title, c.Use
		if title == "" {
			title = "–"
		}
		if use == "" {
			use = "not read"
		}
		fmt.Fprintf(w, "  column %d\t%s\t%s\t%s\n", c.No, title, use, strings.Join(c.Cells, "  "))
	}
	w.Flush()
}

// shownValue is one line of a reading.
type shownValue struct {
	what, key string
	v         trace.Value
	per       float64
	digits    int
	unit      string
}

func shownValues(r *trace.Reading) []shownValue {
	forcePer, forceUnit := 1e3, "kN"
	if r.PeakForce.Known() && math.Abs(float64(r.PeakForce)) < 100 {
		forcePer, forceUnit = 1, "N"
	}
	return []shownValue{
		{"peak force", "peak_force_N", r.PeakForce, forcePer, 3, forceUnit},
		{"  as recorded", "", r.PeakRecorded, 1, 2, "N"},
		{"time to peak", "time_to_peak_s", r.TimeToPeak, 1, 4, "s"},
		{"rise, 10 to 90 %", "rise_time_s", r.RiseTime, 1, 4, "s"},
		{"largest jerk", "peak_jerk_Nps", r.PeakJerk, 1e3, 1, "kN/s"},
		{"impulse, first contact", "impulse_first_Ns", r.FirstImpulse, 1, 1, "N s"},
		{"impact speed, from the trace", "impact_speed_mps", r.ImpactSpeed, 1, 3, "m/s"},
		{"  free fall of the drop", "geometry_speed_mps", r.GeometrySpeed, 1, 3, "m/s"},
		{"  light gate", "gate_speed_mps", r.GateSpeed, 1, 3, "m/s"},
		{"guide's friction", "guide_friction", r.GuideFriction, 0.01, 2, "%"},
		{"largest stretch", "max_stretch_m", r.MaxStretch, 1, 3, "m"},
		{"energy in", "energy_in_J", r.EnergyIn, 1, 0, "J"},
		{"  absorbed", "energy_absorbed_J", r.EnergyAbsorbed, 1, 0, "J"},
		{"  returned", "energy_returned_J", r.EnergyReturned, 1, 0, "J"},
		{"rebound speed", "rebound_speed_mps", r.ReboundSpeed, 1, 3, "m/s"},
		{"restitution", "restitution", r.Restitution, 1, 3, ""},
		{"secant stiffness", "secant_stiffness_Npm", r.Secant, 1e3, 2, "kN/m"},
		{"tangent stiffness", "tangent_stiffness_Npm", r.Tangent, 1e3, 2, "kN/m"},
		{"loss factor", "loss_factor", r.LossFactor, 1, 3, ""},
		{"log decrement", "log_decrement", r.LogDecrement, 1, 3, ""},
		{"damping ratio", "damping_ratio", r.DampingRatio, 1, 4, ""},
		{"hang weight", "hang_weight_N", r.HangWeight, 1, 1, "N"},
		{"  over m g", "gain_check", r.GainCheck, 1, 4, ""},
		{"closing error, stretch", "closing_stretch_m", r.ClosingStretch, 1, 3, "m"},
		{"closing error, speed", "", r.ClosingSpeed, 1, 3, "m/s"},
		{"work over recorded stretch", "", r.RecordedWork, 1, 4, "J"},
		{"  up to the peak", "", r.WorkToPeak, 1, 4, "J"},
	}
}

// alwaysShown are said to be missing; the others are left out.
var alwaysShown = map[string]bool{"peak_force_N": true, "time_to_peak_s": true, "impulse_first_Ns": true, "impact_speed_mps": true, "max_stretch_m": true, "energy_in_J": true, "energy_absorbed_J": true, "rebound_speed_mps": true}

// printReading is one drop on the terminal.
func printReading(out io.Writer, r *trace.Reading, set trace.Settings) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "  samples\t%d at %.6g Hz, read in %s, %s\n", r.Samples, float64(r.SampleRate), r.Unit, className(r.Class))
	fmt.Fprintf(w, "  tare, noise\t%s, %s\n", si(r.Tare, 1, digitsFor(r.Noise, 1), "N"), si(r.Noise, 1, digitsFor(r.Noise, 1), "N"))
	for _, s := range shownValues(r) {
		if !s.v.Known() && !alwaysShown[s.key] {
			continue
		}
		s.digits = digitsFor(s.v/trace.Value(s.per), s.digits)
		value := si(s.v, s.per, s.digits, s.unit)
		if s.key == "max_stretch_m" && set.Length > 0 && s.v.Known() {
			value += fmt.Sprintf(", %.1f %% of the free length", 100*float64(s.v)/set.Length)
		}
		between := ""
		if u, ok := r.Uncertainty[s.key]; ok && u.Standard > 0 {
			between = fmt.Sprintf("95 %%: %.*f to %.*f", s.digits, u.Lower/s.per, s.digits, u.Upper/s.per)
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\n", s.what, value, between)
	}
	var bounces []string
	for _, b := range r.BouncePeaks {
		bounces = append(bounces, force(b))
	}
	if len(bounces) == 0 {
		bounces = []string{"none"}
	}
	fmt.Fprintf(w, "  bounce peaks\t%s\n", strings.Join(bounces, ", "))
	w.Flush()
}

// printContacts is every contact of a drop.
func printContacts(out io.Writer, r *trace.Reading) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  contact\tfrom s\tto s\tpeak\timpulse\tinto\tstretch\tenergy in\tabsorbed\tout of\trestitution\tslack after")
	for k, c := range r.Contacts {
		fmt.Fprintf(w, "  %d\t%.4f\t%.4f\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", k+1, c.Start, c.End, force(trace.Value(c.Peak)),
			si(c.Impulse, 1, 1, "N s"), si(c.ImpactSpeed, 1, 2, "m/s"), si(c.MaxStretch, 1, 3, "m"), si(c.EnergyIn, 1, 0, "J"),
			si(c.EnergyAbsorbed, 1, 0, "J"), si(c.ReboundSpeed, 1, 2, "m/s"), si(c.Restitution, 1, 3, ""), si(c.Flight, 1, 3, "s"))
	}
	w.Flush()
}

// printBudgets is where each uncertainty comes from.
func printBudgets(out io.Writer, r *trace.Reading) {
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  value\tsource\tu of the source\tsensitivity\tpart")
	for _, s := range shownValues(r) {
		u, ok := r.Uncertainty[s.key]
		if !ok {
			continue
		}
		freedom := ""
		if u.Freedom > 0 {
			freedom = fmt.Sprintf(", %.0f degrees of freedom", u.Freedom)
		}
		if u.Trials > 0 {
			freedom = fmt.Sprintf(", from %d trials", u.Trials)
		}
		s.digits = digitsFor(trace.Value(u.Standard/s.per), s.digits)
		fmt.Fprintf(w, "  %s\t\t\t\tu = %s%s\n", strings.TrimSpace(s.what), si(trace.Value(u.Standard), s.per, s.digits+1, s.unit), freedom)
		if u.Bias != 0 {
			fmt.Fprintf(w, "  \tknown bias\t\t\t%s\n", si(trace.Value(u.Bias), s.per, s.digits+1, s.unit))
		}
		for _, b := range u.Budget {
			fmt.Fprintf(w, "  \t%s\t%.3g %s\t%.4g\t%s\n", b.Source, b.Input, b.InputUnit, b.Sensitivity, si(trace.Value(b.Part), s.per, s.digits+1, s.unit))
		}
	}
	w.Flush()
}

// force writes kilonewtons, or newtons below 100 N.
func force(v trace.Value) string {
	if v.Known() && math.Abs(float64(v)) < 100 {
		return si(v, 1, 3, "N")
	}
	return si(v, 1e3, 3, "kN")
}

func className(class int) string {
	if class == 0 {
		return "unfiltered"
	}
	return fmt.Sprintf("CFC %d", class)
}

// si writes a value in a unit that is per times the SI unit; – when missing.
func si(v trace.Value, per float64, digits int, unit string) string {
	if !v.Known() {
		return "–"
	}
	text := fmt.Sprintf("%.*f", digits, float64(v)/per)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return strings.TrimSpace(text + " " + unit)
}

// digitsFor is the decimals that show a small value in four digits, or those
// asked for where that is more than enough.
func digitsFor(v trace.Value, digits int) int {
	if !v.Known() || v == 0 {
		return digits
	}
	return max(digits, min(9, 3-int(math.Floor(math.Log10(math.Abs(float64(v)))))))
}
