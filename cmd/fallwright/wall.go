package main

import (
	"fmt"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	catches "fallwright.example/field"
	"fallwright.example/figure"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// wallFlags are what the command line may say of a fall.
type wallFlags struct {
	file         wallFile
	runners, set []string
	law          string
	state        string
	beside       string
	against      string
	sweep        string
	svg          string
	asJSON       bool
}

func wallCommand() *cobra.Command {
	var f wallFlags
	cmd := &cobra.Command{
		Use:   "wall [FALL.toml]",
		Short: "What a rope means for a climber: a catch on the wall, computed",
		Long: `Wall computes a climber's fall that a belayer catches: forces on climber,
belayer and top runner, the lowest point, how the wall is met, and the rebound.
The fall stands in a file or in flags; flags go before the file. The rope is a
law with its parameters, as a fit gives them, or a state named in the file.

Amounts have their unit: 2m, 75kg, 2.5kN, 10deg. It compares ropes and falls by
a model; it does not show that any fall is safe.`,
		Example: `  fallwright wall fall.toml --state dry --beside "soaked, fifth fall"
  fallwright wall --mass 75kg --above 2m --out 0.5m --belayer 65kg --slack 0.5m \
    --runner 2m,180deg,0.2 --runner 8m,30deg,0.2 --ground 11m \
    --law zener --set equilibrium=9000 --set branch=12000 --set relaxation=0.2`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) > 1 {
				return problem.New(problem.Invalid, cmd.CommandPath(), "it takes one file, and %d are given", len(args)).
					Hint("put a second one beside it with --against FILE")
			}
			return nil
		},
		RunE: doing(func(cmd *cobra.Command, args []string) error { return f.run(cmd, args) }),
	}
	f.register(cmd)
	return cmd
}

func (f *wallFlags) register(cmd *cobra.Command) {
	s, w := cmd.Flags(), &f.file
	s.SortFlags = false
	s.StringVar(&w.Climber.Mass, "mass", "", "climber's `mass`")
	s.StringVar(&w.Climber.Above, "above", "", "`height` of the tie-in above the last runner")
	s.StringVar(&w.Climber.Out, "out", "", "`distance` of the tie-in from the wall (0)")
	s.StringVar(&w.Climber.Aside, "aside", "", "`distance` of the tie-in to the side of the last runner (0)")
	s.StringVar(&w.Climber.PushOff, "push-off", "", "`speed` away from the wall at the start (0)")
	s.StringVar(&w.Climber.Reach, "reach", "", "`length` from the tie-in down to the feet (1m)")
	s.StringVar(&w.Belayer.Mass, "belayer", "", "belayer's `mass`")
	s.BoolVar(&w.Belayer.Fixed, "fixed", false, "the belayer is tied down")
	s.StringVar(&w.Belayer.StandsOff, "stands-off", "", "`distance` at which the belayer stands from the wall (0)")
	s.StringVar(&w.Belayer.Slip, "slip", "", "`force` at which rope runs through the device (it holds)")
	s.StringArrayVar(&f.runners, "runner", nil, "`BELOW,TURN,FRICTION` of a runner, from the top down; below is the rope to the next")
	s.StringVar(&w.Rope.Slack, "slack", "", "`length` of loose rope")
	s.StringVar(&w.Rope.Out, "rope-out", "", "`length` of rope between knot and device, in the place of --slack")
	s.StringVar(&w.Rope.MassPerLength, "rope-mass", "", "the rope's `mass` per metre (62g/m)")
	s.StringVar(&w.Wall.Overhang, "overhang", "", "`angle` by which the wall leans out; a slab has a negative one (0)")
	s.StringVar(&w.Wall.Behind, "behind", "", "`distance` from the last runner in to the wall (0)")
	s.BoolVar(&w.Wall.None, "no-wall", false, "there is no wall to meet")
	s.StringVar(&w.Wall.Ground, "ground", "", "`height` of the last runner over the ground")
	s.StringVar(&w.Wall.Ledge, "ledge", "", "`height` of the last runner over a ledge")
	s.StringVar(&f.law, "law", "", "`law` of the rope: "+strings.Join(catches.LawNames(), ", "))
	s.StringArrayVar(&f.set, "set", nil, "`NAME=VALUE` of a parameter of the law, SI")
	s.StringVar(&f.state, "state", "", "`state` of the rope, named in the file")
	s.StringVar(&f.beside, "beside", "", "a second `state` to put beside it")
	s.StringVar(&f.against, "against", "", "a second `file` to put beside it")
	s.StringVar(&f.sweep, "sweep", "", "`rope-out=FROM..TO` or slack=FROM..TO: speed at the wall over 30 lengths")
	s.StringVar(&f.svg, "svg", "", "draw the fall into this `file`")
	s.BoolVar(&f.asJSON, "json", false, "print JSON")
}

