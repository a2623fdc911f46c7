package main

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"fallwright.example/fall"
	catches "fallwright.example/field"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// wallFile is a fall in TOML; docs/FORMATS.md describes it. Amounts have their
// unit in the text: "1.5 m".
type wallFile struct {
	Climber struct {
		Mass, Above, Out, Aside, Reach string
		PushOff                        string `toml:"push_off"`
	}
	Belayer struct {
		Mass, Slip string
		StandsOff  string `toml:"stands_off"`
		Fixed      bool
	}
	Wall struct {
		None                            bool
		Overhang, Behind, Ground, Ledge string
	}
	Rope struct {
		Out, Slack    string
		MassPerLength string `toml:"mass_per_length"`
	}
	Runner []wallRunner
	State  []wallState
}

// wallRunner is one runner, from the top down.
type wallRunner struct {
	Below, Turn string
	Friction    *float64
}

// readWall reads a fall from a file.
func readWall(name string) (*wallFile, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, cannotOpen(name, err)
	}
	var w wallFile
	decoder := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := decoder.Decode(&w); err != nil {
		return nil, wallFault(name, err)
	}
	return &w, nil
}

// wallFault says where a file is not what it has to be.
func wallFault(name string, err error) error {
	var unknown *toml.StrictMissingError
	var odd *toml.DecodeError
	switch {
	case errors.As(err, &unknown):
		var l problem.List
		for _, e := range unknown.Errors {
			row, _ := e.Position()
			l = append(l, problem.New(problem.Invalid, fmt.Sprintf("%s:%d", name, row), "%s is no key of a fall", strings.Join(e.Key(), ".")).
				Hint("docs/FORMATS.md lists the keys under \"Fall on the wall\""))
		}
		return l
	case errors.As(err, &odd):
		row, _ := odd.Position()
		return problem.New(problem.Unreadable, fmt.Sprintf("%s:%d", name, row), "%s", strings.TrimPrefix(odd.Error(), "toml: "))
	}
	return problem.New(problem.Unreadable, name, "%v", err)
}

// amounts reads quantities and keeps what is wrong with them.
type amounts struct{ list problem.List }

// read gives the value of a text in SI, or what stands for an empty one.
func (a *amounts) read(where, text string, d quantity.Dimension, empty float64) float64 {
	if text == "" {
		return empty
	}
	v, err := quantityOf(where, text, d)
	if err != nil {
		a.list = append(a.list, problem.All(err)...)
	}
	return v
}

// need is read for an amount that has to be there.
func (a *amounts) need(where, text string, d quantity.Dimension, example string) float64 {
	if text == "" {
		a.list = append(a.list, problem.New(problem.Invalid, where, "it is missing").Hint("write %s", example))
	}
	return a.read(where, text, d, math.NaN())
}

// What is taken where nothing is said.
const (
	usualReach  = 1.0   // m
	usualLinear = 0.062 // kg/m
)

// catch is the fall without its rope's law.
func (w *wallFile) catch() (catches.Catch, error) {
	var a amounts
	c := catches.Catch{Gravity: fall.StandardGravity}
	c.Climber = catches.Climber{
		Mass:    a.need("climber, mass", w.Climber.Mass, quantity.Mass, `mass = "75 kg" under [climber], or --mass 75kg`),
		Above:   a.need("climber, above", w.Climber.Above, quantity.Length, `above = "2 m" under [climber], or --above 2m`),
		Out:     a.read("climber, out", w.Climber.Out, quantity.Length, 0),
		Aside:   a.read("climber, aside", w.Climber.Aside, quantity.Length, 0),
		PushOff: a.read("climber, push_off", w.Climber.PushOff, quantity.Speed, 0),
		Reach:   a.read("climber, reach", w.Climber.Reach, quantity.Length, usualReach),
	}
	c.Belayer = catches.Belayer{
		Fixed: w.Belayer.Fixed, Stand: a.read("belayer, stands_off", w.Belayer.StandsOff, quantity.Length, 0),
		Slip: a.read("belayer, slip", w.Belayer.Slip, quantity.Force, 0),
	}
	if !w.Belayer.Fixed {
		c.Belayer.Mass = a.need("belayer, mass", w.Belayer.Mass, quantity.Mass, `mass = "65 kg" or fixed = true under [belayer], or --belayer 65kg or --fixed`)
	}
	c.Wall = catches.Wall{
		None: w.Wall.None, Overhang: a.read("wall, overhang", w.Wall.Overhang, quantity.Angle, 0),
		Behind: a.read("wall, behind", w.Wall.Behind, quantity.Length, 0),
	}
	c.Floor = min(a.read("wall, ground", w.Wall.Ground, quantity.Length, math.Inf(1)), a.read("wall, ledge", w.Wall.Ledge, quantity.Length, math.Inf(1)))
	for i, r := range w.Runner {
		where := fmt.Sprintf("runner %d from the top", i+1)
		one := catches.Runner{
			Below: a.need(where+", below", r.Below, quantity.Length, `below = "2 m"`),
			Turn:  a.need(where+", turn", r.Turn, quantity.Angle, `turn = "180 deg"`),
		}
		if r.Friction == nil {
			a.list = append(a.list, problem.New(problem.Invalid, where+", friction", "it is missing").Hint("write friction = 0.2, or 0 for a runner that does not rub"))
		} else {
			one.Friction = *r.Friction
		}
		c.Runners = append(c.Runners, one)
	}
	c.Rope.Linear = a.read("rope, mass_per_length", w.Rope.MassPerLength, quantity.MassPerLength, usualLinear)
	w.length(&a, &c)
	return c, a.list.Err()
}

// length sets the rope out, given as itself or as slack.
func (w *wallFile) length(a *amounts, c *catches.Catch) {
	switch {
	case w.Rope.Out != "" && w.Rope.Slack != "":
		a.list = append(a.list, problem.New(problem.Invalid, "rope", "both out and slack are given, and one follows from the other").Hint("give one of them"))
	case w.Rope.Out != "":
		c.RopeOut = a.read("rope, out", w.Rope.Out, quantity.Length, 0)
	default:
		slack := a.need("rope, slack", w.Rope.Slack, quantity.Length, `slack = "0.5 m" or out = "14 m" under [rope], or --slack 0.5m or --rope-out 14m`)
		*c = c.WithSlack(slack)
	}
}
