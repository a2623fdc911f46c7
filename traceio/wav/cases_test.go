package wav_test

import (
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio/readertest"
	"fallwright.example/traceio/wav"
)

// three are samples of 16 bits: 0.5, -0.25, 0.125.
var three = []byte{0, 0x40, 0, 0xe0, 0, 0x10}

// six are three frames of two channels.
var six = []byte{0, 0x40, 1, 0, 0, 0xe0, 2, 0, 0, 0x10, 3, 0}

func mono(r riff) []byte {
	r.tag, r.channels, r.rate, r.bits = 1, 1, 1000, 16
	if r.data == nil {
		r.data = three
	}
	return file(r)
}

func stereo(r riff) []byte {
	r.tag, r.channels, r.rate, r.bits, r.data = 1, 2, 1000, 16, six
	return file(r)
}

var byFlags = trace.Ask{FullScale: 8, Unit: "kN"}

func withCar(text string) trace.Ask { return trace.Ask{SideCarName: "a.wav.toml", SideCar: text} }

func float32s(v ...float32) []byte {
	var out []byte
	for _, x := range v {
		out = binary.LittleEndian.AppendUint32(out, math.Float32bits(x))
	}
	return out
}

// readings are files that are read, as 4000, -2000 and 1000 N.
var readings = []struct {
	name  string
	data  []byte
	ask   trace.Ask
	notes []string // in order, a part of each
}{
	{"flags", mono(riff{}), byFlags, nil},
	{"side-car", mono(riff{}), withCar("full_scale = 8\nunit = \"kN\"\n"), nil},
	{"side-car with all keys", mono(riff{}), withCar("full_scale = 8.0\nunit = \"kN\"\nchannels = [\"cell\"]\npull = \"negative\"\n"), nil},
	{"comment", mono(riff{after: []chunk{info("made at Skerry Head; full_scale=8;unit=kN")}}), trace.Ask{}, nil},
	{"bext", mono(riff{before: []chunk{bext("full_scale=8 unit=kN")}}), trace.Ask{}, nil},
	{"full scale of the side-car, unit of the flag", mono(riff{}), trace.Ask{Unit: "kN", SideCar: "full_scale = 8"}, nil},
	{"side-car and comment agree", mono(riff{after: []chunk{info("full_scale=8 unit=kN")}}), withCar("full_scale = 8\nunit = \"kN\"\n"), nil},
	{"unit of the side-car, number of the comment", mono(riff{after: []chunk{info("full_scale=8")}}), withCar("unit = \"kN\"\n"), nil},
	{"flag over side-car", mono(riff{}), trace.Ask{FullScale: 8, SideCar: "full_scale = 9\nunit = \"kN\""}, []string{"because of --full-scale"}},
	{"unit over side-car", mono(riff{}), trace.Ask{Unit: "kN", SideCar: "full_scale = 8\nunit = \"lbf\""}, []string{"because of --unit"}},
	{"rate overridden", mono(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Rate: 1000.5}, []string{"--rate 1000.5 Hz"}},
	{"extensible", file(riff{tag: 1, channels: 1, rate: 1000, bits: 16, extensible: true, data: three}), byFlags, nil},
	{"12 bits at the top of 16", file(riff{tag: 1, channels: 1, rate: 1000, bits: 12, data: three}), byFlags, nil},
	{"24 bits in 32", file(riff{tag: 1, channels: 1, rate: 1000, bits: 24, container: 4, extensible: true, data: []byte{0, 0, 0, 0x40, 0, 0, 0, 0xe0, 0, 0, 0, 0x10}}), byFlags, nil},
	{"extensible floating point", file(riff{tag: 3, channels: 1, rate: 1000, bits: 32, extensible: true, data: float32s(.5, -.25, .125)}), byFlags, nil},
	{"odd chunk before the data", mono(riff{before: []chunk{{"junk", []byte("abc")}}}), byFlags, nil},
	{"RF64", mono(riff{form: "RF64", before: []chunk{ds64(6)}, setSizes: true, dataSize: math.MaxUint32, whole: math.MaxUint32}), byFlags, nil},
	{"stream without a length", mono(riff{setSizes: true, dataSize: math.MaxUint32, whole: math.MaxUint32}), byFlags, []string{"never wrote down how long"}},
	{"recorder that stopped", mono(riff{setSizes: true}), byFlags, []string{"never wrote down how long"}},
	{"cut off", mono(riff{setSizes: true, dataSize: 2000, whole: 3000}), byFlags, []string{"3 of 1000 frames"}},
	{"cut off within a frame", mono(riff{data: append(three[:6:6], 1)}), byFlags, []string{"3 of 3 frames"}},
	{"two channels by name", stereo(riff{}), trace.Ask{FullScale: 8, Unit: "kN", SideCar: "channels = [\"force\", \"gate\"]", Gate: "gate"}, nil},
	{"two channels by number", stereo(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Force: "1"}, nil},
}

