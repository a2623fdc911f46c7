package storetest

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"time"

	"github.com/google/go-cmp/cmp"

	"fallwright.example/trace"
)

// diff shows how two values differ, or nothing. Missing values of a reading are
// equal to each other; times are equal when they are the same moment, told in
// UTC.
func diff(want, got any) string {
	return cmp.Diff(want, got, cmp.Comparer(func(a, b trace.Value) bool {
		return a == b || math.IsNaN(float64(a)) && math.IsNaN(float64(b))
	}))
}

// unfilled lists the fields of v, by path, that are zero wherever v has them.
// Elements of a list count together, so that one with a share and another with
// an amount make a full list of margins.
func unfilled(v any) []string {
	seen := map[string]bool{} // path to whether it was ever filled
	walk(reflect.ValueOf(v), reflect.TypeOf(v).String(), seen)
	var out []string
	for path, filled := range seen {
		if !filled {
			out = append(out, path)
		}
	}
	slices.Sort(out)
	return out
}

func walk(v reflect.Value, path string, seen map[string]bool) {
	seen[path] = seen[path] || !v.IsZero()
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			walk(v.Elem(), path, seen)
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(v.Index(i), path+"[]", seen)
		}
	case reflect.Map:
		for _, key := range v.MapKeys() {
			walk(v.MapIndex(key), path+"[]", seen)
		}
	case reflect.Struct:
		if _, isTime := v.Interface().(time.Time); isTime {
			return
		}
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.Tag.Get("json") != "-" { // else no part of what is kept
				walk(v.Field(i), path+"."+f.Name, seen)
			}
		}
	}
}

// notUTC lists the times within v, by path, that are not told in UTC or are not
// whole milliseconds.
func notUTC(v any) []string {
	var out []string
	var look func(v reflect.Value, path string)
	look = func(v reflect.Value, path string) {
		switch v.Kind() {
		case reflect.Pointer:
			if !v.IsNil() {
				look(v.Elem(), path)
			}
		case reflect.Slice:
			for i := range v.Len() {
				look(v.Index(i), fmt.Sprintf("%s[%d]", path, i))
			}
		case reflect.Map:
			for _, key := range v.MapKeys() {
				look(v.MapIndex(key), fmt.Sprintf("%s[%v]", path, key))
			}
		case reflect.Struct:
			if when, isTime := v.Interface().(time.Time); isTime {
				if when.Location() != time.UTC || when.Nanosecond()%int(time.Millisecond) != 0 {
					out = append(out, path)
				}
				return
			}
			for i := range v.NumField() {
				look(v.Field(i), path+"."+v.Type().Field(i).Name)
			}
		}
	}
	look(reflect.ValueOf(v), "")
	return out
}
