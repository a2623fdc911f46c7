package main

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"fallwright.example/trace"
)

// Source: encoding/json, which writes what the documented JSON is. Rows with
// every kind of value there is come out as from it, byte for byte.
func TestJSONOfARowIsThatOfTheStandardLibrary(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	texts := []string{"", "plain", "a \"quoted\" \\ one", "µ·g, \u2028, \u00e9", "<b> & more\n\ttab", "\xff\x00", "N·√s"}
	number := func() float64 {
		return rng.NormFloat64() * math.Pow(10, float64(rng.IntN(60)-30))
	}
	checked := 0
	for range 300 {
		r := trace.Unread()
		value := reflect.ValueOf(&r).Elem()
		for i := range value.NumField() {
			if f := value.Field(i); f.Kind() == reflect.Float64 && rng.IntN(3) > 0 {
				f.SetFloat([]float64{number(), 0, math.Copysign(0, -1), math.Inf(1), 1e21, 1e-6, 9e-7, 123456789}[rng.IntN(8)])
			}
		}
		text := func() string { return texts[rng.IntN(len(texts))] }
		for range rng.IntN(3) {
			r.BouncePeaks = append(r.BouncePeaks, trace.Value(number()), trace.None())
			r.Notes = append(r.Notes, trace.Note{Grade: trace.Said, Text: text()})
			r.Contacts = append(r.Contacts, trace.Contact{From: rng.IntN(9), Start: number(), Open: rng.IntN(2) == 0, Impulse: trace.None()})
			r.Steps = append(r.Steps, trace.Step{Name: text(), Params: []trace.Param{{Name: text(), Value: number(), Unit: "N"}}}, trace.Step{})
		}
		if rng.IntN(2) == 0 {
			r.Uncertainty = trace.Uncertainties{"b": {Standard: number(), Trials: rng.IntN(2) * 5, Budget: []trace.Share{{Source: text(), Part: number()}, {InputUnit: text()}}}, text() + "a": {Budget: []trace.Share{}}}
		}
		r.Class = []int{0, 60}[rng.IntN(2)]
		row := rowOf(text(), text(), &r)
		if rng.IntN(2) == 0 {
			row.Contacts = r.Contacts
			row.Layout = previewOf(trace.Layout{Format: text(), Facts: []trace.Fact{{What: "w", Flag: text()}}, Columns: []trace.Column{{No: 1, Cells: []string{text()}}}})
		}
		if rng.IntN(20) == 0 {
			row = refusedRow(drops{name: "a.csv"})
		}
		var want bytes.Buffer
		enc := json.NewEncoder(&want)
		enc.SetEscapeHTML(false)
		enc.SetIndent("  ", "  ")
		if err := enc.Encode(row); err != nil {
			t.Fatal(err)
		}
		got, err := appendJSON(nil, reflect.ValueOf(row), "  ")
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(append(got, '\n'), want.Bytes()) {
			t.Fatalf("got\n%s\nencoding/json has\n%s", got, want.Bytes())
		}
		checked++
	}
	if checked < 300 {
		t.Fatalf("%d rows were checked", checked)
	}
}

// A number that cannot be written is an error, as from encoding/json.
func TestJSONRefusesWhatIsNoNumber(t *testing.T) {
	for _, v := range []any{
		trace.Contact{Start: math.NaN()},
		trace.Uncertainties{"a": {Bias: math.NaN()}},
		trace.Uncertainties{"a": {Budget: []trace.Share{{Part: math.Inf(1)}}}},
	} {
		if _, err := appendJSON(nil, reflect.ValueOf(v), ""); err == nil {
			t.Errorf("%v was written", v)
		}
	}
}
