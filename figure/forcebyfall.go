package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

// ForceByFall draws a measure, peak force as a rule, against the fall number:
// each condition's mean by the model with its 95 % interval, and each specimen
// as a thin line behind. conditions are the plan's, in order. A line breaks where
// a condition has no such fall; a mean without an interval has no bar.
func ForceByFall(m campaign.Measure, conditions []string, means []compare.Mean, c Canvas) *Scene {
	f := newByFall(m, conditions, means)
	s := newScene(c, upper(string(m))+" by condition and fall")
	s.Desc = f.words()
	bottom := f.frame(s, c)
	if len(f.all) == 0 {
		s.empty("no falls to draw")
		return s.finish(bottom, c)
	}

	y, ticks, _ := covering(s.Frame.Bottom, s.Frame.Top, f.shown()...)
	s.Frame.Left = widest(ticks) + labelGap + 2
	upAxis(s, y, ticks, upper(string(m))+", "+f.unit.Name)
	f.y = y
	s.foot()
	f.fallAxis(s)
	for i := range f.names {
		f.specimens(s, i)
	}
	for i := range f.names {
		f.means(s, i)
	}
	if f.ends {
		f.endLabels(s)
	}
	return s.finish(bottom, c)
}

// boldWidth is how much wider than expected the labels at the ends may be set: they
// are bold, and where a report is read may have a wider font than ours. Nothing
// stands behind them that could give way.
const boldWidth = 1.25

// byFall is a ForceByFall on its way.
type byFall struct {
	unit  Unit
	names palette
	all   []compare.Mean // in order of condition and fall
	falls []compare.Fall // in order
	ends  bool           // labels at the ends of the lines instead of a legend
	y     Scale
	x     Scale   // of places in falls
	step  float64 // px from one condition to the next at the same fall
}

func newByFall(m campaign.Measure, conditions []string, means []compare.Mean) *byFall {
	f := &byFall{unit: UnitOf(m), names: newPalette(conditions)}
	for _, m := range means {
		f.names.index(m.Condition)
		if known(m.Centre) {
			f.all = append(f.all, m)
			if !slices.Contains(f.falls, m.Fall) {
				f.falls = append(f.falls, m.Fall)
			}
		}
	}
	slices.SortStableFunc(f.falls, CompareFalls)
	slices.SortStableFunc(f.all, func(a, b compare.Mean) int {
		return cmp.Or(cmp.Compare(f.names.index(a.Condition), f.names.index(b.Condition)), CompareFalls(a.Fall, b.Fall))
	})
	return f
}

// of returns the means of the i-th condition.
func (f *byFall) of(i int) []compare.Mean {
	var out []compare.Mean
	for _, c := range f.all {
		if c.Condition == f.names[i] {
			out = append(out, c)
		}
	}
	return out
}

// shown lists every number that the drawing must hold, in the unit shown.
func (f *byFall) shown() []float64 {
	var out []float64
	for _, c := range f.all {
		for _, v := range append([]float64{c.Centre, c.CentreLower, c.CentreUpper}, c.Values...) {
			out = append(out, v*f.unit.Scale)
		}
	}
	return out
}

// frame leaves room for words: labels at the ends of the lines where the names
// are short enough, otherwise a legend above. It returns where the drawing ends.
func (f *byFall) frame(s *Scene, c Canvas) (bottom float64) {
	var longest float64
	for _, n := range f.names {
		longest = math.Max(longest, boldWidth*textWidth(n))
	}
	top, right := 0.0, s.Width-6
	// A condition without falls has no line to stand at the end of.
	f.ends = longest+30 <= 0.32*s.Width
	for i := range f.names {
		f.ends = f.ends && len(f.of(i)) > 0
	}
	if f.ends {
		right = s.Width - longest - 34
	} else {
		top = legend(s, f.names) + 8
	}
	s.Frame = Box{44, top + 28, right, top + c.Height - 30}
	return top + c.Height
}

func (f *byFall) fallAxis(s *Scene) {
	gap := s.Frame.Width() / float64(len(f.falls))
	f.x = Scale{Low: 0, High: 1, From: s.Frame.Left + gap/2, To: s.Frame.Left + 1.5*gap}
	if k := len(f.names); k > 1 {
		f.step = math.Min(11, 0.7*gap/float64(k))
	}
	for i, n := range f.falls {
		label := string(n)
		if i == 0 {
			label = "fall " + label
		}
		s.add(Text{X: f.x.At(float64(i)), Y: s.Frame.Bottom + lineHeight + 2, Anchor: Middle, Body: label, Ink: Soft})
	}
}

