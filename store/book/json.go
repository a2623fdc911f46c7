package book

import (
	"bytes"
	"encoding/json"
	"errors"

	"fallwright.example/problem"
)

// encode is the text under which v is kept: the same for equal values, since
// fields keep their order and the keys of a map are sorted. JSON has no number
// that is not finite, so neither has the book.
func encode(where string, v any) (string, error) {
	text, err := json.Marshal(v)
	var odd *json.UnsupportedValueError
	if errors.As(err, &odd) {
		return "", problem.New(problem.Invalid, where, "it holds %s, which is no number that can be kept", odd.Str).
			Hint("leave the value out where it is not known").In("nothing was stored")
	}
	return string(text), err
}

// decode reads what encode wrote. A field that v has not is refused: to drop it
// would lose what a newer program recorded.
func decode(where, text string, v any) error {
	d := json.NewDecoder(bytes.NewReader([]byte(text)))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return problem.New(problem.Unreadable, where, "the book's text of it cannot be read: %v", err).
			Hint("open the book with the newest fallwright that wrote to it")
	}
	return nil
}