func TestReadings(t *testing.T) {
	for _, c := range readings {
		got, err := wav.Format{}.Read("a.wav", c.data, c.ask)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		rec := got.Parts[0]
		if len(rec.Force) != 3 || rec.Force[0] != 4000 || rec.Force[1] != -2000 || rec.Force[2] != 1000 || rec.Unit != "kN" {
			t.Errorf("%s: %v in %s", c.name, rec.Force, rec.Unit)
		}
		if len(rec.Notes) != len(c.notes) {
			t.Errorf("%s: notes %v, want %q", c.name, rec.Notes, c.notes)
			continue
		}
		for i, want := range c.notes {
			if !strings.Contains(rec.Notes[i].Text, want) {
				t.Errorf("%s: note %q does not say %q", c.name, rec.Notes[i].Text, want)
			}
		}
	}
}

// A gate is read as it is, without the force's scale; a sensor in the mass is
// read in m/s2; the pull of a side-car is handed on as a fact.
func TestBesideTheForce(t *testing.T) {
	got, err := wav.Format{}.Read("a.wav", stereo(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Force: "1", Gate: "2"})
	if err != nil || len(got.Parts[0].Gate) != 3 || got.Parts[0].Gate[2] != 3./32768 {
		t.Errorf("gate: %+v, %v", got, err)
	}
	got, err = wav.Format{}.Read("a.wav", mono(riff{}), withCar("full_scale = 500\nunit = \"g\"\npull = \"negative\""))
	if err != nil || !got.Parts[0].PerMass || got.Parts[0].Unit != "g" || got.Parts[0].Force[0] != 250*9.80665 {
		t.Fatalf("sensor: %+v, %v", got, err)
	}
	pull := trace.Fact{What: "pull", Is: "negative", Why: "the side-car says so", Flag: "--pull"}
	found := false
	for _, f := range got.Layout.Facts {
		found = found || f == pull
	}
	if !found {
		t.Errorf("no fact of the pull in %+v", got.Layout.Facts)
	}
}

// The layout shows the channels with their names, the unit of the force and a
// few samples; text is never claimed, whatever its first letters are.
func TestLayout(t *testing.T) {
	got, err := wav.Format{}.Read("a.wav", stereo(riff{}), trace.Ask{FullScale: 8, Unit: "kN", SideCar: "channels = [\"force\", \"gate\"]", Gate: "gate"})
	if err != nil {
		t.Fatal(err)
	}
	c := got.Layout.Columns
	if len(c) != 2 || c[0].Title != "force" || c[0].Unit != "kN" || c[0].Use != "force" || c[1].Use != "gate" || c[1].Unit != "" || c[0].Cells[0] != "0.5" {
		t.Errorf("%+v", c)
	}
	if (wav.Format{}).Claims("a.wav", []byte("RIFF1234WAVE,Force (N)\n0,1\n1,2\n")) {
		t.Error("text is claimed")
	}
}

