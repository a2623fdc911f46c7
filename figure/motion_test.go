package figure

import (
	"math"
	"testing"

	"fallwright.example/trace"
	"pgregory.net/rapid"
)

// moved gives the bouncing trace speed and stretch over its contacts.
func moved() (*trace.Signal, []trace.Contact) {
	sig, contacts := bouncing()
	for i, t := range sig.Time {
		if t < 0.1 {
			sig.First = i + 1
			continue
		}
		if t > 1.2 {
			break
		}
		sig.Speed = append(sig.Speed, 5*math.Cos(9*(t-0.1)))
		sig.Stretch = append(sig.Stretch, 0.5*math.Sin(9*(t-0.1)))
	}
	for i := range contacts {
		contacts[i].From, contacts[i].To = int(contacts[i].Start*10_000), int(contacts[i].End*10_000)
	}
	return sig, contacts
}

func moving() Moving {
	sig, contacts := moved()
	motion := func(v []float64) *Pyramid { return NewPyramid(sig.Time[sig.First:sig.First+len(v)], v) }
	return Moving{
		Name: "M-07 fall 3", Condition: 1, Contacts: contacts,
		Force: NewPyramid(sig.Time, sig.Force), Speed: motion(sig.Speed), Stretch: motion(sig.Stretch),
	}
}

func loops() []LoopCurve {
	var out []LoopCurve
	for n := range 3 {
		l := LoopCurve{Name: []string{"fall 1", "2", "3"}[n], Condition: 2, Nth: n}
		for i := range 100 {
			a := math.Pi * float64(i) / 99
			l.Stretch = append(l.Stretch, (0.6-0.05*float64(n))*math.Sin(a))
			l.Force = append(l.Force, (3400+300*float64(n))*math.Sin(a)*(1+0.25*math.Cos(a)))
		}
		out = append(out, l)
	}
	return out
}

func spectra() []SpectrumCurve {
	var out []SpectrumCurve
	for n, name := range []string{"CFC 60", "no filter"} {
		k := SpectrumCurve{Name: name, Ink: Ink(n)}
		for f := 0.0; f < 2000; f += 0.5 {
			k.Frequency = append(k.Frequency, f)
			k.Density = append(k.Density, 300/(1+f*f/40)+0.1*float64(n))
		}
		out = append(out, k)
	}
	return out
}

func stiffening() SeriesCurve {
	return SeriesCurve{
		Specimen: "M-07", Condition: 3, Name: "secant stiffness", Unit: Unit{"kN/m", 1e-3, 2},
		Falls: []int{1, 2, 3, 4, 5}, Values: []float64{5200, 5600, 5900, math.NaN(), 5300}, Long: []int{5}, From: 1, To: 3, Level: 5220, Slope: 350,
	}
}

func TestMotionPictures(t *testing.T) {
	wide, narrow := Canvas{Width: 720, Height: 300, Remark: "invented numbers"}, Canvas{Width: 360, Height: 260}
	sig, contacts := moved()
	second := moving()
	second.Second, second.SecondAs = second.Force, "CFC 180"
	reading := &trace.Reading{Contacts: contacts}
	for name, s := range map[string]*Scene{
		"motion":        Motion(moving(), wide),
		"motion-second": Motion(second, narrow),
		"loops":         Loops("M-07", loops(), wide),
		"spectrum":      Spectrum("M-07 fall 3", spectra(), wide),
		"series":        SeriesByFall(stiffening(), Canvas{Width: 420, Height: 200}),
		"trace-plot":    TracePlot([]Plotted{{"a.csv", reading, sig}, {"b.csv", &trace.Reading{}, &trace.Signal{Time: sig.Time, Force: sig.Force}}}, wide),
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, s.SVG()) })
	}
}

