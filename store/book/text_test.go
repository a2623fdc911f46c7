package book

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// A reading taken before a value was thought of has it missing, not zero; its
// contacts likewise.
func TestUnreadValuesAreMissing(t *testing.T) {
	r, err := decodeReading("x", `{"peak_force_N":4000,"tare_N":null,"contacts":[{"from":3,"peak_N":4000}]}`)
	if err != nil {
		t.Fatal(err)
	}
	if r.PeakForce != 4000 || r.Tare.Known() || len(r.Contacts) != 1 || r.Contacts[0].Peak != 4000 || r.Contacts[0].From != 3 {
		t.Errorf("peak %v, tare %v, contacts %+v; want 4000, none, and one", r.PeakForce, r.Tare, r.Contacts)
	}
	for what, c := range map[string]struct{ values, missing int }{
		"reading": missingIn(r), "contact": missingIn(r.Contacts[0]),
	} {
		want := c.values
		if what == "reading" {
			want-- // the peak
		}
		if c.values < 5 || c.missing != want {
			t.Errorf("%s: %d of %d values are missing, want %d", what, c.missing, c.values, want)
		}
	}
	for _, text := range []string{`{"peak_furce_N":4000}`, `{"contacts":[{"peak":4000}]}`} {
		if _, err := decodeReading("x", text); problem.KindOf(err) != problem.Unreadable {
			t.Errorf("%s: refused with %v, want kind Unreadable", text, err)
		}
	}
}

func missingIn(of any) (c struct{ values, missing int }) {
	v := reflect.ValueOf(of)
	for i := range v.NumField() {
		if value, ok := v.Field(i).Interface().(trace.Value); ok {
			c.values++
			if !value.Known() {
				c.missing++
			}
		}
	}
	return c
}

func TestTextOfEqualPlansIsEqual(t *testing.T) {
	make := func(order []string) campaign.Plan {
		levels := map[string]string{}
		for _, k := range order {
			levels[k] = k
		}
		return campaign.Plan{Name: "x", Conditions: []campaign.Condition{{Levels: levels}}}
	}
	first, err := encode("x", make([]string{"a", "b", "c", "d"}))
	if err != nil {
		t.Fatal(err)
	}
	for range 20 {
		if again, _ := encode("x", make([]string{"d", "b", "a", "c"})); again != first {
			t.Fatalf("one plan has two texts:\n%s\n%s", first, again)
		}
	}
}

func TestTextRefuses(t *testing.T) {
	for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := encode("the rig", campaign.Rig{Gravity: odd})
		if p := problem.All(err); len(p) != 1 || p[0].Kind != problem.Invalid || p[0].Where != "the rig" {
			t.Errorf("%v: refused with %v", odd, err)
		}
	}
	var rig campaign.Rig
	for _, text := range []string{"", "{", `{"Name":1}`, `{"Colour":"red"}`} {
		if err := decode("the rig", text, &rig); problem.KindOf(err) != problem.Unreadable {
			t.Errorf("%q: refused with %v, want kind Unreadable", text, err)
		}
	}
}

func TestLongestFile(t *testing.T) {
	long := make([]byte, maxFile+1) // never touched, so it takes no memory
	_, err := pack("x", campaign.SourceFile{Name: "long.csv", Size: int64(len(long))}, long)
	if p := problem.All(err); len(p) != 1 || p[0].Kind != problem.Invalid || !strings.Contains(p[0].What, "up to 536870912") {
		t.Errorf("a file above the limit: %v", err)
	}
}

// Stored bytes that would grow without end are stopped at the limit of a file.
func TestBytesThatGrow(t *testing.T) {
	z, err := packer()
	if err != nil {
		t.Fatal(err)
	}
	data := make([]byte, 1<<20)
	stored := z.EncodeAll(data, nil)
	if got, err := unpack(hash(data), int64(len(data)), stored); err != nil || len(got) != len(data) {
		t.Fatalf("%d bytes, %v", len(got), err)
	}
	for _, size := range []int64{-1, 0, 1<<20 - 1, 1<<20 + 1, maxFile + 1} {
		if _, err := unpack(hash(data), size, stored); problem.KindOf(err) != problem.Unreadable {
			t.Errorf("size %d: %v, want kind Unreadable", size, err)
		}
	}
}
