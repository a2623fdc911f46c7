package storetest

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"reflect"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/study"
	"fallwright.example/trace"
)

// The samples are invented. Every field that can be filled is filled, which
// the first case holds, so that a column forgotten by a store is seen.

// StudyName is the name of the sample study.
const StudyName = "sea-water"

// morning is the day of the sample study; at counts minutes from it.
var morning = time.Date(2026, time.May, 9, 8, 0, 0, 0, time.UTC)

// at is a moment on the day, at an odd millisecond and in another zone, since
// both have to come back right.
func at(minute int) time.Time {
	return morning.Add(time.Duration(minute)*time.Minute + 123*time.Millisecond).In(time.FixedZone("there", 3600))
}

func by(minute int) campaign.Stamp { return campaign.Stamp{At: at(minute), By: "R. Teller"} }

// File is what a store is told of some bytes.
func File(name string, data []byte) campaign.SourceFile {
	sum := sha256.Sum256(data)
	return campaign.SourceFile{Name: name, SHA256: hex.EncodeToString(sum[:]), Size: int64(len(data))}
}

// planFile is the text that a plan came from; to the store it is bytes.
func planFile(version int) []byte {
	return fmt.Appendf(nil, "# invented, version %d\nname = %q\n", version, StudyName)
}

func plan() campaign.Plan {
	levels := func(rope, water string) map[string]string { return map[string]string{"rope": rope, "water": water} }
	soaked := func(rope string) map[string]string {
		return map[string]string{"rope": rope, "water": "soaked", "soak": "10 min"}
	}
	return campaign.Plan{
		Name: StudyName, Title: "Sea water and the catch (invented)", Purpose: "does a soaked rope catch harder?",
		By: "Skerry Head Climbing Club", Invented: true,
		Questions: []campaign.Question{
			{
				Name: "soaked", Asks: "Does it catch harder when soaked?", Value: campaign.PeakForce,
				Compare: "Marram soaked", Baseline: "Marram dry", Falls: []int{1, 3}, Margin: campaign.Margin{Share: 0.05},
			},
			{
				Name: "treated", Asks: "Does the treatment keep it soft?", Value: campaign.ReboundSpeed,
				Compare: "Samphire soaked", Baseline: "Marram soaked", Falls: []int{2}, Margin: campaign.Margin{Amount: 0.3},
				BaselineFalls: []int{1, 3}, Claim: campaign.ClaimNone,
			},
			{
				Name: "climbs", Asks: "Does it climb faster when soaked?", Value: campaign.PeakForce,
				Compare: "Marram soaked", Baseline: "Marram dry", Falls: []int{1, 2, 3}, Margin: campaign.Margin{Share: 0.01}, Trend: true, About: "water",
			},
		},
		Factors: []campaign.Factor{
			{Name: "rope", Levels: []string{"marram", "samphire"}},
			{Name: "water", Levels: []string{"dry", "soaked"}},
			{Name: "soak", Levels: []string{"10 min", "30 min"}, Within: campaign.Nest{Factor: "water", Levels: []string{"soaked"}}},
		},
		Conditions: []campaign.Condition{
			{Name: "Marram dry", Levels: levels("marram", "dry"), Baseline: true},
			{Name: "Marram soaked", Levels: soaked("marram")},
			{Name: "Samphire soaked", Levels: soaked("samphire"), Lot: "Samphire 9.6 treated", Specimens: 1},
		},
		Ropes: []campaign.Rope{
			{
				Lot: "Marram 9.6", Type: "single", Diameter: 0.0096, MassPerLength: 0.062, Length: 60,
				FirstFallForce: 8700, Construction: "plain weave", Treatment: "none", History: "new",
				Discard: 1, Damage: []campaign.Stretch{{From: 22.4, To: 22.9}}, MiddleMark: 30, Name: "A",
			},
			{Lot: "Samphire 9.6 treated", Type: "single", Diameter: 0.0096, Length: 60, Treatment: "sheath and core"},
		},
		Specimens: []campaign.Specimen{
			{Label: "M-01", Lot: "Marram 9.6", Rope: "A", Place: 2, Day: 1, Condition: "Marram dry", From: 1, To: 4.4, Knots: "figure of eight, both ends"},
			{Label: "M-02", Lot: "Marram 9.6", Rope: "A", Spare: true, Condition: "Marram soaked", From: 4.4, To: 7.8},
			{Label: "S-01", Lot: "Samphire 9.6 treated", Place: 1, Condition: "Samphire soaked", From: 1, To: 4.4},
		},
		Rig: campaign.Rig{
			Name: "Boathouse tower", Cell: "LC-2", CellRange: 20000, EdgeRadius: 0.005,
			Guide: "two rails, greased", Gravity: 9.8142,
			EdgeFriction: 0.2, EdgeAngle: 1.5, GateFlag: 0.02, GateAbove: 0.1,
			CellUncertainty: 0.005, GravityUncertainty: 0.0001, EdgeFrictionUncertainty: 0.01, GateUncertainty: 0.01,
			GuideShare: 0.02, GuideUncertainty: 0.005,
		},
		Settings: []campaign.Setting{
			{
				Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6,
				MassUncertainty: 0.05, DropUncertainty: 0.002, FreeLengthUncertainty: 0.003,
			},
			{Name: "low", Mass: 80, Drop: 0.7, FreeLength: 2.6},
		},
		Series: campaign.Series{
			Falls: 3, Setting: "standard",
			Rest: campaign.Rest{Set: 3 * time.Minute, Tolerance: 15 * time.Second},

			Overnight: campaign.Overnight{After: 1, Rest: campaign.Rest{Set: 16 * time.Hour, Tolerance: time.Hour}},
		},
		Reading: campaign.ReadingRule{Class: 60, Ask: ask()}, // without a side-car, which belongs to one file
		Analysis: campaign.AnalysisRule{
			FallsAs: campaign.FallTrend, Blocks: []campaign.Block{campaign.DayBlock}, SpreadByCondition: true,
			DF: campaign.Satterthwaite, Adjust: campaign.Holm,
		},
		Cutting: campaign.Cutting{Each: 3.4, KnotTakes: 0.4, Knots: "figure of eight", Loss: 0.005, Spares: 1},
		Order:   campaign.Order{Seed: 4711, Within: []campaign.Within{campaign.WithinRope}, MaxRun: 2, Blind: true},
		Days: campaign.Days{
			Dates: []string{"2026-05-09"}, From: 8 * time.Hour, To: 17 * time.Hour,
			Breaks: []campaign.Hours{{From: 12 * time.Hour, To: 13 * time.Hour}}, Towers: 1, People: 2, Remount: true,
			Weigh: time.Minute, PutIn: time.Minute, Hang: 4 * time.Minute, Drop: time.Minute, TakeDown: 2 * time.Minute, Settle: 3 * time.Minute, Checks: 1,
		},
		Numbers: campaign.Numbers{
			Power: 0.9, Margins: 3, Levels: map[campaign.Measure]float64{campaign.ReboundSpeed: 2.1},
			Specimens: 0.03, Ropes: 0.02, Days: 0.01, Falls: 0.02, Study: "pilot", Most: 9, PerMetre: 3, PerHour: 20,
		},
		Water: water(),
		Preparations: []campaign.Preparation{{
			Do: campaign.Soak, Conditions: []string{"Marram soaked"}, In: "bath", Holds: 6,
			Time:   campaign.Rest{Set: 30 * time.Minute, Tolerance: 5 * time.Minute},
			ToDrop: campaign.Rest{Set: 5 * time.Minute, Tolerance: 2 * time.Minute},
		}},
	}
}

