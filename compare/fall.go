package compare

import (
	"encoding/json"
	"math"
	"strconv"
)

// Fall is the name of a fall: "3". In JSON it is a number when it is one, and
// null when it is empty.
type Fall string

// FallNumber names fall n.
func FallNumber(n int) Fall { return Fall(strconv.Itoa(n)) }

// Number is the fall as a number, where it is a finite one.
func (f Fall) Number() (float64, bool) {
	x, err := strconv.ParseFloat(string(f), 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return math.NaN(), false
	}
	return x, true
}

// tidy names a number in its shortest form: fall 1.0 is fall 1.
func (f Fall) tidy() Fall {
	if x, ok := f.Number(); ok {
		return Fall(strconv.FormatFloat(x, 'g', -1, 64))
	}
	return f
}

// MarshalJSON writes a number, a string, or null.
func (f Fall) MarshalJSON() ([]byte, error) {
	if f == "" {
		return []byte("null"), nil
	}
	if x, ok := f.Number(); ok {
		return json.Marshal(x)
	}
	return json.Marshal(string(f))
}

// UnmarshalJSON reads what MarshalJSON writes; a number is named in its
// shortest form.
func (f *Fall) UnmarshalJSON(b []byte) error {
	var v any
	if err := json.Unmarshal(b, &v); err != nil {
		return err
	}
	switch v := v.(type) {
	case nil:
		*f = ""
	case float64:
		*f = Fall(strconv.FormatFloat(v, 'g', -1, 64))
	case string:
		*f = Fall(v)
	default:
		return &json.UnmarshalTypeError{Value: string(b), Offset: 0}
	}
	return nil
}