// wallCase is one fall computed.
type wallCase struct {
	name  string
	doubt catches.Doubt
	catch catches.Catch
	bands *catches.Bands
}

func (f *wallFlags) run(cmd *cobra.Command, args []string) error {
	path := ""
	if len(args) == 1 {
		path = args[0]
	}
	asked, err := f.cases(path)
	if err != nil {
		return err
	}
	for i := range asked {
		if err := asked[i].compute(); err != nil {
			return err
		}
	}
	var swept []wallSweep
	if f.sweep != "" {
		if swept, err = f.sweeps(asked); err != nil {
			return err
		}
	}
	if f.svg != "" {
		var falls []figure.CaughtFall
		for i, c := range asked {
			falls = append(falls, figure.CaughtFall{Name: c.name, Condition: i, Catch: c.catch, Outcome: c.bands.Outcome})
		}
		if err := os.WriteFile(f.svg, []byte(standing(figure.Caught(falls, figure.Canvas{Width: 720, Height: 560}).SVG())), 0o644); err != nil {
			return problem.New(problem.Invalid, f.svg, "the picture could not be written: %v", err)
		}
	}
	if f.asJSON {
		return printJSON(cmd, wallAnswer(asked, swept))
	}
	wallPage{cmd.OutOrStdout()}.print(asked, swept)
	return nil
}

func (c *wallCase) compute() error {
	var err error
	if c.catch, err = c.doubt.Make(c.doubt.Values); err != nil {
		return err
	}
	c.bands, err = c.doubt.Bands(catches.Options{Accuracy: catches.Shown, Frames: 60})
	return err
}

// cases are the falls asked for: one, or two beside each other.
func (f *wallFlags) cases(path string) ([]wallCase, error) {
	first := &wallFile{}
	if path != "" {
		var err error
		if first, err = readWall(path); err != nil {
			return nil, err
		}
	}
	if err := f.over(first); err != nil {
		return nil, err
	}
	one, err := f.choose(first, path, f.state)
	if err != nil {
		return nil, err
	}
	all := []wallCase{one}
	switch {
	case f.beside != "" && f.against != "":
		return nil, problem.New(problem.Invalid, "--against", "--beside is given too, and two falls are put beside each other, not three").Hint("give one of them")
	case f.beside != "":
		two, err := f.choose(first, path, f.beside)
		if err != nil {
			return nil, err
		}
		all = append(all, two)
	case f.against != "":
		second, err := readWall(f.against)
		if err != nil {
			return nil, err
		}
		two, err := f.choose(second, f.against, "")
		if err != nil {
			return nil, err
		}
		if two.name == one.name {
			one.name, two.name = path+", "+one.name, f.against+", "+two.name
		}
		all = append(all, two)
	}
	return all, nil
}

// over puts what the flags say over what the file says.
func (f *wallFlags) over(w *wallFile) error {
	set := func(to *string, by string) {
		if by != "" {
			*to = by
		}
	}
	g := &f.file
	for _, p := range [][2]*string{
		{&w.Climber.Mass, &g.Climber.Mass},
		{&w.Climber.Above, &g.Climber.Above},
		{&w.Climber.Out, &g.Climber.Out},
		{&w.Climber.Aside, &g.Climber.Aside},
		{&w.Climber.PushOff, &g.Climber.PushOff},
		{&w.Climber.Reach, &g.Climber.Reach},
		{&w.Belayer.Mass, &g.Belayer.Mass},
		{&w.Belayer.StandsOff, &g.Belayer.StandsOff},
		{&w.Belayer.Slip, &g.Belayer.Slip},
		{&w.Rope.MassPerLength, &g.Rope.MassPerLength},
		{&w.Wall.Overhang, &g.Wall.Overhang},
		{&w.Wall.Behind, &g.Wall.Behind},
		{&w.Wall.Ground, &g.Wall.Ground},
		{&w.Wall.Ledge, &g.Wall.Ledge},
	} {
		set(p[0], *p[1])
	}
	if g.Rope.Out != "" || g.Rope.Slack != "" {
		w.Rope.Out, w.Rope.Slack = g.Rope.Out, g.Rope.Slack
	}
	w.Belayer.Fixed = w.Belayer.Fixed || g.Belayer.Fixed
	w.Wall.None = w.Wall.None || g.Wall.None
	if len(f.runners) > 0 {
		w.Runner = nil
	}
	for _, text := range f.runners {
		parts := strings.Split(text, ",")
		if len(parts) != 3 {
			return problem.New(problem.Invalid, "--runner", "%q has not three parts", text).Hint("write --runner 2m,180deg,0.2")
		}
		mu, err := strconv.ParseFloat(strings.TrimSpace(parts[2]), 64)
		if err != nil {
			return problem.New(problem.Invalid, "--runner", "%q is no friction", parts[2]).Hint("write a number such as 0.2, without a unit")
		}
		w.Runner = append(w.Runner, wallRunner{Below: parts[0], Turn: parts[1], Friction: &mu})
	}
	return f.lawByFlags(w)
}

