package campaign

import (
	"reflect"
	"testing"

	"fallwright.example/trace"
)

// Everything that a plan and a drop state reaches the reading, each in its own
// place: every value is another number, and none is left at zero.
func TestReadingSettings(t *testing.T) {
	p := small()
	p.Reading = ReadingRule{Class: 60, Ask: trace.Ask{Pull: trace.PullNegative}}
	p.Rig = Rig{
		Gravity: 9.81, GuideShare: 0.04, EdgeFriction: 0.2, EdgeAngle: 1.5, GateFlag: 0.02, GateAbove: 0.1,
		CellUncertainty: 0.005, GravityUncertainty: 0.001, EdgeFrictionUncertainty: 0.03, GateUncertainty: 0.01,
		GuideUncertainty: 0.008,
	}
	p.Settings[0] = Setting{
		Name: "standard", Mass: 80, Drop: 1.42, FreeLength: 2.6,
		MassUncertainty: 0.05, DropUncertainty: 0.006, FreeLengthUncertainty: 0.007,
	}
	want := trace.Settings{
		Class: 60, Mass: 80, Drop: 1.42, Length: 2.6, Gravity: 9.81, Guide: 0.04, Pull: trace.PullNegative,
		Edge:  trace.Edge{Friction: 0.2, Angle: 1.5},
		Gate:  trace.Gate{Flag: 0.02, Time: 0.004, Above: 0.1},
		Doubt: trace.Doubt{Cell: 0.005, Mass: 0.05, Drop: 0.006, Length: 0.007, Gravity: 0.001, Friction: 0.03, Gate: 0.01, Guide: 0.008},
	}
	got := p.ReadingSettings(Drop{Setting: "standard", GateTime: 0.004})
	if got != want {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	filled := 0
	for _, part := range []any{got.Edge, got.Gate, got.Doubt} {
		v := reflect.ValueOf(part)
		for i := range v.NumField() {
			filled++
			if v.Field(i).IsZero() {
				t.Errorf("%T.%s is not filled from the plan", part, v.Type().Field(i).Name)
			}
		}
	}
	if filled < 12 {
		t.Errorf("looked at %d fields", filled)
	}
	if got := p.ReadingSettings(Drop{}); got.Mass != 0 || got.Doubt.Mass != 0 || got.Class != 60 || got.Gate.Time != 0 {
		t.Errorf("a drop without setting is read with %+v", got)
	}
}
