package wav

import (
	"fmt"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/trace"
	"fallwright.example/traceio"
	"fallwright.example/traceio/pick"
)

// mostChannels is our own limit: beyond it a file is no recording of a drop.
const mostChannels = 256

// choose settles which channel is the force: the only one there is, or by the
// rules that all formats share, from the names that the side-car gives.
func (s *source) choose(p *parts, car *sideCar, k scale) (*pick.Choice, error) {
	if p.channels > mostChannels {
		return nil, s.refuse(problem.Unreadable, "", "the file has %d channels, and up to %d are read", p.channels, mostChannels).
			Hint("export the channels that are wanted")
	}
	if len(car.Channels) > 0 && len(car.Channels) != p.channels {
		return nil, s.refuseCar("channels", "%s named, and the file has %d", traceio.Count(len(car.Channels), "channel"), p.channels).
			Hint("name each channel, in the order of the file")
	}
	ask, err := s.askOf(p, k)
	if err != nil {
		return nil, err
	}
	columns := s.columns(p, car)
	from := pick.Source{
		Name: s.name, Where: s.name, Header: len(car.Channels) > 0,
		Stated: float64(p.rate), StatedBy: "the file's head says so", Clock: true,
	}
	c, err := pick.Choose(from, columns, ask)
	if err != nil {
		s.layout.Columns = pick.Columns(columns, nil)
		return nil, err
	}
	columns[c.Force.No-1].Unit = k.unit.Symbol
	s.layout.Columns = pick.Columns(columns, c)
	s.keep(p, c)
	return c, nil
}

// askOf is what the shared rules are asked: the unit as it was settled here, and
// nothing that a WAV file cannot have.
func (s *source) askOf(p *parts, k scale) (trace.Ask, error) {
	ask := s.ask
	if ask.Time != "" {
		return ask, s.flag("--time", "a WAV file has a rate, and no channel of time").Hint("leave --time out, or override the rate: --rate HZ")
	}
	if ask.Stretch != "" && ask.Stretch != "none" {
		return ask, s.flag("--stretch", "a WAV file has a full scale for its force alone, so a stretch in it cannot be read").Hint("leave --stretch out")
	}
	ask.Stretch, ask.Unit = "none", k.unit.Symbol
	if p.channels == 1 && ask.Force == "" {
		ask.Force = "1"
	}
	return ask, nil
}

func (s *source) flag(flag, format string, args ...any) *problem.Problem {
	return problem.New(problem.Invalid, flag, format, args...).In("nothing was read from " + s.name)
}

// keep takes over what the shared rules found, but for what was settled here.
func (s *source) keep(p *parts, c *pick.Choice) {
	for _, f := range c.Facts {
		if f.What == "unit" || f.What == "stretch" {
			continue
		}
		if f.What == "force" && p.channels == 1 && s.ask.Force == "" {
			f.Why = "it is the only channel"
		}
		s.layout.Facts = append(s.layout.Facts, f)
	}
	s.notes = append(s.notes, c.Notes...)
}

// columns are the channels with their names and first samples.
func (s *source) columns(p *parts, car *sideCar) []pick.Column {
	const shown = 5
	frame := p.bytes * p.channels
	read := sampleOf(p.tag, p.bytes)
	out := make([]pick.Column, p.channels)
	for c := range out {
		title := ""
		if c < len(car.Channels) {
			title = car.Channels[c]
		}
		out[c] = pick.NewColumn(c+1, title, "")
		out[c].Holds = pick.Numbers
		for i := range min(shown, len(p.data)/frame) {
			out[c].Cells = append(out[c].Cells, strconv.FormatFloat(read(p.data[i*frame+c*p.bytes:]), 'g', 6, 64))
		}
	}
	return out
}

// record decodes the channels and makes the recording of them, in SI.
func (s *source) record(p *parts, c *pick.Choice, k scale) (*trace.Recording, error) {
	rec := &trace.Recording{Unit: k.unit.Symbol, PerMass: k.perMass, ForceColumn: c.Force.Own(), Pull: s.pull}
	var err error
	if rec.Force, err = s.decode(p, c.Force.No-1); err != nil {
		return nil, err
	}
	for i, v := range rec.Force {
		if rec.Force[i] = k.unit.SI(v * k.full); rec.Force[i]-rec.Force[i] != 0 {
			return nil, s.refuse(problem.Unreadable, fmt.Sprintf(", frame %d", i+1), "the force there is larger than a number can be in newtons").
				Hint("check the full scale: --full-scale %g --unit %s", k.full, k.unit.Symbol)
		}
	}
	if c.Gate.No > 0 {
		if rec.Gate, err = s.decode(p, c.Gate.No-1); err != nil {
			return nil, err
		}
	}
	rec.Time = make([]float64, len(rec.Force))
	for i := range rec.Time {
		rec.Time[i] = float64(i) / c.Rate
	}
	last := len(rec.Time) - 1
	if t := rec.Time[last]; t-t != 0 || !(rec.Time[1] > 0) {
		return nil, s.flag("--rate", "at %s the times are too large or too close together to be told apart", pick.Hertz(c.Rate)).
			Hint("give a rate that the logger can have: --rate HZ")
	}
	rec.Notes = s.notes
	return rec, nil
}