// lawByFlags makes the only state of --law and --set.
func (f *wallFlags) lawByFlags(w *wallFile) error {
	if f.law == "" {
		if len(f.set) > 0 {
			return problem.New(problem.Invalid, "--set", "it needs --law").Hint("name the law: --law %s", catches.LawNames()[2])
		}
		return nil
	}
	s := wallState{Name: "by flags", Law: f.law, Parameters: map[string]float64{}}
	for _, text := range f.set {
		name, value, _ := strings.Cut(text, "=")
		v, err := strconv.ParseFloat(value, 64)
		if err != nil {
			return problem.New(problem.Invalid, "--set", "%q is not a name and a number", text).Hint("write --set modulus=24000")
		}
		s.Parameters[name] = v
	}
	w.State = []wallState{s}
	return nil
}

// choose takes the state asked for, or the only one.
func (f *wallFlags) choose(w *wallFile, path, state string) (wallCase, error) {
	var names []string
	for _, s := range w.State {
		names = append(names, s.Name)
		if s.Name == state || state == "" && len(w.State) == 1 {
			d, err := w.doubt(s)
			return wallCase{name: s.Name, doubt: d}, err
		}
	}
	switch {
	case len(names) == 0:
		return wallCase{}, problem.New(problem.Invalid, "rope", "no law is given").
			Hint("write --law NAME with --set, or a [[state]] in the file").Hint("the laws are %s", strings.Join(catches.LawNames(), ", "))
	case state == "":
		return wallCase{}, problem.New(problem.Invalid, path, "it has %d states of the rope, and none is chosen", len(names)).
			Hint("write --state with one of: %s", strings.Join(names, "; "))
	}
	return wallCase{}, problem.New(problem.NotFound, path, "it has no state %q", state).Hint("it has: %s", strings.Join(names, "; "))
}

// wallSweep is the speed at the wall over one length.
type wallSweep struct {
	name, what string
	points     []catches.Swept
}

func (f *wallFlags) sweeps(all []wallCase) ([]wallSweep, error) {
	what, ends, _ := strings.Cut(f.sweep, "=")
	from, to, ok := strings.Cut(ends, "..")
	if !ok || what != "rope-out" && what != "slack" {
		return nil, problem.New(problem.Invalid, "--sweep", "%q is not understood", f.sweep).Hint("write --sweep rope-out=10m..30m or --sweep slack=0m..2m")
	}
	var a amounts
	low, high := a.read("--sweep", from, quantity.Length, 0), a.read("--sweep", to, quantity.Length, 0)
	if err := a.list.Err(); err != nil {
		return nil, err
	}
	if !(high > low) {
		return nil, problem.New(problem.Invalid, "--sweep", "%q does not go upward", f.sweep).Hint("write the shorter length first")
	}
	const lengths = 30
	settings := make([]float64, lengths)
	for i := range settings {
		settings[i] = low + (high-low)*float64(i)/(lengths-1)
	}
	var out []wallSweep
	for _, c := range all {
		at := func(v float64) catches.Doubt {
			d := c.doubt
			d.Make = func(p []float64) (catches.Catch, error) {
				one, err := c.doubt.Make(p)
				if err != nil {
					return one, err
				}
				if what == "slack" {
					return one.WithSlack(v), nil
				}
				return one.WithRopeOut(v), nil
			}
			return d
		}
		s := wallSweep{c.name, what, catches.Sweep(settings, at, catches.Options{Accuracy: catches.Quick})}
		for _, p := range s.points {
			if p.Err != nil {
				return nil, fmt.Errorf("at %.4g m: %w", p.Setting, p.Err)
			}
		}
		out = append(out, s)
	}
	return out, nil
}
