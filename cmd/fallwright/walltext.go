package main

import (
	"bytes"
	"strconv"

	"github.com/pelletier/go-toml/v2"

	"fallwright.example/study"
)

// fallOfText is what the web app takes as pasted text: the same file that wall
// takes, or states of the rope alone.
func fallOfText(text []byte) (*study.WallFall, []study.WallRope, error) {
	var w wallFile
	decoder := toml.NewDecoder(bytes.NewReader(text)).DisallowUnknownFields()
	if err := decoder.Decode(&w); err != nil {
		return nil, nil, wallFault("line", err)
	}
	fall := w.told()
	if w.statesAlone() {
		fall = nil
		w.Climber.Mass, w.Climber.Above, w.Belayer.Fixed, w.Rope.Slack = "75 kg", "2 m", true, "0 m" // only the rope is taken of it
	}
	var ropes []study.WallRope
	for _, s := range w.State {
		known, err := w.doubt(s)
		if err != nil {
			return nil, nil, err
		}
		law := s.Law
		if s.Of != "" {
			law = "as " + s.Of + ", changed"
		}
		ropes = append(ropes, study.WallRope{Name: s.Name, From: "from the pasted text", Condition: -1, Law: law, Known: known})
	}
	return fall, ropes, nil
}

// statesAlone says that there is no fall in the file, only a rope.
func (w *wallFile) statesAlone() bool {
	other := wallFile{}
	return len(w.State) > 0 && len(w.Runner) == 0 && w.Climber == other.Climber && w.Belayer == other.Belayer && w.Wall == other.Wall
}

// told is the fall as it is written.
func (w *wallFile) told() *study.WallFall {
	f := &study.WallFall{
		Mass: w.Climber.Mass, Above: w.Climber.Above, Out: w.Climber.Out, Aside: w.Climber.Aside, PushOff: w.Climber.PushOff, Reach: w.Climber.Reach,
		Belayer: w.Belayer.Mass, StandsOff: w.Belayer.StandsOff, Slip: w.Belayer.Slip, Fixed: w.Belayer.Fixed,
		RopeOut: w.Rope.Out, Slack: w.Rope.Slack, RopeMass: w.Rope.MassPerLength,
		Overhang: w.Wall.Overhang, Behind: w.Wall.Behind, Ground: w.Wall.Ground, Ledge: w.Wall.Ledge, NoWall: w.Wall.None,
	}
	for _, r := range w.Runner {
		friction := ""
		if r.Friction != nil {
			friction = strconv.FormatFloat(*r.Friction, 'f', -1, 64)
		}
		f.Runners = append(f.Runners, study.WallRunner{Below: r.Below, Turn: r.Turn, Friction: friction})
	}
	return f
}
