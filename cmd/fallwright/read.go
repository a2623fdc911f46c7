package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/delimited"
)

// readers are the formats of trace files that this program knows.
func readers() *traceio.Readers { return traceio.New(delimited.Format{}) }

// readRow is one file in the JSON of read. docs/FORMATS.md describes it.
type readRow struct {
	File           string        `json:"file"`
	SampleRate     trace.Value   `json:"sample_rate_Hz"`
	Samples        *int          `json:"samples"`
	Unit           *string       `json:"unit_read"`
	Class          any           `json:"cfc"` // 60, 180, 600, 1000 or "none"
	Tare           trace.Value   `json:"tare_N"`
	Noise          trace.Value   `json:"noise_N"`
	PeakForce      trace.Value   `json:"peak_force_N"`
	TimeToPeak     trace.Value   `json:"time_to_peak_s"`
	FirstImpulse   trace.Value   `json:"impulse_first_Ns"`
	ImpactSpeed    trace.Value   `json:"impact_speed_mps"`
	MaxStretch     trace.Value   `json:"max_stretch_m"`
	EnergyIn       trace.Value   `json:"energy_in_J"`
	EnergyAbsorbed trace.Value   `json:"energy_absorbed_J"`
	ReboundSpeed   trace.Value   `json:"rebound_speed_mps"`
	BouncePeaks    []trace.Value `json:"bounce_peaks_N"`
	Notes          []string      `json:"notes"`
}

// readAsk is everything that read's flags say.
type readAsk struct {
	file   traceio.Ask
	set    trace.Settings
	class  string
	asJSON bool
}

func readCommand() *cobra.Command {
	var ask readAsk
	cmd := &cobra.Command{
		Use:   "read FILE...",
		Short: "Take the readings of force traces",
		Long: `Read takes each file's peak, time to peak, impulse and bounce peaks, and with
--mass and --drop also stretch, energy and rebound speed. Columns, delimiter,
decimal sign, units and sign are found in the file where they can be.`,
		Example: `  fallwright read fall-01.csv --mass 80 --drop 1.42 --cfc 60
  fallwright read logger.txt --rate 2000 --unit kN --json`,
		Args: cobra.MinimumNArgs(1),
		PreRunE: func(cmd *cobra.Command, _ []string) error {
			return ask.check(cmd)
		},
		RunE: doing(func(cmd *cobra.Command, files []string) error { return readFiles(cmd, files, ask) }),
	}
	f := cmd.Flags()
	f.Float64Var(&ask.file.Rate, "rate", 0, "samples a second in `HZ`, when the file has no time column or a poor one")
	f.StringVar(&ask.file.Force, "force", "", "force `COLUMN`, by name or by number from 1")
	f.StringVar(&ask.file.Time, "time", "", "time `COLUMN`, likewise")
	f.StringVar(&ask.file.Unit, "unit", "", "force `UNIT` of the file: N, kN, lbf or kgf")
	f.Float64Var(&ask.set.Mass, "mass", 0, "falling mass in `KG`")
	f.Float64Var(&ask.set.Drop, "drop", 0, "free fall before the rope goes tight, in `M`")
	f.Float64Var(&ask.set.Length, "length", 0, "free length of rope, in `M`")
	f.StringVar(&ask.class, "cfc", "none", "filter `CLASS`: 60, 180, 600, 1000 or none")
	f.BoolVar(&ask.asJSON, "json", false, "print JSON, one object a file")
	return cmd
}

// check refuses flags that cannot be meant.
func (a *readAsk) check(cmd *cobra.Command) error {
	classes := map[string]int{"none": 0, "60": 60, "180": 180, "600": 600, "1000": 1000}
	class, ok := classes[a.class]
	if !ok {
		return fmt.Errorf("--cfc %s is no class: 60, 180, 600, 1000 or none", a.class)
	}
	a.set.Class = class
	for _, f := range []struct {
		name string
		v    float64
		unit string
	}{{"rate", a.file.Rate, "Hz"}, {"mass", a.set.Mass, "kg"}, {"drop", a.set.Drop, "m"}, {"length", a.set.Length, "m"}} {
		if cmd.Flags().Changed(f.name) && !(f.v > 0 && f.v < 1e9) {
			return fmt.Errorf("--%s %g %s: it must be above zero", f.name, f.v, f.unit)
		}
	}
	if u := a.file.Unit; u != "" && u != "N" && u != "kN" && u != "lbf" && u != "kgf" {
		return fmt.Errorf("--unit %s is not known here: N, kN, lbf or kgf", u)
	}
	return nil
}

// readFiles reads what it can and refuses the rest, each by itself.
func readFiles(cmd *cobra.Command, files []string, ask readAsk) error {
	known := readers()
	rows := make([]readRow, 0, len(files))
	var refused problem.List
	for _, name := range files {
		reading, err := readFile(known, name, ask)
		if err != nil {
			problems := problem.All(err)
			if problems == nil {
				return err
			}
			refused = append(refused, problems...)
			rows = append(rows, refusedRow(name, err))
			continue
		}
		rows = append(rows, rowOf(name, reading))
		if !ask.asJSON {
			printReading(cmd, name, reading, ask.set)
		}
	}
	if ask.asJSON {
		if err := printJSON(cmd, rows); err != nil {
			return err
		}
	}
	if n := len(files) - countRead(rows); n > 0 && len(files) > 1 {
		refused[len(refused)-1].State = fmt.Sprintf("%d of %d files were read", len(files)-n, len(files))
	}
	return refused.Err()
}

