package trace

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"fallwright.example/study"
	"fallwright.example/trace"
)

// Every value that a reading can have has a line on the page, under its own
// name, and the line shows that value.
func TestEveryValueIsShown(t *testing.T) {
	var r trace.Reading
	fields := reflect.ValueOf(&r).Elem()
	shown := map[string]quantity{}
	for _, g := range groups {
		for _, q := range g.of {
			if _, twice := shown[q.key]; twice {
				t.Errorf("%s is shown twice", q.key)
			}
			shown[q.key] = q
		}
	}
	looked := 0
	for i := range fields.NumField() {
		v, ok := fields.Field(i).Addr().Interface().(*trace.Value)
		if !ok {
			continue
		}
		key := strings.Split(fields.Type().Field(i).Tag.Get("json"), ",")[0]
		*v = trace.Value(1000 + i)
		looked++
		if key == "sample_rate_Hz" { // said in words below the table
			continue
		}
		if q, ok := shown[key]; !ok || q.of(&r) != *v {
			t.Errorf("%s has no line, or the line of another value", key)
		}
	}
	if looked < 20 || looked != len(shown)+1 {
		t.Errorf("a reading has %d values, the page shows %d", looked, len(shown))
	}
}

func TestLine(t *testing.T) {
	r := &trace.Reading{PeakForce: 3812.4, Uncertainty: trace.Uncertainties{
		"peak_force_N":      {Standard: 21.3, Bias: 1.4, Lower: 3768, Upper: 3852, Budget: []trace.Share{{Source: "cell", Part: 20}, {Source: "noise", Part: 7}, {Source: "tare", Part: 1}}},
		"bounce_peaks_N[0]": {Standard: 3}, "geometry_speed_mps": {Standard: 0},
	}}
	v := View{Trace: &study.TraceView{Row: study.DropRow{Reading: r}}, Second: &study.Second{Reading: &trace.Reading{PeakForce: 3831.2}}}
	l, ok := v.line(groups[0].of[0])
	if !ok || l.value != "3.812" || l.u != "0.021" || l.second != "3.831" || l.change != "+0.019" || l.interval != "3.768 to 3.852" || l.bias != "+0.001" {
		t.Errorf("%+v", l)
	}
	// 20² of 20²+7²+1² is 400/450 = 88.9 %, 49/450 = 10.9 %, 1/450 = 0.2 %.
	if l.main != "cell 89\u202f%, noise 11\u202f%" {
		t.Errorf("mostly from %q", l.main)
	}
	var labels []string
	for _, b := range v.budgets() {
		labels = append(labels, b.label)
	}
	if want := []string{"peak force", "bounce 1"}; !slices.Equal(labels, want) {
		t.Errorf("budgets of %q, want %q: a value without doubt has none", labels, want)
	}
}

// The second reading has its own uncertainty and interval; the drift of zero
// says whether it was taken off.
func TestSecondAndDrift(t *testing.T) {
	r := &trace.Reading{PeakForce: 3800, Drift: -2.5, Uncertainty: trace.Uncertainties{"peak_force_N": {Standard: 21, Lower: 3758, Upper: 3842}}}
	second := &trace.Reading{PeakForce: 3831.2, Drift: -2.5, Uncertainty: trace.Uncertainties{"peak_force_N": {Standard: 34, Lower: 3764, Upper: 3898}}}
	v := View{Trace: &study.TraceView{Row: study.DropRow{Reading: r}}, Second: &study.Second{Reading: second}}
	if l, _ := v.line(groups[0].of[0]); l.u != "0.021" || l.secondU != "0.034" || l.secondInterval != "3.764 to 3.898" {
		t.Errorf("%+v", l)
	}
	drift := func() string {
		for _, g := range v.tables() {
			for _, l := range g.lines {
				if l.key == "drift_Nps" {
					return l.what
				}
			}
		}
		return "no line"
	}
	if got := drift(); got != "not taken off" {
		t.Errorf("a drift that no step took off: %q", got)
	}
	r.Steps = []trace.Step{{Name: "tare", Params: []trace.Param{{Name: "tare"}, {Name: "drift", Value: -2.5}}}}
	if got := drift(); got != "taken off" {
		t.Errorf("a drift that the tare took off: %q", got)
	}
}
