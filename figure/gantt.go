package figure

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fallwright.example/timetable"
)

// Gantt draws one day of a timetable, from 1: a lane for each tower with its
// specimens and their falls, for each slot of a bath or rack in use, and for each
// person at work; breaks lie behind. conditions are the plan's, in order; check
// drops are in the accent. Time runs along a wide sheet and down a
// narrow one; the lanes make the height, whatever the Canvas has.
func Gantt(t *timetable.Table, a *timetable.Ask, day int, conditions []string, c Canvas) *Scene {
	s := newScene(c, fmt.Sprintf("Timetable, day %d", day))
	g := newGantt(s, t, a, day, conditions)
	s.Desc = g.words()
	top := legend(s, g.names) + 8
	if len(g.lanes) == 0 {
		s.Frame = Box{0, top, s.Width, top + 60}
		s.empty("nothing is planned on this day")
		return s.finish(s.Frame.Bottom, c)
	}
	var bottom float64
	if g.down = s.Width < narrowGantt; g.down {
		bottom = g.columns(top)
	} else {
		bottom = g.rows(top)
	}
	for _, b := range a.Days[day-1].Breaks {
		s.Desc += fmt.Sprintf(" Break from %s to %s.", b.From.Format("15:04"), b.To.Format("15:04"))
	}
	g.breaks(a.Days[day-1].Breaks)
	for _, l := range g.lanes {
		g.lane(l)
	}
	return s.finish(bottom, c)
}

const (
	narrowGantt = 520.0 // px of a sheet on which time runs down
	towerLane   = 56.0  // px across a tower's lane, with two lines of labels
	thinLane    = 17.0  // px across any other
	perMinute   = 1.7   // px at least where time runs down
)

// A lane is one tower, slot or person.
type lane struct {
	name     string
	tower    bool
	stays    []timetable.Stay
	work     []timetable.Op // of a person
	falls    []timetable.Op
	from, to float64 // px across
}

// gantt is a Gantt on its way.
type gantt struct {
	*Scene
	day   timetable.DayUse
	names palette
	lanes []lane
	time  Scale // of minutes since low
	low   time.Time
	down  bool
}

func newGantt(s *Scene, t *timetable.Table, a *timetable.Ask, day int, conditions []string) *gantt {
	g := &gantt{Scene: s, names: newPalette(conditions), day: timetable.DayUse{Day: day}}
	if day < 1 || day > len(t.Days) || day > len(a.Days) || t.Days[day-1].First.IsZero() {
		return g
	}
	g.day = t.Days[day-1]
	half := 30 * time.Minute
	g.low = g.day.Open.Add(g.day.First.Sub(g.day.Open).Truncate(half))
	minutes := math.Max(30, math.Ceil(g.day.Last.Sub(g.low).Minutes()/30)*30)
	g.time = Scale{Low: 0, High: minutes}
	for _, w := range a.Towers {
		g.take(lane{name: w.Name, tower: true, stays: g.on(t, w.Name, "", 0), falls: g.ops(t, func(o *timetable.Op) bool { return o.Tower == w.Name && o.Kind == timetable.Drop })})
	}
	for _, p := range a.Places {
		for slot := range p.Holds {
			name := p.Name
			if p.Holds > 1 {
				name = fmt.Sprintf("%s %d", p.Name, slot+1)
			}
			g.take(lane{name: name, stays: g.on(t, "", p.Name, slot+1)})
		}
	}
	for _, p := range a.People {
		g.take(lane{name: p.Name, work: g.ops(t, func(o *timetable.Op) bool { return slices.Contains(o.People, p.Name) })})
	}
	return g
}

// take takes a lane on which something happens.
func (g *gantt) take(l lane) {
	if len(l.stays)+len(l.work) > 0 {
		g.lanes = append(g.lanes, l)
	}
}

// on lists the stays of the day on a tower, or in a slot of a place.
func (g *gantt) on(t *timetable.Table, tower, place string, slot int) (out []timetable.Stay) {
	for _, s := range t.Stays() {
		if s.Tower == tower && s.Place == place && (slot == 0 || s.Slot == slot) && s.From.Before(g.day.Last) && s.To.After(g.day.First) {
			out = append(out, s)
			if s.Turn == "" {
				g.names.index(s.Condition)
			}
		}
	}
	return out
}