func countRead(rows []readRow) int {
	n := 0
	for _, r := range rows {
		if r.Samples != nil {
			n++
		}
	}
	return n
}

func readFile(known *traceio.Readers, name string, ask readAsk) (*trace.Reading, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	rec, err := known.Read(name, data, ask.file)
	if err != nil {
		return nil, err
	}
	reading, _, err := trace.Take(rec, ask.set)
	for _, p := range problem.All(err) {
		p.Where = strings.TrimSuffix(name+": "+p.Where, ": ")
	}
	return reading, err
}

// cannotOpen says why a file cannot be had, without the system's own words.
func cannotOpen(name string, err error) error {
	p := problem.New(problem.NotFound, name, "there is no such file")
	switch {
	case os.IsNotExist(err):
		return p.Hint("look at the spelling; a name with spaces needs quotes")
	case os.IsPermission(err):
		p.What = "this user may not read it"
		return p.Hint("chmod +r %s", name)
	}
	if info, statErr := os.Stat(name); statErr == nil && info.IsDir() {
		p.What = "this is a folder"
		return p.Hint("name the files in it: %s/*.csv", strings.TrimRight(name, "/"))
	}
	p.What = err.Error()
	return p
}

func refusedRow(name string, err error) readRow {
	none := trace.None()
	row := readRow{
		File: name, SampleRate: none, Tare: none, Noise: none, PeakForce: none, TimeToPeak: none, FirstImpulse: none,
		ImpactSpeed: none, MaxStretch: none, EnergyIn: none, EnergyAbsorbed: none, ReboundSpeed: none,
		BouncePeaks: []trace.Value{}, Notes: []string{},
	}
	for _, p := range problem.All(err) {
		row.Notes = append(row.Notes, "not read: "+strings.TrimPrefix(p.Error(), name+": "))
	}
	return row
}

func rowOf(name string, r *trace.Reading) readRow {
	row := readRow{
		File: name, SampleRate: r.SampleRate, Samples: &r.Samples, Unit: &r.Unit, Class: "none", Tare: r.Tare, Noise: r.Noise,
		PeakForce: r.PeakForce, TimeToPeak: r.TimeToPeak, FirstImpulse: r.FirstImpulse, ImpactSpeed: r.ImpactSpeed,
		MaxStretch: r.MaxStretch, EnergyIn: r.EnergyIn, EnergyAbsorbed: r.EnergyAbsorbed, ReboundSpeed: r.ReboundSpeed,
		BouncePeaks: r.BouncePeaks, Notes: []string{},
	}
	if r.Class != 0 {
		row.Class = r.Class
	}
	for _, n := range r.Notes {
		row.Notes = append(row.Notes, n.Text)
	}
	return row
}

func printJSON(cmd *cobra.Command, v any) error {
	enc := json.NewEncoder(cmd.OutOrStdout())
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	return enc.Encode(v)
}

// printReading is one file on the terminal.
func printReading(cmd *cobra.Command, name string, r *trace.Reading, set trace.Settings) {
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%s\n", name)
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	row := func(what, value string) { fmt.Fprintf(w, "  %s\t%s\n", what, value) }
	row("samples", fmt.Sprintf("%d at %.6g Hz, read in %s, %s", r.Samples, float64(r.SampleRate), r.Unit, className(r.Class)))
	row("tare, noise", si(r.Tare, 1, 1, "N")+", "+si(r.Noise, 1, 1, "N"))
	row("peak force", force(r.PeakForce))
	row("time to peak", si(r.TimeToPeak, 1, 4, "s"))
	row("impulse, first contact", si(r.FirstImpulse, 1, 1, "N s"))
	row("impact speed, from the trace", si(r.ImpactSpeed, 1, 3, "m/s"))
	stretch := si(r.MaxStretch, 1, 3, "m")
	if set.Length > 0 && r.MaxStretch.Known() {
		stretch += fmt.Sprintf(", %.1f %% of the free length", 100*float64(r.MaxStretch)/set.Length)
	}
	row("largest stretch", stretch)
	row("energy in, absorbed", si(r.EnergyIn, 1, 0, "J")+", "+si(r.EnergyAbsorbed, 1, 0, "J"))
	row("rebound speed", si(r.ReboundSpeed, 1, 3, "m/s"))
	var bounces []string
	for _, b := range r.BouncePeaks {
		bounces = append(bounces, force(b))
	}
	if len(bounces) == 0 {
		bounces = []string{"none"}
	}
	row("bounce peaks", strings.Join(bounces, ", "))
	w.Flush()
	for _, n := range r.Notes {
		mark := map[trace.Grade]string{trace.Said: "·", trace.Doubtful: "?", trace.Missing: "!"}[n.Grade]
		fmt.Fprintln(out, wrap("  "+mark+" ", "    ", n.Text))
	}
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
	return fmt.Sprintf("%.*f %s", digits, float64(v)/per, unit)
}
