package readertest

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
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

func (f toy) Read(name string, data []byte, ask trace.Ask) (*trace.File, error) {
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
	file := f.layout()
	file.Parts = []*trace.Recording{rec}
	switch f.fault {
	case "stretch":
		rec.Stretch = []float64{1}
	case "gate":
		rec.Gate = []float64{1, math.Inf(1)}
	case "by mass":
		rec.PerMass = true
	case "an acceleration":
		rec.Unit = "g"
	case "no name for a drop":
		file.Parts = append(file.Parts, rec)
	case "no parts":
		file.Parts = nil
	case "moody layout":
		file.Layout.Facts[0].Is += strings.Repeat("!", mood)
		mood++
	case "moody stretch":
		rec.Stretch = []float64{1, float64(mood)}
		mood++
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
	return file, nil
}

var mood int

// layout is a sound one, unless the fault is in it.
func (f toy) layout() *trace.File {
	file := &trace.File{Layout: trace.Layout{
		Format:  f.Name(),
		Facts:   []trace.Fact{{What: "unit", Is: "N", Flag: "--unit"}},
		Columns: []trace.Column{{No: 1, Use: "force"}},
	}}
	switch l := &file.Layout; f.fault {
	case "another format":
		l.Format = "Tin"
	case "no facts":
		l.Facts = nil
	case "empty fact":
		l.Facts[0].Is = ""
	case "fact with a full stop":
		l.Facts[0].Why = "it says so."
	case "flag":
		l.Facts[0].Flag = "unit"
	case "no force":
		l.Columns[0].Use = "time"
	case "no such use":
		l.Columns = append(l.Columns, trace.Column{No: 2, Use: "sound"})
	case "column number":
		l.Columns[0].No = 0
	}
	return file
}

func (f toy) refuse(name string) (*trace.File, error) {
	p := problem.New(problem.Unreadable, name+":1", "no toy").Hint("give a toy").In("nothing was read from " + name)
	switch f.fault {
	case "plain error":
		return f.layout(), errors.New("no toy")
	case "half an answer":
		return &trace.File{Layout: f.layout().Layout, Parts: []*trace.Recording{{}}}, p
	case "no file":
		return nil, p
	case "no line":
		p.Where = name
	case "no place":
		p.Where = "toys"
	case "no kind":
		p.Kind = 0
	case "no hint":
		p.Hints = nil
	case "no state":
		p.State = ""
	case "rude":
		p.What = "invalid toy"
	}
	return f.layout(), p
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
		"stretch", "gate", "by mass", "an acceleration", "no name for a drop", "no parts", "moody layout", "moody stretch",
		"another format", "no facts", "empty fact", "fact with a full stop", "flag", "no force", "no such use", "column number",
		"plain error", "half an answer", "no file", "no line", "no place", "no kind", "no hint", "no state", "rude",
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
		{Name: "good.toy", Data: []byte("toy!"), Rows: 2, Drops: 2},
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