// water is a protocol with every field filled.
func water() campaign.Water {
	drain, celsius, depth := 120.0, 14.5, 0.2
	return campaign.Water{
		Definition: campaign.UptakeDefinition, DryState: "48 h at 23 °C", Drain: &drain, Blot: "one turn in a dry towel",
		Bath: "sea water", Celsius: &celsius, Ends: "sealed", Depth: &depth, Resolution: 0.0001, Repeatability: 0.0002,
		At: []time.Duration{time.Minute, 15 * time.Minute},
	}
}

// ask is an Ask with every field filled.
func ask() trace.Ask {
	return trace.Ask{
		Rate: 1200, Force: "force", Time: "2", Stretch: "none", Gate: "gate", Unit: "kN", Delimiter: "semicolon", Decimal: "comma",
		Sheet: "falls", Part: "3", FullScale: 20, Pull: trace.PullNegative,
	}
}

// askWithSideCar is an Ask as it was used for one file.
func askWithSideCar() trace.Ask {
	a := ask()
	a.SideCarName, a.SideCar = "a.wav.toml", "rate = 1200\n"
	return a
}

// Recipe returns a recipe of a rig.
func Recipe(rig, name string, minute int) campaign.Recipe {
	r := campaign.Recipe{Stamp: by(minute), Rig: rig, Name: name, Ask: ask()}
	r.Ask.Rate = float64(1200 + minute) // sets one version apart from another
	return r
}