// place is where the i-th condition's value at a fall goes.
func (f *byFall) place(i int, fall compare.Fall, v float64) Point {
	aside := (float64(i) - float64(len(f.names)-1)/2) * f.step
	return Point{f.x.At(float64(slices.Index(f.falls, fall))) + aside, f.y.At(v * f.unit.Scale)}
}

func (f *byFall) specimens(s *Scene, i int) {
	series := map[string]map[compare.Fall]float64{}
	var labels []string
	for _, c := range f.of(i) {
		for k, label := range c.Specimens {
			if k >= len(c.Values) || !known(c.Values[k]) {
				continue
			}
			if series[label] == nil {
				series[label] = map[compare.Fall]float64{}
				labels = append(labels, label)
			}
			series[label][c.Fall] = c.Values[k]
		}
	}
	for _, label := range labels {
		for _, run := range f.runs(i, series[label]) {
			if len(run) == 1 {
				s.add(Dot{X: run[0].X, Y: run[0].Y, Shape: Circle, Size: 2, Ink: Ink(i)})
				continue
			}
			s.add(Line{Points: run, Ink: Ink(i), Width: 1, Faint: true})
		}
	}
}

// runs joins values at neighbouring falls into lines.
func (f *byFall) runs(i int, byFall map[compare.Fall]float64) [][]Point {
	var runs [][]Point
	open := false
	for _, fall := range f.falls {
		v, ok := byFall[fall]
		if !ok {
			open = false
			continue
		}
		if !open {
			runs = append(runs, nil)
		}
		open = true
		runs[len(runs)-1] = append(runs[len(runs)-1], f.place(i, fall, v))
	}
	return runs
}

func (f *byFall) means(s *Scene, i int) {
	mean := map[compare.Fall]float64{}
	for _, c := range f.of(i) {
		mean[c.Fall] = c.Centre
	}
	for _, run := range f.runs(i, mean) {
		if len(run) > 1 {
			s.add(Line{Points: run, Ink: Ink(i), Width: 2.2, Dash: DashOf(i)})
		}
	}
	for _, c := range f.of(i) {
		p := f.place(i, c.Fall, c.Centre)
		if known(c.CentreLower) && known(c.CentreUpper) {
			s.add(Bar{A: f.place(i, c.Fall, c.CentreLower), B: f.place(i, c.Fall, c.CentreUpper), Ink: Ink(i), Width: 1.6, Cap: math.Min(3, f.step/2.5+1)})
		}
		s.add(Dot{X: p.X, Y: p.Y, Shape: ShapeOf(i), Size: 4.8, Ink: Ink(i)})
	}
}

// endLabels names each condition right of the frame, level with its last mean
// as far as the others leave room.
func (f *byFall) endLabels(s *Scene) {
	ends := make([]Point, len(f.names))
	level := make([]float64, len(f.names))
	for i := range f.names {
		cells := f.of(i)
		last := cells[len(cells)-1]
		ends[i] = f.place(i, last.Fall, last.Centre)
		level[i] = ends[i].Y
	}
	x := s.Frame.Right + 12
	for i, y := range spread(level, lineHeight, s.Frame.Top, s.Frame.Bottom) {
		s.add(Line{Points: []Point{{ends[i].X + 7, ends[i].Y}, {s.Frame.Right - 6, ends[i].Y}, {x - 7, y}}, Ink: Ink(i), Width: 0.8, Faint: true},
			Dot{X: x, Y: y, Shape: ShapeOf(i), Size: 4.8, Ink: Ink(i)},
			Text{X: x + 11, Y: y + 4.5, Body: f.names[i], Ink: Plain, Bold: true})
	}
}

// words says what the picture shows.
func (f *byFall) words() string {
	if len(f.all) == 0 {
		return "There are no falls to draw."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Means with 95 %% intervals, in %s; thin lines are single specimens.", f.unit.Name)
	for i, name := range f.names {
		cells := f.of(i)
		if len(cells) == 0 {
			fmt.Fprintf(&b, " %s: no falls.", name)
			continue
		}
		first, last := cells[0], cells[len(cells)-1]
		fmt.Fprintf(&b, " %s: %s at fall %s", name, f.unit.Write(first.Centre), first.Fall)
		if last.Fall != first.Fall {
			fmt.Fprintf(&b, ", %s at fall %s", f.unit.Write(last.Centre), last.Fall)
		}
		fmt.Fprintf(&b, " (%s).", Counted(last.N, "specimen"))
	}
	return b.String()
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