func (g *gantt) ops(t *timetable.Table, take func(*timetable.Op) bool) (out []timetable.Op) {
	for i := range t.Ops {
		if o := &t.Ops[i]; !o.Start.Before(g.day.First) && !o.End.After(g.day.Last) && take(o) {
			out = append(out, *o)
		}
	}
	return out
}

// at is the place of a time along the lanes, within the frame.
func (g *gantt) at(t time.Time) float64 {
	return g.time.At(math.Max(0, math.Min(g.time.High, t.Sub(g.low).Minutes())))
}

// point is a place along the lanes and across them.
func (g *gantt) point(along, across float64) Point {
	if g.down {
		return Point{across, along}
	}
	return Point{along, across}
}

// rows lays the lanes out under each other, with their names at the left.
func (g *gantt) rows(top float64) float64 {
	left := 0.0
	for _, l := range g.lanes {
		left = math.Max(left, textWidth(l.name))
	}
	left = math.Min(left, 0.28*g.Width)
	y := top
	for i := range g.lanes {
		l := &g.lanes[i]
		l.from, l.to = y, y+l.across()
		g.add(Text{X: 2, Y: l.middle() + 4.5, Body: short(l.name, left), Ink: Plain, Bold: l.tower})
		y = l.to
	}
	g.Frame = Box{left + labelGap + 4, top, g.Width - 14, y + 4}
	g.time.From, g.time.To = g.Frame.Left, g.Frame.Right
	g.grid()
	g.foot()
	return g.Frame.Bottom + lineHeight + 6
}

// columns lays the lanes out beside each other, with their names above them on as
// many lines as keep them apart.
func (g *gantt) columns(top float64) float64 {
	left := textWidth("00:00") + labelGap + 2
	var parts float64
	for _, l := range g.lanes {
		parts += l.across()
	}
	wide := (g.Width - left - 6) / parts
	levels := min(3, len(g.lanes))
	x := left
	for i := range g.lanes {
		l := &g.lanes[i]
		l.from, l.to = x, x+l.across()*wide
		x = l.to
	}
	for i, l := range g.lanes {
		room := g.Width - 2 - l.from
		if i+levels < len(g.lanes) {
			room = g.lanes[i+levels].from - l.from - 4
		}
		g.add(Text{X: l.from, Y: top + lineHeight*float64(i%levels) + 12, Body: short(l.name, room), Ink: Plain, Bold: l.tower})
	}
	top += lineHeight*float64(levels) + 6
	g.Frame = Box{left, top, g.Width - 6, top + perMinute*g.time.High}
	g.time.From, g.time.To = g.Frame.Top, g.Frame.Bottom
	g.grid()
	return g.Frame.Bottom + 10
}

func (l *lane) across() float64 {
	if l.tower {
		return towerLane
	}
	return thinLane
}

// middle is where a lane's strokes lie; labels are beside those of a tower.
func (l *lane) middle() float64 {
	if l.tower {
		return l.to - 10
	}
	return (l.from + l.to) / 2
}

// short cuts a name to a width.
func short(name string, width float64) string {
	if textWidth(name) <= width {
		return name
	}
	r := []rune(name)
	return string(r[:max(1, min(len(r), int(width/textWidth("x"))-1))]) + "…"
}

// grid draws the hours, every second one where they are close.
func (g *gantt) grid() {
	each := 30
	for _, step := range []int{30, 60, 120, 240} {
		each = step
		if g.time.At(float64(step))-g.time.At(0) >= textWidth("00:00")+labelGap {
			break
		}
	}
	start := g.low.Hour()*60 + g.low.Minute()
	for m := 0; m <= int(g.time.High); m += 30 {
		if (start+m)%each != 0 {
			continue
		}
		at, label := g.time.At(float64(m)), g.low.Add(time.Duration(m)*time.Minute).Format("15:04")
		if g.down {
			g.add(Line{Points: []Point{{g.Frame.Left, at}, {g.Frame.Right, at}}, Ink: Rule, Width: 1},
				Text{X: g.Frame.Left - labelGap, Y: at + 4.5, Anchor: End, Body: label, Ink: Soft})
			continue
		}
		g.add(Line{Points: []Point{{at, g.Frame.Top}, {at, g.Frame.Bottom}}, Ink: Rule, Width: 1},
			Text{X: inside(at, label, g.Width), Y: g.Frame.Bottom + lineHeight, Anchor: Middle, Body: label, Ink: Soft})
	}
}

