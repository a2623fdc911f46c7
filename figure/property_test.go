package figure

import (
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
	"fallwright.example/trace"
	"pgregory.net/rapid"
)

// What holds of every picture, whatever the data: it is well-formed, no number
// is NaN, nothing lies outside it, it has a title and a description, and no
// interval or curve leaves the frame.
func checkScene(t rapid.TB, s *Scene) {
	t.Helper()
	svg := s.SVG()
	if svg != s.SVG() {
		t.Fatal("the same scene was written in two ways")
	}
	for _, bad := range []string{"NaN", "Inf", "<script"} {
		if strings.Contains(svg, bad) {
			t.Fatalf("%s in\n%s", bad, svg)
		}
	}
	if s.Title == "" || s.Desc == "" || !strings.Contains(svg, `role="img"`) {
		t.Fatalf("picture without title, description or role: %q, %q", s.Title, s.Desc)
	}
	wellFormed(t, svg)
	for _, m := range s.Marks {
		checkMark(t, s, m)
	}
}

func checkMark(t rapid.TB, s *Scene, m Mark) {
	t.Helper()
	const slack = 0.5 // px: half a hairline
	b := m.bounds()
	if !(b.Left >= -slack && b.Top >= -slack && b.Right <= s.Width+slack && b.Bottom <= s.Height+slack) {
		t.Fatalf("%T %+v covers %+v, outside %g by %g", m, m, b, s.Width, s.Height)
	}
	_, bar := m.(Bar)
	_, band := m.(Band)
	if (bar || band) && (b.Left < s.Frame.Left-slack || b.Right > s.Frame.Right+slack || b.Top < s.Frame.Top-slack || b.Bottom > s.Frame.Bottom+slack) {
		t.Fatalf("%T %+v leaves the frame %+v", m, m, s.Frame)
	}
}

func wellFormed(t rapid.TB, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatalf("%v in\n%s", err, svg)
		}
	}
}

// words are the texts of a picture, joined so that a wrapped name is whole.
func words(s *Scene) string {
	var all []string
	for _, m := range s.Marks {
		if t, ok := m.(Text); ok {
			all = append(all, t.Body)
		}
	}
	return strings.Join(all, " ")
}

var (
	sizes = rapid.Custom(func(t *rapid.T) Canvas {
		return Canvas{
			Width:  rapid.Float64Range(340, 900).Draw(t, "width"),
			Height: rapid.Float64Range(240, 500).Draw(t, "height"),
			Remark: rapid.SampledFrom([]string{"", "invented numbers"}).Draw(t, "remark"),
		}
	})
	naming = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{
		"dry", "soaked 5 min", "soaked, dried overnight", `<script>"&'`, "treated", "frozen at −10 °C",
		"treated, soaked for five minutes in sea water and then dried overnight in a cellar",
	}), 1, 7, rapid.ID[string])
	newtons = rapid.Map(rapid.IntRange(-100_000, 9_000_000), func(mN int) float64 { return float64(mN) / 1000 })
	amounts = rapid.OneOf(newtons, rapid.Just(math.NaN()), rapid.Just(0.0))
)

func TestForceByFallHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := naming.Draw(t, "conditions")
		var cells []compare.Mean
		for _, n := range names {
			for _, fall := range rapid.SliceOfNDistinct(rapid.IntRange(1, 12), 0, 6, rapid.ID[int]).Draw(t, "falls") {
				v := rapid.SliceOfN(newtons, 1, 3).Draw(t, "values")
				cells = append(cells, cell(n, fall, v...))
			}
		}
		s := ForceByFall(campaign.PeakForce, names, cells, sizes.Draw(t, "canvas"))
		checkScene(t, s)
		checkNames(t, s, names)
		bars := 0
		for _, m := range s.Marks {
			if _, ok := m.(Bar); ok {
				bars++
			}
		}
		for _, c := range cells {
			if c.N > 1 {
				bars--
			}
		}
		if bars != 0 {
			t.Fatalf("%d intervals too many or, below zero, too few", bars)
		}
	})
}

func checkNames(t rapid.TB, s *Scene, names []string) {
	t.Helper()
	said := words(s)
	for _, n := range names {
		if !strings.Contains(said, n) {
			t.Fatalf("condition %q is not in the words %q", n, said)
		}
	}
}

func TestEffectHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := naming.Draw(t, "conditions")
		a := compare.Answer{Question: compare.Question{Measure: "peak force", Condition: names[0], Baseline: names[len(names)-1]}}
		d := &a.Difference
		for _, v := range []*float64{
			&d.Amount, &d.Lower, &d.Upper, &d.Lower90, &d.Upper90,
			&d.Percent, &d.PercentLower, &d.PercentUpper, &d.PercentLower90, &d.PercentUpper90,
		} {
			*v = amounts.Draw(t, "number")
		}
		if d.Lower > d.Upper {
			d.Lower, d.Upper = d.Upper, d.Lower
		}
		if d.PercentLower > d.PercentUpper {
			d.PercentLower, d.PercentUpper = d.PercentUpper, d.PercentLower
		}
		// 90 % limits lie within the 95 % ones, whatever else is odd.
		d.Lower90, d.Upper90, d.PercentLower90, d.PercentUpper90 = d.Lower, d.Upper, d.PercentLower, d.PercentUpper
		if rapid.Bool().Draw(t, "share") {
			a.Question.Share = rapid.Float64Range(0.001, 2).Draw(t, "margin")
		} else {
			a.Question.Amount = rapid.Float64Range(0.1, 900).Draw(t, "margin")
		}
		checkScene(t, Effect(a, names, sizes.Draw(t, "canvas")))
	})
}

func TestOverlayHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := naming.Draw(t, "conditions")
		var traces []OverlayTrace
		for range rapid.IntRange(0, 5).Draw(t, "traces") {
			n := rapid.IntRange(0, 50).Draw(t, "samples")
			o := OverlayTrace{Specimen: "M", Condition: rapid.SampledFrom(names).Draw(t, "condition")}
			for i := range n {
				o.Time = append(o.Time, float64(i)/100-0.05)
				o.Force = append(o.Force, amounts.Draw(t, "force"))
			}
			traces = append(traces, o)
		}
		s := Overlay(1, names[1:], traces, sizes.Draw(t, "canvas")) // one may be unknown to the plan
		checkScene(t, s)
		checkNames(t, s, names[1:])
		for _, o := range traces {
			checkNames(t, s, []string{o.Condition})
		}
	})
}

// Names beside chosen traces are all there or none, in the order of the peaks,
// apart from each other, and no two traces of a condition have one dash.
func TestChosenTracesAreTold(t *testing.T) {
	withNames := 0
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "traces")
		var traces []OverlayTrace
		for i := range n {
			peak := rapid.Float64Range(3000, 3100).Draw(t, "peak")
			traces = append(traces, OverlayTrace{
				Name: fmt.Sprintf("M-%02d, fall 3", i), Condition: two[i%2],
				Time: []float64{-0.05, 0, 0.1, 0.2}, Force: []float64{0, 0, peak, 0},
			})
		}
		s := OverlayChosen(two, traces, sizes.Draw(t, "canvas"))
		checkScene(t, s)
		var places []Text
		dashes := map[string]int{}
		for _, m := range s.Marks {
			switch m := m.(type) {
			case Text:
				if m.Of != "" {
					places = append(places, m)
				}
			case Line:
				if m.Of != "" && m.Width == 1.3 {
					dashes[fmt.Sprint(m.Ink, m.Dash)]++
				}
			}
		}
		if len(places) != 0 && len(places) != n {
			t.Fatalf("%d of %d names", len(places), n)
		}
		slices.SortFunc(places, func(a, b Text) int { return cmp.Compare(a.Y, b.Y) })
		last := math.Inf(1)
		for i, p := range places {
			k, _ := strconv.Atoi(p.Of)
			if p.Body != traces[k].Name || traces[k].Force[2] > last {
				t.Fatalf("%q is out of order", p.Body)
			}
			last = traces[k].Force[2]
			if i > 0 && p.Y-places[i-1].Y < 14.9 {
				t.Fatalf("%q is %g px under the one before", p.Body, p.Y-places[i-1].Y)
			}
			withNames++
		}
		if n <= 12 && len(dashes) != n {
			t.Fatalf("%d dashes for %d traces", len(dashes), n)
		}
	})
	if withNames == 0 {
		t.Error("no name was looked at")
	}
}

