package figure

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/trace"
)

// The pictures are our own, kept so that a change of a drawing is seen in
// review. They are no check of the numbers; the property tests are.
func TestPictures(t *testing.T) {
	wide, narrow := Canvas{Width: 720, Height: 380, Remark: "invented numbers"}, Canvas{Width: 360, Height: 360}
	low := Canvas{Width: 720, Height: 140}
	sig, contacts := bouncing()
	for _, c := range []struct {
		name  string
		scene *Scene
	}{
		{"force-by-fall", ForceByFall(campaign.PeakForce, two, twoCells(), wide)},
		{"force-by-fall-narrow", ForceByFall(campaign.PeakForce, six, sixCells(), narrow)},
		{"force-by-fall-gaps", ForceByFall(campaign.PeakForce, two, gappedCells(), wide)},
		{"force-by-fall-none", ForceByFall(campaign.PeakForce, two, nil, narrow)},
		{"effect-harder", Effect(harder(), two, low)},
		{"effect-amount", Effect(byAmount(), two, low)},
		{"effect-none", Effect(noClaim(), two, low)},
		{"effects", Effects(comparisons(true), six, wide)},
		{"effects-narrow", Effects(comparisons(false), six, narrow)},
		{"effects-none", Effects(Comparisons{Measure: campaign.PeakForce, Baseline: "dry"}, six, narrow)},
		{"residuals", Residuals(leftOver(), two, compare.Log, UnitOf(campaign.PeakForce), Canvas{Width: 520, Height: 300})},
		{"residuals-none", Residuals(nil, two, compare.Log, UnitOf(campaign.PeakForce), narrow)},
		{"quantiles", Quantiles(leftOver(), two, Canvas{Width: 520, Height: 300})},
		{"overlay", Overlay(1, two, pulses(), wide)},
		{"overlay-chosen", OverlayChosen(two, named(pulses()), wide)},
		{"overlay-none", Overlay(1, two, nil, narrow)},
		{"trace", Trace(Window{Name: "M-07 fall 3", Condition: 1, Signal: sig, Contacts: contacts}, wide)},
		{"trace-close", Trace(Window{Name: "trial", Condition: -1, Signal: sig, Contacts: contacts, From: 0.2, To: 0.215}, narrow)},
	} {
		t.Run(c.name, func(t *testing.T) { golden(t, c.name, c.scene.SVG()) })
	}
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".want.svg")
	want, err := os.ReadFile(file)
	if err == nil && string(want) == got {
		return
	}
	other := filepath.Join("testdata", name+".got.svg")
	if err := os.WriteFile(other, []byte(got), 0o644); err != nil {
		t.Fatal(err)
	}
	t.Errorf("%s is another picture: look at %s and keep it as %s if it is right", name, other, file)
}

var (
	two = []string{"dry", "soaked 5 min"}
	six = []string{"dry", "soaked", "soaked, dried overnight", "treated", "treated, soaked", "treated, soaked, dried overnight"}
)

// cell makes a mean from values in N, with Student's 97.5 % points for 1 and 2
// degrees of freedom from any table (12.706, 4.303).
func cell(condition string, fall int, values ...float64) compare.Mean {
	n := float64(len(values))
	c := compare.Mean{
		Condition: condition, Fall: compare.FallNumber(fall), N: len(values), Values: values,
		CentreLower: math.NaN(), CentreUpper: math.NaN(), SD: math.NaN(), SE: math.NaN(),
	}
	for i, v := range values {
		c.Centre += v / n
		c.Specimens = append(c.Specimens, condition+"-"+string(rune('a'+i)))
	}
	if len(values) < 2 {
		return c
	}
	c.SD = 0
	for _, v := range values {
		c.SD += (v - c.Centre) * (v - c.Centre)
	}
	c.SD = math.Sqrt(c.SD / (n - 1))
	c.SE = c.SD / math.Sqrt(n)
	t := map[int]float64{2: 12.706, 3: 4.303}[len(values)]
	c.CentreLower, c.CentreUpper = c.Centre-t*c.SE, c.Centre+t*c.SE
	return c
}

func twoCells() []compare.Mean {
	var cells []compare.Mean
	for fall := 1; fall <= 5; fall++ {
		up := 90 * math.Log(float64(fall)) * 2
		cells = append(cells,
			cell("dry", fall, 3470+up, 3442+up, 3505+up),
			cell("soaked 5 min", fall, 3500+2*up, 3478+2.1*up, 3541+1.9*up))
	}
	return cells
}

func sixCells() []compare.Mean {
	var cells []compare.Mean
	for i, name := range six {
		for fall := 1; fall <= 5; fall++ {
			base := 3400 + 30*float64(i) + float64(40+20*(i%3))*float64(fall)
			cells = append(cells, cell(name, fall, base-25, base+5, base+31))
		}
	}
	return cells
}

