package main

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// tableOutput gathers the readings as lines of a table and writes it at the end,
// whole or not at all.
type tableOutput struct {
	path    string
	bounces bool
	rows    [][]string
}

var contactHead = []string{
	"contact", "contact_from_s", "contact_to_s", "contact_peak_N", "contact_impulse_Ns", "contact_impact_speed_mps", "contact_max_stretch_m",
	"contact_energy_in_J", "contact_energy_absorbed_J", "contact_rebound_speed_mps", "contact_restitution", "contact_slack_after_s",
}

func (o *tableOutput) head() []string {
	head := []string{"file", "part", "samples", "sample_rate_Hz", "unit_read", "cfc"}
	none := trace.Unread()
	for _, s := range tableValues(&none) {
		head = append(head, s.key, "u_"+s.key)
	}
	if o.bounces {
		head = append(head, contactHead...)
	}
	return append(head, "worst", "notes")
}

// tableValues are the values of a table's line, in SI, under their JSON keys.
func tableValues(r *trace.Reading) []shownValue {
	out := []shownValue{{key: "tare_N", v: r.Tare}, {key: "noise_N", v: r.Noise}, {key: "peak_recorded_N", v: r.PeakRecorded}}
	for _, s := range shownValues(r) {
		if s.key != "" {
			out = append(out, shownValue{key: s.key, v: s.v})
		}
	}
	return append(out, shownValue{key: "closing_speed_mps", v: r.ClosingSpeed},
		shownValue{key: "recorded_work_J", v: r.RecordedWork}, shownValue{key: "recorded_work_to_peak_J", v: r.WorkToPeak})
}

func (o *tableOutput) take(d drops) error {
	if d.err != nil {
		row := make([]string, len(o.head()))
		row[0], row[len(row)-2], row[len(row)-1] = d.name, "not read", strings.Join(refusedRow(d).Notes, "; ")
		o.rows = append(o.rows, row)
		return nil
	}
	for i, r := range d.readings {
		row := []string{d.name, d.parts[i], strconv.Itoa(r.Samples), number(r.SampleRate), r.Unit, strconv.Itoa(r.Class)}
		if r.Class == 0 {
			row[5] = "none"
		}
		for _, s := range tableValues(r) {
			u := ""
			if known, ok := r.Uncertainty[s.key]; ok {
				u = number(trace.Value(known.Standard))
			}
			row = append(row, number(s.v), u)
		}
		end := []string{string(r.Grade()), strings.Join(rowOf("", "", r).Notes, "; ")}
		if !o.bounces {
			o.rows = append(o.rows, append(row, end...))
			continue
		}
		for k, c := range r.Contacts {
			line := append(append([]string{}, row...), strconv.Itoa(k+1), number(trace.Value(c.Start)), number(trace.Value(c.End)), number(trace.Value(c.Peak)),
				number(c.Impulse), number(c.ImpactSpeed), number(c.MaxStretch), number(c.EnergyIn), number(c.EnergyAbsorbed), number(c.ReboundSpeed), number(c.Restitution), number(c.Flight))
			o.rows = append(o.rows, append(line, end...))
		}
		if len(r.Contacts) == 0 {
			o.rows = append(o.rows, append(append(row, make([]string, len(contactHead))...), end...))
		}
	}
	return nil
}

// number writes a value to the last digit that it has; nothing when missing.
func number(v trace.Value) string {
	if !v.Known() {
		return ""
	}
	return strconv.FormatFloat(float64(v), 'g', -1, 64)
}

func (o *tableOutput) close() error {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if err := w.WriteAll(append([][]string{o.head()}, o.rows...)); err != nil {
		return err
	}
	return writeWhole(o.path, b.Bytes())
}

// writeWhole writes a file by way of another beside it, so that the old one
// stays until the new one is whole.
func writeWhole(path string, data []byte) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return cannotWrite(path, errIsFolder)
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return cannotWrite(path, err)
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Chmod(f.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return cannotWrite(path, err)
	}
	return nil
}

// plotMost is the number of drops that one drawing holds.
const plotMost = 40

// plotOutput gathers traces and draws them at the end.
type plotOutput struct {
	path   string
	traces []figure.Plotted
	more   int
}

func (o *plotOutput) take(d drops) error {
	for i := range d.readings {
		name := filepath.Base(d.name)
		if d.parts[i] != "" {
			name += ", drop " + d.parts[i]
		}
		if len(o.traces) == plotMost {
			o.more++
			continue
		}
		o.traces = append(o.traces, figure.Plotted{Name: name, Reading: d.readings[i], Signal: d.signals[i]})
	}
	return nil
}

func (o *plotOutput) close() error {
	remark := ""
	if o.more > 0 {
		remark = strconv.Itoa(o.more) + " more were read and are not drawn"
	}
	scene := figure.TracePlot(o.traces, figure.Canvas{Width: 900, Height: 320, Remark: remark})
	return writeWhole(o.path, []byte(standing(scene.SVG())))
}

var errIsFolder = errors.New("this is a folder")

// standing gives a drawing the style that a page would give it.
func standing(svg string) string {
	return strings.Replace(svg, "\n<title>", "\n<style>"+figure.Style+"</style>\n<title>", 1)
}

// spare refuses to write over a trace, or over a file that is no earlier table or
// drawing.
func (a *readAsk) spare(inputs []string) error {
	for _, out := range []struct{ flag, path, begins string }{{"--table", a.table, "file,part,samples,"}, {"--plot", a.plot, "<svg "}} {
		info, err := os.Stat(out.path)
		if out.path == "" || err != nil || info.IsDir() {
			continue
		}
		p := problem.New(problem.Conflict, out.path, "%s would write over this file, which %s did not write", out.flag, out.flag).
			Hint("choose another name, as %s %s", out.flag, out.path+".new").In("nothing was read and nothing was written")
		for _, name := range inputs {
			if in, err := os.Stat(name); err == nil && os.SameFile(in, info) {
				p.What = "this is one of the files to read: " + out.flag + " would write over it"
				return p
			}
		}
		f, err := os.Open(out.path)
		if err != nil {
			return cannotOpen(out.path, err)
		}
		head := make([]byte, len(out.begins))
		n, _ := io.ReadFull(f, head)
		f.Close()
		if n > 0 && string(head[:n]) != out.begins {
			return p
		}
	}
	return nil
}