// breaks shades when nobody works.
func (g *gantt) breaks(spans []timetable.Span) {
	for _, s := range spans {
		from, to := g.at(s.From), g.at(s.To)
		if to <= from {
			continue
		}
		b := Box{from, g.Frame.Top, to, g.Frame.Bottom}
		if g.down {
			b = Box{g.Frame.Left, from, g.Frame.Right, to}
		}
		g.add(Band{b, Rule})
	}
}

// lane draws what happens on one.
func (g *gantt) lane(l lane) {
	for _, o := range l.work {
		g.add(Line{Points: []Point{g.point(g.at(o.Start), l.middle()), g.point(g.at(o.End), l.middle())}, Ink: Soft, Width: 6})
	}
	for _, s := range l.stays {
		ink, dash := g.ink(s.Condition, s.Turn)
		g.add(Line{Points: []Point{g.point(g.at(s.From)+0.8, l.middle()), g.point(g.at(s.To)-0.8, l.middle())}, Ink: ink, Width: 2.4, Dash: dash, Of: s.Job})
		g.ends(s, l, ink)
	}
	for _, o := range l.falls {
		ink, _ := g.ink(o.Condition, o.Turn)
		p := g.point(g.at(o.End), l.middle())
		g.add(Dot{X: p.X, Y: p.Y, Shape: ShapeOf(max(0, int(ink))), Size: g.size(l), Ink: ink, Of: o.Job})
	}
	if l.tower {
		g.labels(l)
	}
}

// ends sets a short stroke across each end of a stay, so that neighbours can be
// told apart.
func (g *gantt) ends(s timetable.Stay, l lane, ink Ink) {
	for _, at := range []float64{g.at(s.From) + 0.8, g.at(s.To) - 0.8} {
		g.add(Line{Points: []Point{g.point(at, l.middle()-4), g.point(at, l.middle()+4)}, Ink: ink, Width: 1.6, Of: s.Job})
	}
}

func (g *gantt) ink(condition string, turn timetable.Turn) (Ink, []float64) {
	if turn != "" {
		return Sea, nil
	}
	i := g.names.index(condition)
	return Ink(i), DashOf(i)
}

// size keeps the dots of neighbouring falls apart as far as they can be.
func (g *gantt) size(l lane) float64 {
	closest := math.Inf(1)
	for i := 1; i < len(l.falls); i++ {
		closest = math.Min(closest, math.Abs(g.at(l.falls[i].End)-g.at(l.falls[i-1].End)))
	}
	return math.Max(1.6, math.Min(4, 0.42*closest))
}

// labels names the specimens of a tower, on two lines where they are close; what
// has no room is named in the words only.
func (g *gantt) labels(l lane) {
	free := [2]float64{math.Inf(-1), math.Inf(-1)} // along, by line
	for _, s := range l.stays {
		at := g.at(s.From)
		w := textWidth(s.Job)
		if g.down {
			if at+12 < free[0] || w > l.middle()-l.from-9 {
				continue
			}
			free[0] = at + 12 + lineHeight - 4
			g.add(Text{X: l.middle() - 9, Y: at + 12, Anchor: End, Body: s.Job, Ink: Plain, Of: s.Job})
			continue
		}
		for k := range free {
			if at >= free[k] && at+w <= g.Width {
				free[k] = at + w + 4
				g.add(Text{X: at, Y: l.middle() - 10 - float64(k)*15, Body: s.Job, Ink: Plain, Of: s.Job})
				break
			}
		}
	}
}

// words says what the picture shows: for each tower, who hangs when.
func (g *gantt) words() string {
	if len(g.lanes) == 0 {
		return "Nothing is planned on this day."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s to %s: %s with %s.", g.day.Open.Format("2 January 2006"), g.day.First.Format("15:04"), g.day.Last.Format("15:04"),
		seriesOf(g.day.Series), Counted(g.day.Falls, "fall"))
	for _, l := range g.lanes {
		if !l.tower {
			continue
		}
		var parts []string
		for _, s := range l.stays {
			name := s.Job
			if s.Turn != "" {
				name += " (" + string(s.Turn) + " check)"
			} else if s.Condition != "" {
				name += " (" + s.Condition + ")"
			}
			parts = append(parts, fmt.Sprintf("%s %s to %s", name, s.From.Format("15:04"), s.To.Format("15:04")))
		}
		fmt.Fprintf(&b, " %s: %s.", l.name, strings.Join(parts, ", "))
	}
	return b.String()
}

func seriesOf(n int) string {
	if n == 0 {
		return "no series"
	}
	return fmt.Sprintf("%d series", n)
}