var refusals = []struct {
	name  string
	data  []byte
	ask   trace.Ask
	where string
	what  string
	kind  problem.Kind
}{
	{"no scale", mono(riff{}), trace.Ask{}, "a.wav", "nothing says what force a sample of 1 stands for", problem.Invalid},
	{"unit alone", mono(riff{}), trace.Ask{Unit: "kN"}, "a.wav", "how much of it", problem.Invalid},
	{"full scale alone", mono(riff{}), trace.Ask{FullScale: 20}, "a.wav", "in what unit", problem.Invalid},
	{"negative full scale", mono(riff{}), trace.Ask{FullScale: -20, Unit: "kN"}, "--full-scale", "-20 is no full scale", problem.Invalid},
	{"infinite full scale", mono(riff{}), trace.Ask{FullScale: math.Inf(1), Unit: "kN"}, "--full-scale", "no full scale", problem.Invalid},
	{"huge full scale", mono(riff{}), trace.Ask{FullScale: 1e308, Unit: "kN"}, "a.wav, frame 1", "larger than a number can be", problem.Unreadable},
	{"side-car with a rate", mono(riff{}), withCar("full_scale = 8\nrate = 5\n"), "a.wav.toml:2", "\"rate\" is no key", problem.Invalid},
	{"side-car that is no TOML", mono(riff{}), withCar("unit = \"kN\"\nfull_scale 8\n"), "a.wav.toml:2", "", problem.Invalid},
	{"side-car with a word for a number", mono(riff{}), withCar("\nfull_scale = \"8\"\n"), "a.wav.toml:2", "", problem.Invalid},
	{"side-car with a full scale below zero", mono(riff{}), withCar("unit = \"kN\"\n\nfull_scale = -8\n"), "a.wav.toml:3", "-8 is no full scale", problem.Invalid},
	{"side-car with a unit of no force", mono(riff{}), withCar("full_scale = 8\nunit = \"V\"\n"), "a.wav.toml:2", "\"V\" is none of the units", problem.Invalid},
	{"side-car with a pull to the side", mono(riff{}), withCar("pull = \"left\"\n"), "a.wav.toml:1", "\"left\"", problem.Invalid},
	{"side-car with too many names", mono(riff{}), withCar("full_scale = 8\nunit = \"kN\"\nchannels = [\"a\", \"b\"]\n"), "a.wav.toml:3", "2 channels named, and the file has 1", problem.Invalid},
	{"side-car and comment differ", mono(riff{after: []chunk{info("full_scale=9 unit=kN")}}), withCar("full_scale = 8\nunit = \"kN\"\n"), "a.wav", "a full scale of 8, its comment (ICMT) says 9", problem.Conflict},
	{"units of side-car and comment differ", mono(riff{after: []chunk{info("unit=lbf")}}), withCar("full_scale = 8\nunit = \"kN\"\n"), "a.wav", "the unit is kN", problem.Conflict},
	{"comment with nonsense", mono(riff{after: []chunk{info("full_scale=eight")}}), trace.Ask{}, "a.wav", "full_scale=\"eight\"", problem.Invalid},
	{"two channels and nothing said", stereo(riff{}), byFlags, "a.wav", "the file does not name its columns", problem.Invalid},
	{"no such channel", stereo(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Force: "3"}, "a.wav", "--force 3", problem.NotFound},
	{"a channel of time", mono(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Time: "1"}, "--time", "no channel of time", problem.Invalid},
	{"a stretch", stereo(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Force: "1", Stretch: "2"}, "--stretch", "cannot be read", problem.Invalid},
	{"a second drop", mono(riff{}), trace.Ask{FullScale: 8, Unit: "kN", Part: "2"}, "a.wav", "the file holds 1 drop: 1", problem.NotFound},
	{"A-law", file(riff{tag: 6, channels: 1, rate: 1000, bits: 8, data: three}), byFlags, "a.wav", "A-law", problem.Unreadable},
	{"RIFX", mono(riff{form: "RIFX"}), byFlags, "a.wav", "RIFX", problem.Unreadable},
	{"float of 24 bits", file(riff{tag: 3, channels: 1, rate: 1000, bits: 24, data: three}), byFlags, "a.wav", "24 bits in 3 bytes", problem.Unreadable},
	{"whole numbers of 64 bits", file(riff{tag: 1, channels: 1, rate: 1000, bits: 64, data: three}), byFlags, "a.wav", "64 bits in 8 bytes", problem.Unreadable},
	{"no rate", file(riff{tag: 1, channels: 1, bits: 16, data: three}), byFlags, "a.wav", "0 Hz, which cannot be", problem.Unreadable},
	{"no samples", file(riff{tag: 1, channels: 1, rate: 1000, bits: 16}), byFlags, "a.wav", "0 of 2 frames", problem.TooFew},
	{"not a number", file(riff{tag: 3, channels: 1, rate: 1000, bits: 32, data: float32s(1, float32(math.NaN()))}), byFlags, "a.wav, frame 2", "NaN", problem.Unreadable},
	{"no data chunk", mono(riff{})[:36], byFlags, "a.wav", "ends before its samples", problem.Unreadable},
	{"two data chunks", mono(riff{after: []chunk{{"data", three}}}), byFlags, "a.wav, byte 50", "second data chunk", problem.Unreadable},
	{"300 channels", file(riff{tag: 1, channels: 300, rate: 1000, bits: 8, data: make([]byte, 600)}), byFlags, "a.wav", "300 channels", problem.Unreadable},
}

func TestRefusals(t *testing.T) {
	for _, c := range refusals {
		_, err := wav.Format{}.Read("a.wav", c.data, c.ask)
		all := problem.All(err)
		if len(all) != 1 {
			t.Errorf("%s: %v is no refusal", c.name, err)
			continue
		}
		p := all[0]
		if p.Where != c.where || !strings.Contains(p.What, c.what) || p.Kind != c.kind {
			t.Errorf("%s: %q: %q (kind %d), want %q: %q (kind %d)", c.name, p.Where, p.What, p.Kind, c.where, c.what, c.kind)
		}
	}
}

func examCases(t testing.TB) []readertest.Case {
	var cases []readertest.Case
	for _, c := range readings {
		cases = append(cases, readertest.Case{Name: "a.wav", Data: c.data, Ask: c.ask, Rows: 3})
	}
	for _, c := range refusals {
		if c.name == "no data chunk" || strings.HasPrefix(c.where, "a.wav.toml") {
			continue // the one is cut off, the others are checked above, line and all
		}
		cases = append(cases, readertest.Case{Name: "a.wav", Data: c.data, Ask: c.ask})
	}
	return append(cases, readertest.Case{Name: "pcm24.wav", Data: testdata(t, "pcm24.wav"), Ask: byFlags, Rows: 64})
}

func TestExam(t *testing.T) {
	readertest.Exercise(t, wav.Format{}, examCases(t))
}