// The largest and the smallest force of a window are where the scale puts them
// in the drawing, to the hundredth of a px that SVG rounds to.
func TestTraceDrawsThePeak(t *testing.T) {
	sig, contacts := bouncing()
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(-0.1, 1.3).Draw(t, "from")
		w := Window{Name: "M-07", Condition: rapid.IntRange(-1, 7).Draw(t, "condition"), Signal: sig, Contacts: contacts, From: from, To: from + rapid.Float64Range(0.001, 1).Draw(t, "span")}
		s := Trace(w, sizes.Draw(t, "canvas"))
		checkScene(t, s)
		var inside []float64
		for i, x := range sig.Time {
			if x >= w.From && x <= w.To {
				inside = append(inside, sig.Force[i])
			}
		}
		if len(inside) < 2 {
			return
		}
		low, high := extent(inside)
		top, bottom := s.Frame.Bottom, s.Frame.Top
		for _, m := range s.Marks {
			if l, ok := m.(Line); ok && l.Ink == w.ink() {
				top, bottom = math.Min(top, l.bounds().Top), math.Max(bottom, l.bounds().Bottom)
			}
		}
		y := axisOf(t, s)
		if math.Abs(top-y.At(high/1000)) > 0.01 || math.Abs(bottom-y.At(low/1000)) > 0.01 {
			t.Fatalf("drawn from %g to %g px, want %g to %g", bottom, top, y.At(low/1000), y.At(high/1000))
		}
	})
}

// axisOf reads the upward scale back from the tick labels as they are drawn.
func axisOf(t rapid.TB, s *Scene) Scale {
	t.Helper()
	var at, value []float64
	for _, m := range s.Marks {
		l, ok := m.(Text)
		if !ok || l.Anchor != End || l.X != s.Frame.Left-labelGap {
			continue
		}
		var v float64
		if _, err := fmt.Sscan(strings.Replace(l.Body, "−", "-", 1), &v); err != nil {
			t.Fatalf("label %q: %v", l.Body, err)
		}
		at, value = append(at, l.Y-4.5), append(value, v)
	}
	if len(at) < 3 {
		t.Fatalf("%d labels on the upward axis", len(at))
	}
	return Scale{Low: value[0], High: value[len(value)-1], From: at[0], To: at[len(at)-1]}
}

func TestTraceOfNothing(t *testing.T) {
	for _, w := range []Window{
		{Name: "empty", Signal: &trace.Signal{}},
		{Name: "one sample", Signal: &trace.Signal{Time: []float64{1}, Force: []float64{5}}},
		{Name: "elsewhere", Signal: &trace.Signal{Time: []float64{1, 2}, Force: []float64{5, 6}}, From: 8, To: 9},
		{Name: "all missing", Signal: &trace.Signal{Time: []float64{1, 2}, Force: []float64{math.NaN(), math.NaN()}}},
	} {
		s := Trace(w, Canvas{Width: 360, Height: 360})
		checkScene(t, s)
		if !strings.Contains(words(s), "no samples in this window") {
			t.Errorf("%s: says only %q", w.Name, words(s))
		}
	}
}

// Colour is never the only sign: of any two conditions that share a colour, the
// marks differ.
func TestConditionsCanBeToldApart(t *testing.T) {
	type look struct {
		class string
		shape Shape
	}
	seen := map[look]int{}
	for i := range 36 {
		k := look{Ink(i).class(), ShapeOf(i)}
		if j, ok := seen[k]; ok {
			t.Errorf("conditions %d and %d share %v", j, i, k)
		}
		seen[k] = i
	}
	for i := range colours {
		for j := range i {
			if ShapeOf(i) == ShapeOf(j) || fmt.Sprint(DashOf(i)) == fmt.Sprint(DashOf(j)) {
				t.Errorf("conditions %d and %d share a mark or a dash", j, i)
			}
		}
	}
}

func TestSpreadKeepsApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		places := rapid.SliceOfN(rapid.Float64Range(0, 300), 1, 12).Draw(t, "places")
		got := spread(places, 18, 20, 280)
		for i := range got {
			if got[i] < 20-1e-9 || got[i] > 280+1e-9 {
				t.Fatalf("place %g", got[i])
			}
			for j := range i {
				if d := math.Abs(got[i] - got[j]); d < 18-1e-9 {
					t.Fatalf("%g and %g are %g apart", got[i], got[j], d)
				}
				if places[i] < places[j] && got[i] > got[j] {
					t.Fatalf("%g and %g changed order", places[j], places[i])
				}
			}
		}
	})
	// By hand: the middle pair moves by 4 px each way, the others stay.
	got := spread([]float64{150, 50, 160, 250}, 18, 0, 300)
	if fmt.Sprint(got) != "[146 50 164 250]" {
		t.Errorf("spread gives %v", got)
	}
}
