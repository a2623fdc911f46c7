package book

import (
	"bytes"
	"encoding/json"
	"reflect"

	"fallwright.example/trace"
)

// values and contact are a reading and its contacts without their own way of
// reading JSON, which lets unknown fields pass.
type (
	values  trace.Reading
	contact trace.Contact
)

// decodeReading reads the values of a reading. A value that the program which
// took it did not know yet is missing, and not zero: in the contacts too.
func decodeReading(where, text string) (trace.Reading, error) {
	var r struct {
		values
		Contacts []contact `json:"contacts"` // in the place of the reading's own
	}
	unread(&r.values)
	if err := decode(where, text, &r); err != nil {
		return trace.Reading{}, err
	}
	reading := trace.Reading(r.values)
	if r.Contacts != nil {
		reading.Contacts = make([]trace.Contact, len(r.Contacts))
		for i, c := range r.Contacts {
			reading.Contacts[i] = trace.Contact(c)
		}
	}
	return reading, nil
}

// UnmarshalJSON starts from a contact with every value missing.
func (c *contact) UnmarshalJSON(text []byte) error {
	type plain contact
	var p plain
	unread(&p)
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(&p)
	*c = contact(p)
	return err
}

// unread marks every value of a struct as missing.
func unread(pointer any) {
	fields := reflect.ValueOf(pointer).Elem()
	for i := range fields.NumField() {
		if f := fields.Field(i); f.CanAddr() {
			if v, ok := f.Addr().Interface().(*trace.Value); ok {
				*v = trace.None()
			}
		}
	}
}