// gappedCells lack a fall in the middle, have one specimen at the end, and hold
// a condition that the plan does not have.
func gappedCells() []compare.Mean {
	return []compare.Mean{
		cell("dry", 1, 3400, 3450), cell("dry", 2, 3500, 3520), cell("dry", 4, 3600, 3630), cell("dry", 5, 3650),
		cell("soaked 5 min", 1, 3500), cell("other", 2, 3300, 3320, 3280),
	}
}

// comparisons are those of six conditions at three falls and over all, the
// fourth without intervals.
func comparisons(percent bool) Comparisons {
	k := Comparisons{Measure: campaign.PeakForce, Baseline: "dry", Percent: percent, Margin: 5}
	if !percent {
		k.Margin = 150
	}
	nan := math.NaN()
	one := func(i, fall int) compare.Difference {
		at, half := float64(i*(2+fall))/2-2, 2.5
		d := compare.Difference{Condition: six[i], Baseline: "dry", Percent: at, PercentLower: at - half, PercentUpper: at + half}
		d.Amount, d.Lower, d.Upper = 35*at, 35*(at-half), 35*(at+half)
		if i == 3 {
			d.PercentLower, d.PercentUpper, d.Lower, d.Upper = nan, nan, nan, nan
		}
		return d
	}
	for i := 1; i < len(six); i++ {
		for fall := 1; fall <= 3; fall++ {
			d := one(i, fall)
			d.Fall = compare.FallNumber(fall)
			k.Each = append(k.Each, d)
		}
		k.Overall = append(k.Overall, one(i, 2))
	}
	return k
}

// leftOver are residuals of two conditions that lie along a normal's quantiles
// but for the last, which is outlying.
func leftOver() []compare.Residual {
	var out []compare.Residual
	for i := range 24 {
		r := compare.Residual{
			Row: fmt.Sprintf("M-%02d fall %d", i%6+1, i/6+1), Condition: two[i%2],
			Fitted: math.Log(3400 + 25*float64(i)), Standardised: plotted((i*7)%24, 24),
		}
		if i == 23 {
			r.Standardised, r.Outlying = 4.2, true
		}
		out = append(out, r)
	}
	return out
}

func harder() compare.Answer {
	return compare.Answer{
		Question:   compare.Question{Measure: "peak force", Condition: "soaked 5 min", Baseline: "dry", Share: 0.05},
		Verdict:    compare.Higher,
		Difference: compare.Difference{Percent: 9.8, PercentLower: 6.1, PercentUpper: 13.6, PercentLower90: 6.8, PercentUpper90: 12.9},
	}
}

func byAmount() compare.Answer {
	return compare.Answer{
		Question:   compare.Question{Measure: "rebound speed", Condition: "soaked 5 min", Baseline: "dry", Amount: 0.2},
		Verdict:    compare.NotSettled,
		Difference: compare.Difference{Amount: -0.16, Lower: -0.42, Upper: 0.1, Lower90: -0.36, Upper90: 0.04},
	}
}

func noClaim() compare.Answer {
	nan := math.NaN()
	return compare.Answer{
		Question:   compare.Question{Measure: "peak force", Condition: "soaked 5 min", Baseline: "dry", Amount: 250},
		Verdict:    compare.NoClaim,
		Difference: compare.Difference{Amount: 120, Lower: nan, Upper: nan, Lower90: nan, Upper90: nan},
	}
}

func pulses() []OverlayTrace {
	var out []OverlayTrace
	for i, peak := range []float64{3450, 3490, 3700, 3760} {
		t := OverlayTrace{Specimen: "M-0" + string(rune('1'+i)), Condition: two[i/2]}
		for k := -20; k < 300; k++ {
			s := float64(k) / 1000
			t.Time = append(t.Time, s)
			t.Force = append(t.Force, math.Max(0, peak*math.Sin(math.Pi*s/(0.2+0.01*float64(i)))))
		}
		out = append(out, t)
	}
	return out
}

func named(traces []OverlayTrace) []OverlayTrace {
	for i := range traces {
		traces[i].Name = fmt.Sprintf("%s, fall %d", traces[i].Specimen, 1+i%2)
	}
	return traces
}

// bouncing is a trace with three contacts, half sines of 3.8, 1.9 and 0.9 kN.
func bouncing() (*trace.Signal, []trace.Contact) {
	contacts := []trace.Contact{
		{Start: 0.1, End: 0.3, Peak: 3800, PeakAt: 0.2},
		{Start: 0.6, End: 0.8, Peak: 1900, PeakAt: 0.7},
		{Start: 1.0, End: 1.2, Peak: 900, PeakAt: 1.1},
	}
	sig := &trace.Signal{}
	for i := 0; i <= 14_000; i++ {
		t := float64(i) / 10_000
		f := 12 * math.Sin(float64(i)*0.7)
		for _, c := range contacts {
			if t >= c.Start && t <= c.End {
				f = c.Peak * math.Sin(math.Pi*(t-c.Start)/(c.End-c.Start))
			}
		}
		sig.Time, sig.Force = append(sig.Time, t), append(sig.Force, f)
	}
	return sig, contacts
}
