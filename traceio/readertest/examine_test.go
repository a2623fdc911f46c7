package readertest

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
)

// toy is a format for the exam's own test: its files begin with "toy" and hold
// two samples. With a fault planted it must not pass.
type toy struct{ fault string }

func (f toy) Name() string { return "Toy" + f.fault }

func (f toy) Claims(_ string, data []byte) bool {
	if f.fault == "Claims alters" && len(data) > 0 {
		data[0]++
	}
	if f.fault == "Claims panics" {
		panic("no")
	}
	return f.fault == "claims all" || strings.HasPrefix(string(data), "toy") && f.fault != "claims none"
}

func (f toy) Read(name string, data []byte, ask traceio.Ask) (*trace.Recording, error) {
	whole := string(data) == "toy!"
	if !whole && f.fault != "never refuses" {
		return f.refuse(name)
	}
	if f.fault == "Read alters" {
		data[1]++
	}
	if f.fault == "Read panics" {
		panic("no")
	}
	rec := &trace.Recording{Time: []float64{0, 1}, Force: []float64{0, 5}, Unit: "N", ForceColumn: "column 1"}
	switch f.fault {
	case "time stands":
		rec.Time[1] = 0
	case "NaN":
		rec.Force[0] = math.NaN()
	case "lengths":
		rec.Force = append(rec.Force, 1)
	case "unit":
		rec.Unit = "V"
	case "column":
		rec.ForceColumn = ""
	case "note":
		rec.Notes = []trace.Note{{Text: "no grade"}}
	case "nothing":
		return nil, nil
	case "moody":
		rec.Force[1] += float64(mood)
		mood++
	}
	return rec, nil
}

var mood int

func (f toy) refuse(name string) (*trace.Recording, error) {
	p := problem.New(problem.Unreadable, name+":1", "no toy").Hint("give a toy").In("nothing was read from " + name)
	switch f.fault {
	case "plain error":
		return nil, errors.New("no toy")
	case "half an answer":
		return &trace.Recording{}, p
	case "no line":
		p.Where = name
	case "no kind":
		p.Kind = 0
	case "no hint":
		p.Hints = nil
	case "no state":
		p.State = ""
	case "rude":
		p.What = "invalid toy"
	}
	return nil, p
}

var toyCases = []Case{
	{Name: "good.toy", Data: []byte("toy!"), Rows: 2},
	{Name: "bad.toy", Data: []byte("toy?"), Line: 1},
}

func TestExamPassesWhatIsSound(t *testing.T) {
	r := examine(toy{}, toyCases)
	for _, f := range r.faults {
		t.Error(f)
	}
	if r.read != 1 || r.refused != 1 || r.prefixes != 4 || r.strangers == 0 {
		t.Errorf("looked at %+v", r)
	}
}

func TestExamFindsPlantedFaults(t *testing.T) {
	planted := []string{
		"Claims alters", "Claims panics", "claims all", "claims none", "never refuses",
		"Read alters", "Read panics", "time stands", "NaN", "lengths", "unit", "column", "note", "nothing", "moody",
		"plain error", "half an answer", "no line", "no kind", "no hint", "no state", "rude",
	}
	for _, fault := range planted {
		cases := []Case{
			{Name: "good.toy", Data: []byte("toy!"), Rows: 2},
			{Name: "bad.toy", Data: []byte("toy?"), Line: 1},
		}
		if r := examine(toy{fault}, cases); len(r.faults) == 0 {
			t.Errorf("planted %q: the exam is blind to it", fault)
		}
	}
}

func TestExamFindsWrongCounts(t *testing.T) {
	for _, c := range []Case{
		{Name: "good.toy", Data: []byte("toy!"), Rows: 3},
		{Name: "bad.toy", Data: []byte("toy?"), Rows: 2},
		{Name: "bad.toy", Data: []byte("toy?"), Line: 2},
		{Name: "good.toy", Data: []byte("toy!")},
	} {
		if r := examine(toy{}, []Case{c}); len(r.faults) == 0 {
			t.Errorf("%+v passes", c)
		}
	}
}

func TestMatrixFindsTwoClaims(t *testing.T) {
	sound := []Exam{{toy{}, toyCases}}
	if r := matrix(sound); len(r.faults) > 0 || r.claims == 0 {
		t.Errorf("%+v", r)
	}
	greedy := append(sound, Exam{Format: toy{"claims all"}})
	if r := matrix(greedy); len(r.faults) == 0 {
		t.Error("two claims on one file pass")
	}
	if r := matrix([]Exam{{toy{"claims none"}, toyCases}}); len(r.faults) == 0 {
		t.Error("a file that its own format does not claim passes")
	}
}