// NewStudy returns the sample study as it is first added, with its study file.
func NewStudy() (*campaign.Study, []byte) {
	data := planFile(1)
	return &campaign.Study{ID: "study-1", Created: by(0), Plan: plan(), File: File("sea-water.toml", data)}, data
}

// Freeze freezes the sample study.
func Freeze() campaign.Freeze {
	return campaign.Freeze{Stamp: by(5), PlanSHA256: File("", planFile(1)).SHA256}
}

// added returns the sample study, stored.
func added(t *testing.T, s study.Store) *campaign.Study {
	t.Helper()
	one, data := NewStudy()
	done(t, s.AddStudy(t.Context(), one, data))
	return one
}

// frozen returns the sample study, stored and frozen.
func frozen(t *testing.T, s study.Store) *campaign.Study {
	t.Helper()
	one := added(t, s)
	f := Freeze()
	done(t, s.FreezePlan(t.Context(), StudyName, f))
	one.Frozen = &f
	return one
}

// traceBytes are the bytes of a trace, different for every n.
func traceBytes(n int) []byte {
	var b bytes.Buffer
	b.WriteString("time [s];force [kN]\n")
	for i := range 200 {
		fmt.Fprintf(&b, "%.4f;%.4f\n", float64(i)/1200, float64((i*i+n)%977)/100)
	}
	return b.Bytes()
}

// Fall returns a fall of the sample study with the bytes of its trace. Its ID is
// made of specimen, number and minute.
func Fall(specimen string, n, minute int) (campaign.Drop, []byte) {
	id := fmt.Sprintf("drop-%s-%d-%d", specimen, n, minute)
	data := append(traceBytes(minute), id...)
	f := File(id+".csv", data)
	return campaign.Drop{
		ID: id, Stamp: by(minute), Kind: campaign.Fall, Specimen: specimen, Fall: n, Setting: "standard",
		Trace: &f, Part: "2", GateTime: 0.0041, Note: "knot turned",
	}, data
}

// Reading returns a reading with every value there; n sets it apart.
func Reading(n int) study.StoredReading {
	return study.StoredReading{
		ID: fmt.Sprintf("reading-%d", n), Stamp: by(600 + n), Program: "fallwright 0.1.0", Ask: askWithSideCar(),
		Settings: trace.Settings{
			Class: 60, Mass: 80, Drop: 1.42, Length: 2.6, Gravity: 9.8142, Guide: 0.02, Pull: trace.PullNegative,
			Edge:   trace.Edge{Friction: 0.2, Angle: 1.5},
			Gate:   trace.Gate{Flag: 0.02, Time: 0.004, Above: 0.1},
			Doubt:  trace.Doubt{Cell: 0.005, Mass: 0.05, Drop: 0.002, Length: 0.003, Gravity: 0.0001, Friction: 0.01, Gate: 0.01, Guide: 0.005},
			Trials: 1000, Seed: 7,
		},
		Reading: values(float64(n)),
	}
}

