package uptake

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/problem"
)

// Protocol says what a figure of uptake means. Published figures for one kind of
// rope run from 40 to 158 %, for want of it: some are wet mass over dry mass, some
// are shaken off, some blotted. What is empty, or NaN, is not stated.
type Protocol struct {
	Definition Definition
	DryState   string  // how the dry mass was had: "24 h at 50 °C", "as bought"
	Drain      float64 // s, hung up before it was weighed; NaN when not stated
	Blot       string  // "none", "one turn in a dry towel"
	Water      string  // "tap", "sea"
	Bath       float64 // °C; NaN when not stated
	Ends       string  // "open" or "sealed"
	Depth      float64 // m under water; NaN when not stated
}

// Definition is what a figure of uptake is a ratio of.
type Definition string

// Gained is the only definition that is computed with here: mass gained over dry
// mass. Whole is wet mass over dry mass, one more.
const (
	Gained Definition = "mass gained over dry mass"
	Whole  Definition = "wet mass over dry mass"
)

// Unstated is a protocol of which nothing is known.
func Unstated() Protocol {
	return Protocol{Drain: math.NaN(), Bath: math.NaN(), Depth: math.NaN()}
}

// Field is one thing that a protocol states.
type Field string

// The fields.
const (
	FieldDefinition Field = "definition"
	FieldDryState   Field = "dry state"
	FieldDrain      Field = "drain"
	FieldBlot       Field = "blot"
	FieldWater      Field = "water"
	FieldBath       Field = "bath"
	FieldEnds       Field = "ends"
	FieldDepth      Field = "depth"
)

// How far two numbers may be apart and still be the same protocol; our own.
const (
	sameDrain = 10.0 // s
	sameBath  = 2.0  // K, the tolerance of conditioning rooms
	sameDepth = 0.1  // m
)

// Difference is a field in which two protocols are not the same.
type Difference struct {
	Field Field
	A, B  string
}

func (d Difference) String() string { return fmt.Sprintf("%s: %s against %s", d.Field, d.A, d.B) }

// Against lists in what two protocols differ. A thing that one states and the
// other does not is a difference; one that neither states is none.
func (p Protocol) Against(q Protocol) []Difference {
	var out []Difference
	text := func(f Field, a, b string) {
		if !strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) {
			out = append(out, Difference{f, stated(a), stated(b)})
		}
	}
	number := func(f Field, a, b, same float64, unit string) {
		if math.IsNaN(a) != math.IsNaN(b) || math.Abs(a-b) > same {
			out = append(out, Difference{f, statedNumber(a, unit), statedNumber(b, unit)})
		}
	}
	text(FieldDefinition, string(p.Definition), string(q.Definition))
	text(FieldDryState, p.DryState, q.DryState)
	number(FieldDrain, p.Drain, q.Drain, sameDrain, "s")
	text(FieldBlot, p.Blot, q.Blot)
	text(FieldWater, p.Water, q.Water)
	number(FieldBath, p.Bath, q.Bath, sameBath, "°C")
	text(FieldEnds, p.Ends, q.Ends)
	number(FieldDepth, p.Depth, q.Depth, sameDepth, "m")
	return out
}

// Comparable decides whether figures of two protocols may stand against each
// other. Fields that are what is asked, such as the ends, may differ. Others are a
// Conflict unless it is forced, and then come back as marks to be printed beside
// whatever is compared.
func Comparable(a, b Protocol, force bool, asked ...Field) (marks []string, err error) {
	for _, d := range a.Against(b) {
		if !slices.Contains(asked, d.Field) {
			marks = append(marks, d.String())
		}
	}
	if len(marks) > 0 && !force {
		return nil, problem.New(problem.Conflict, "protocol", "the two were not soaked by one protocol: %s", strings.Join(marks, "; ")).
			Hint("compare what was soaked alike, or force the comparison, which is then marked")
	}
	return marks, nil
}

// Missing lists what a protocol does not state, all of which changes the figure.
func (p Protocol) Missing() []Field {
	var out []Field
	for _, f := range []struct {
		field Field
		known bool
	}{
		{FieldDefinition, p.Definition != ""},
		{FieldDryState, p.DryState != ""},
		{FieldDrain, !math.IsNaN(p.Drain)},
		{FieldBlot, p.Blot != ""},
		{FieldWater, p.Water != ""},
		{FieldBath, !math.IsNaN(p.Bath)},
		{FieldEnds, p.Ends != ""},
		{FieldDepth, !math.IsNaN(p.Depth)},
	} {
		if !f.known {
			out = append(out, f.field)
		}
	}
	return out
}

func stated(s string) string {
	if strings.TrimSpace(s) == "" {
		return "not stated"
	}
	return s
}

func statedNumber(v float64, unit string) string {
	if math.IsNaN(v) {
		return "not stated"
	}
	return fmt.Sprintf("%g %s", v, unit)
}