// What holds of every picture holds of these too, in any window and with
// values missing.
func TestMotionHolds(t *testing.T) {
	m := moving()
	rapid.Check(t, func(t *rapid.T) {
		one := m
		one.From = float64(rapid.IntRange(-100_000, 1_300_000).Draw(t, "from")) / 1e6
		one.To = one.From + float64(rapid.IntRange(1, 1_000_000).Draw(t, "span"))/1e6
		one.Condition = rapid.IntRange(-1, 7).Draw(t, "condition")
		if rapid.Bool().Draw(t, "without motion") {
			one.Speed, one.Stretch = nil, nil
		}
		if rapid.Bool().Draw(t, "second") {
			one.Second, one.SecondAs = m.Force, "CFC 180"
		}
		checkScene(t, Motion(one, sizes.Draw(t, "canvas")))
	})
}

func TestLoopsSpectrumSeriesHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		canvas := sizes.Draw(t, "canvas")
		var all []LoopCurve
		for n := range rapid.IntRange(0, 8).Draw(t, "loops") {
			l := LoopCurve{Name: "fall", Condition: rapid.IntRange(-1, 7).Draw(t, "condition"), Nth: n}
			for range rapid.IntRange(0, 20).Draw(t, "points") {
				l.Stretch = append(l.Stretch, amounts.Draw(t, "x"))
				l.Force = append(l.Force, amounts.Draw(t, "f"))
			}
			all = append(all, l)
		}
		checkScene(t, Loops("M", all, canvas))

		k := SpectrumCurve{Name: "CFC 60", Ink: Sea}
		at := 0.0
		for range rapid.IntRange(0, 30).Draw(t, "lines") {
			k.Frequency = append(k.Frequency, at)
			k.Density = append(k.Density, amounts.Draw(t, "density"))
			at += rapid.Float64Range(0.01, 300).Draw(t, "step")
		}
		checkScene(t, Spectrum("M", []SpectrumCurve{k}, canvas))

		v := SeriesCurve{Specimen: "M", Condition: rapid.IntRange(-1, 7).Draw(t, "condition"), Name: "peak force", Unit: Unit{"kN", 1e-3, 2}}
		for n := range rapid.IntRange(0, 30).Draw(t, "falls") {
			v.Falls = append(v.Falls, n+1)
			v.Values = append(v.Values, amounts.Draw(t, "value"))
			if rapid.IntRange(0, 5).Draw(t, "rest") == 0 && n > 0 {
				v.Long = append(v.Long, n+1)
			}
		}
		if n := len(v.Falls); n > 2 {
			v.From, v.To, v.Level, v.Slope = 1, n, newtons.Draw(t, "level"), newtons.Draw(t, "slope")/float64(n)
		}
		checkScene(t, SeriesByFall(v, canvas))
	})
}

// The highest force of every window is where the first panel's scale puts it.
func TestMotionDrawsThePeak(t *testing.T) {
	m := moving()
	s := Motion(m, Canvas{Width: 400, Height: 300})
	drawn := math.Inf(1)
	for _, k := range s.Marks {
		if l, ok := k.(Line); ok && l.Ink == 1 {
			drawn = math.Min(drawn, l.bounds().Top)
		}
	}
	dot := math.Inf(1)
	for _, k := range s.Marks {
		if d, ok := k.(Dot); ok {
			dot = math.Min(dot, d.Y)
		}
	}
	if math.Abs(drawn-dot) > 0.01 { // the contact's peak is a sample of the curve
		t.Errorf("the curve's highest point is at %g px, the mark of its peak at %g", drawn, dot)
	}
}

func TestSpectrumKeepsLines(t *testing.T) {
	k := SpectrumCurve{Name: "hum", Ink: Sea}
	for f := 1.0; f < 5000; f++ {
		k.Frequency, k.Density = append(k.Frequency, f), append(k.Density, 0.01)
	}
	k.Density[3849] = 25 // a line one bin wide among many to a px
	s := Spectrum("M", []SpectrumCurve{k}, Canvas{Width: 360, Height: 300})
	top := math.Inf(1)
	for _, m := range s.Marks {
		if l, ok := m.(Line); ok && l.Ink == Sea {
			top = math.Min(top, l.bounds().Top)
		}
	}
	if want := s.Frame.Top + 0.2*s.Frame.Height(); top > want {
		t.Errorf("the line reaches %g px, the frame begins at %g", top, s.Frame.Top)
	}
}