func values(n float64) trace.Reading {
	v := func(x float64) trace.Value { return trace.Value(x + n) }
	r := trace.Reading{
		Samples: 200 + int(n), Unit: "kN", Class: 60,
		BouncePeaks: []trace.Value{v(2103), trace.None(), v(0.1 + 0.2)},
		Contacts: []trace.Contact{
			{From: 12, To: 80, Start: 0.01, End: 0.21, Peak: 4123, PeakAt: 0.1, Begun: true, Open: true},
			{From: 90, To: 150, Start: 0.5, End: 0.7, Peak: 2103, PeakAt: 0.6},
		},
		Uncertainty: trace.Uncertainties{"peak_force_N": {
			Standard: 21, Bias: 1.5, Lower: 4080, Upper: 4160, Freedom: 60, Trials: 1000,
			Budget: []trace.Share{{Source: "cell", Input: 0.005, InputUnit: "1", Sensitivity: 4123.4, Part: 20.6}},
		}},
		Steps: []trace.Step{{
			Name: "tare", Detail: "mean of the first 100 samples",
			Params: []trace.Param{{Name: "offset", Value: 0.31, Unit: "N"}},
		}},
		Notes: []trace.Note{{Grade: trace.Doubtful, Text: "the peak is one sample wide: look at the trace"}},
	}
	fill(&r, 0.1234567890123+n)
	fill(&r.Contacts[0], 0.2+n)
	fill(&r.Contacts[1], 0.3+n)
	r.Contacts[1].Flight = trace.None()
	return r
}

// fill gives every value of a struct a number of its own, from first on.
func fill(pointer any, first float64) {
	fields := reflect.ValueOf(pointer).Elem()
	for i := range fields.NumField() {
		if v, ok := fields.Field(i).Addr().Interface().(*trace.Value); ok {
			*v = trace.Value(first + float64(i))
		}
	}
}

// Weighing returns a weighing; n sets it apart.
func Weighing(n int, specimen, replaces string) campaign.Weighing {
	return campaign.Weighing{
		ID: fmt.Sprintf("weighing-%d", n), Stamp: by(20 + n), Specimen: specimen,
		Of: campaign.Drained, Soak: float64(60 * (n + 1)), Hung: 120, State: "soaked and drained 2 min", Mass: 0.2137 + float64(n)/1000, Replaces: replaces,
	}
}

// Gauging returns a gauging; n sets it apart.
func Gauging(n int, specimen, replaces string) campaign.Gauging {
	sheath := 0.001 * float64(n)
	return campaign.Gauging{
		ID: fmt.Sprintf("gauging-%d", n), Stamp: by(30 + n), Specimen: specimen, Wet: true, State: "soaked 15 min",
		Load: 10, Contact: 0.05, Levels: [][]float64{{0.0098, 0.0099}, {0.0097, 0.0098}, {0.0098 + float64(n)*1e-5}},
		Length: 1.003, Sheath: &sheath, Note: "glazed at one end", Replaces: replaces,
	}
}

// Pull returns a pull with the bytes of its trace; n sets it apart.
func Pull(n int, specimen, replaces string) (campaign.Pull, []byte) {
	data := traceBytes(n)
	f, stick := File("pull.csv", data), 12.5
	return campaign.Pull{
		ID: fmt.Sprintf("pull-%d", n), Stamp: by(40 + n), Specimen: specimen, Device: "tube", Wet: true, State: "soaked 15 min",
		Speed: 0.2, Held: 30, Mean: 85 + float64(n)/7, StickSlip: &stick, Trace: &f, Note: "gloves", Replaces: replaces,
	}, data
}

// Deviation returns a deviation; n sets it apart.
func Deviation(n int) campaign.Deviation {
	return campaign.Deviation{ID: fmt.Sprintf("deviation-%d", n), Stamp: by(30 + n), Text: "rain: the rope hung indoors"}
}
