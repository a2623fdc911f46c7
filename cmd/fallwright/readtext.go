package main

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode/utf8"

	"fallwright.example/trace"
)

// appendJSON appends v as json.MarshalIndent(v, indent, "  ") writes it, but for
// the escapes that are meant for HTML. A reading is some hundred numbers: this
// takes a tenth of the time, as nothing is written, checked and written again.
func appendJSON(dst []byte, v reflect.Value, indent string) ([]byte, error) {
	if v.IsValid() && v.Type() == valueType {
		return appendNumber(dst, v.Float()), nil
	}
	switch v.Kind() {
	case reflect.Invalid:
		return append(dst, "null"...), nil
	case reflect.Pointer, reflect.Interface:
		return appendJSON(dst, v.Elem(), indent)
	case reflect.String:
		return appendText(dst, v.String())
	case reflect.Bool:
		return strconv.AppendBool(dst, v.Bool()), nil
	case reflect.Int:
		return strconv.AppendInt(dst, v.Int(), 10), nil
	case reflect.Float64:
		if f := v.Float(); !math.IsNaN(f - f) {
			return appendNumber(dst, f), nil
		}
	case reflect.Slice:
		return appendList(dst, v, indent)
	case reflect.Map:
		if all, ok := v.Interface().(trace.Uncertainties); ok {
			return appendUncertainties(dst, all, indent)
		}
		return appendMap(dst, v, indent)
	case reflect.Struct:
		return appendStruct(dst, v, indent)
	}
	text, err := json.MarshalIndent(v.Interface(), indent, "  ")
	return append(dst, text...), err
}

var valueType = reflect.TypeFor[trace.Value]()

// appendNumber appends a number as encoding/json does, null for one that is not
// finite.
func appendNumber(dst []byte, f float64) []byte {
	if math.IsNaN(f - f) {
		return append(dst, "null"...)
	}
	if a := math.Abs(f); a == 0 || a >= 1e-6 && a < 1e21 {
		return strconv.AppendFloat(dst, f, 'f', -1, 64)
	}
	dst = strconv.AppendFloat(dst, f, 'e', -1, 64)
	if n := len(dst); n >= 4 && dst[n-4] == 'e' && dst[n-3] == '-' && dst[n-2] == '0' {
		dst[n-2] = dst[n-1] // e-09 to e-9
		dst = dst[:n-1]
	}
	return dst
}

// deeper is an indent one step further in.
func deeper(indent string) string {
	const blanks = "                                "
	if n := len(indent) + 2; n <= len(blanks) {
		return blanks[:n]
	}
	return indent + "  "
}

func appendText(dst []byte, s string) ([]byte, error) {
	odd := func(r rune) bool {
		return r < ' ' || r == '"' || r == '\\' || r == utf8.RuneError || r == '\u2028' || r == '\u2029'
	}
	if !strings.ContainsFunc(s, odd) {
		return append(append(append(dst, '"'), s...), '"'), nil
	}
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(s)
	return append(dst, bytes.TrimSuffix(b.Bytes(), []byte("\n"))...), err
}

func appendList(dst []byte, v reflect.Value, indent string) (_ []byte, err error) {
	switch {
	case v.IsNil():
		return append(dst, "null"...), nil
	case v.Len() == 0:
		return append(dst, "[]"...), nil
	}
	lead := "[\n"
	for i := range v.Len() {
		dst = append(append(append(dst, lead...), indent...), "  "...)
		if dst, err = appendJSON(dst, v.Index(i), deeper(indent)); err != nil {
			return dst, err
		}
		lead = ",\n"
	}
	return append(append(append(dst, '\n'), indent...), ']'), nil
}

func appendMap(dst []byte, v reflect.Value, indent string) (_ []byte, err error) {
	switch {
	case v.IsNil():
		return append(dst, "null"...), nil
	case v.Len() == 0:
		return append(dst, "{}"...), nil
	}
	keys := v.MapKeys()
	slices.SortFunc(keys, func(a, b reflect.Value) int { return strings.Compare(a.String(), b.String()) })
	lead := "{\n"
	for _, k := range keys {
		dst = append(append(append(dst, lead...), indent...), "  "...)
		if dst, err = appendText(dst, k.String()); err != nil {
			return dst, err
		}
		dst = append(dst, ": "...)
		if dst, err = appendJSON(dst, v.MapIndex(k), deeper(indent)); err != nil {
			return dst, err
		}
		lead = ",\n"
	}
	return append(append(append(dst, '\n'), indent...), '}'), nil
}

func appendStruct(dst []byte, v reflect.Value, indent string) (_ []byte, err error) {
	lead := "{\n"
	for _, f := range fieldsOf(v.Type()) {
		one := v.FieldByIndex(f.index)
		if f.omit && (one.IsZero() || one.Kind() == reflect.Slice && one.Len() == 0 || one.Kind() == reflect.Map && one.Len() == 0) {
			continue
		}
		dst = append(append(append(append(dst, lead...), indent...), "  "...), f.lead...)
		if dst, err = appendJSON(dst, one, deeper(indent)); err != nil {
			return dst, err
		}
		lead = ",\n"
	}
	if lead == "{\n" {
		return append(dst, "{}"...), nil
	}
	return append(append(append(dst, '\n'), indent...), '}'), nil
}

// field is one field of a struct in JSON.
type field struct {
	name, lead string // "mass", `"mass": `
	index      []int
	omit       bool // when empty
}

var fieldsKnown sync.Map // of reflect.Type, to []field

// fieldsOf are the fields of a struct in their order: those of a struct within
// it stand in its place, but for names that the outer one has itself.
func fieldsOf(t reflect.Type) []field {
	if known, ok := fieldsKnown.Load(t); ok {
		return known.([]field)
	}
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		name, rest, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && name == "":
			for _, in := range fieldsOf(f.Type) {
				in.index = append([]int{i}, in.index...)
				out = append(out, in)
			}
			continue
		case !f.IsExported() || name == "-":
			continue
		case name == "":
			name = f.Name
		}
		out = append(out, field{name, strconv.Quote(name) + ": ", []int{i}, rest == "omitempty"})
	}
	out = slices.DeleteFunc(out, func(f field) bool {
		return slices.ContainsFunc(out, func(o field) bool { return o.name == f.name && len(o.index) < len(f.index) })
	})
	fieldsKnown.Store(t, out)
	return out
}
