package study

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fallwright.example/fall"
	"fallwright.example/field"
	"fallwright.example/num/quantity"
	"fallwright.example/problem"
)

// WallRope is the rope in one state: a law with what is known of it, and where it
// comes from. A law fitted to the falls of one condition enters here.
type WallRope struct {
	Name      string
	From      string      // where the law comes from, in words
	Invented  bool        // made up, to show what the page does
	Condition int         // place of the condition in the plan; -1 for none
	Law       string      // its name, in words
	Known     field.Doubt // the parameters with what is doubtful of them; of the catch that it makes only the rope is taken
}

// RopeByLaw is a rope of one of field.LawNames with the values of its parameters
// and their covariance, nil where nothing is known of that.
func RopeByLaw(law string, values []float64, covariance [][]float64, fitted field.Fitted) (WallRope, error) {
	w := WallRope{Condition: -1, Law: law, Known: field.Doubt{Values: values, Covariance: covariance}}
	parameters, err := field.LawParameters(law)
	if err != nil {
		return w, err
	}
	for _, p := range parameters {
		w.Known.Names = append(w.Known.Names, p.Name)
	}
	if covariance == nil {
		for range values {
			w.Known.Covariance = append(w.Known.Covariance, make([]float64, len(values)))
		}
	}
	w.Known.Make = func(v []float64) (field.Catch, error) {
		of, err := field.NamedLaw(law, v)
		return field.Catch{Rope: field.Rope{Law: of, Fitted: fitted}}, err
	}
	_, err = w.Known.Make(values)
	return w, err
}

// Doubt is a catch with the rope in this state; its mass a metre is the catch's.
func (w WallRope) Doubt(c field.Catch) field.Doubt {
	d := w.Known
	d.Make = func(v []float64) (field.Catch, error) {
		of, err := w.Known.Make(v)
		one := c
		one.Rope.Law, one.Rope.Fitted = of.Rope.Law, of.Rope.Fitted
		return one, err
	}
	return d
}

// InventedRopes are two states of a rope that does not exist, so that the page
// shows something before any law is fitted.
func InventedRopes() []WallRope {
	var out []WallRope
	for _, r := range []struct {
		name          string
		values, doubt []float64
	}{
		{"dry, invented", []float64{9000, 16000, 0.2}, []float64{300, 500, 0.01}},
		{"soaked, fifth fall, invented", []float64{13000, 11000, 0.2}, []float64{400, 500, 0.01}},
	} {
		w, err := RopeByLaw("zener", r.values, apart(r.doubt), field.Fitted{Strain: 0.3, Rate: 5, Force: 6000})
		if err != nil {
			panic(err) // the values stand above
		}
		w.Name, w.From, w.Invented = r.name, "invented, to show what the page does: no rope was tested", true
		out = append(out, w)
	}
	return out
}

// apart is the covariance of parameters that are doubtful independently.
func apart(u []float64) [][]float64 {
	out := make([][]float64, len(u))
	for i := range u {
		out[i] = make([]float64, len(u))
		out[i][i] = u[i] * u[i]
	}
	return out
}

// WallFall is a fall on the wall as people write it: amounts with their units.
// Refusals name its parts as package field does.
type WallFall struct {
	Mass, Above, Out, Aside, PushOff, Reach string // of the climber
	Belayer, StandsOff, Slip                string
	Fixed                                   bool // the belayer is tied down
	Runners                                 []WallRunner
	RopeOut, Slack, RopeMass                string // one of the first two
	Overhang, Behind, Ground, Ledge         string
	NoWall                                  bool
}

// WallRunner is a runner, from the top down. One that is empty all over is left
// out.
type WallRunner struct{ Below, Turn, Friction string }

// UsualFall is an invented lead fall to begin from.
func UsualFall() WallFall {
	return WallFall{
		Mass: "75 kg", Above: "2 m", Out: "0.5 m", PushOff: "0.5 m/s", Reach: "1 m",
		Belayer: "65 kg", StandsOff: "1 m", Slip: "2.5 kN",
		Runners: []WallRunner{{"2 m", "180 deg", "0.2"}, {"8 m", "40 deg", "0.2"}},
		Slack:   "0.5 m", RopeMass: "62 g/m", Overhang: "5 deg", Ground: "11 m",
	}
}

// What is taken when a fall does not say.
const (
	usualReach  = 1.0   // m
	usualLinear = 0.062 // kg/m
)

// Catch reads the fall; its rope has no law yet. What cannot be read is refused
// all at once.
func (w WallFall) Catch() (field.Catch, error) {
	var a amounts
	c := field.Catch{Gravity: fall.StandardGravity}
	c.Climber = field.Climber{
		Mass:    a.need("climber's mass", w.Mass, quantity.Mass, "75 kg"),
		Above:   a.need("climber's height above the top runner", w.Above, quantity.Length, "2 m"),
		Out:     a.read("climber's distance out from the wall", w.Out, quantity.Length, 0),
		Aside:   a.read("climber's distance to the side", w.Aside, quantity.Length, 0),
		PushOff: a.read("push-off", w.PushOff, quantity.Speed, 0),
		Reach:   a.read("reach below the tie-in", w.Reach, quantity.Length, usualReach),
	}
	c.Belayer = field.Belayer{
		Fixed: w.Fixed, Stand: a.read("belayer's distance from the wall", w.StandsOff, quantity.Length, 0),
		Slip: a.read("device's slip force", w.Slip, quantity.Force, 0),
	}
	if !w.Fixed {
		c.Belayer.Mass = a.need("belayer's mass", w.Belayer, quantity.Mass, "65 kg")
	}
	c.Wall = field.Wall{None: w.NoWall, Overhang: a.read("overhang", w.Overhang, quantity.Angle, 0), Behind: a.read("wall behind the top runner", w.Behind, quantity.Length, 0)}
	c.Floor = min(a.read("ground or ledge", w.Ground, quantity.Length, math.Inf(1)), a.read("ledge", w.Ledge, quantity.Length, math.Inf(1)))
	c.Rope.Linear = a.read("rope's mass per metre", w.RopeMass, quantity.MassPerLength, usualLinear)
	w.runners(&a, &c)
	w.length(&a, &c)
	return c, a.wrong.Err()
}

func (w WallFall) runners(a *amounts, c *field.Catch) {
	n := 0
	for _, r := range w.Runners {
		if r == (WallRunner{}) {
			continue
		}
		n++
		where := fmt.Sprintf("runner %d from the top", n)
		c.Runners = append(c.Runners, field.Runner{
			Below: a.need(where, r.Below, quantity.Length, "2 m"), Turn: a.need(where+", turn", r.Turn, quantity.Angle, "180 deg"),
			Friction: a.number(where+", friction", r.Friction, 0),
		})
	}
}

// length sets the rope out, given as itself or as slack.
func (w WallFall) length(a *amounts, c *field.Catch) {
	out, slack := strings.TrimSpace(w.RopeOut), strings.TrimSpace(w.Slack)
	switch {
	case out != "" && slack != "":
		a.refuse("rope out", "both rope out and slack are given, and one follows from the other").Hint("empty one of them")
	case out != "":
		c.RopeOut = a.read("rope out", out, quantity.Length, 0)
	case slack == "":
		a.refuse("slack", "neither slack nor rope out is given").Hint("write one of them, such as a slack of 0.5 m")
	default:
		*c = c.WithSlack(a.read("slack", slack, quantity.Length, 0))
	}
}

// WallCase is one fall computed.
type WallCase struct {
	Rope  WallRope
	Catch field.Catch
	Bands *field.Bands
	Sweep []field.Swept // over rope out
}

// WallAnswer is what a fall comes to with the rope in one state or in two.
type WallAnswer struct {
	Cases   []WallCase
	Against []string // what changes from the first to the second, in sentences
}

// Lengths of the sweep, and pictures of the fall.
const (
	wallLengths = 13
	wallFrames  = 60 // a second
)

// Wall computes a fall with the rope in each of the states, and sweeps its rope
// out from half of what runs below the top runner to two and a half times.
func Wall(w WallFall, ropes []WallRope) (*WallAnswer, error) {
	c, err := w.Catch()
	if err != nil {
		return nil, err
	}
	a := &WallAnswer{}
	for _, r := range ropes {
		d, one := r.Doubt(c), WallCase{Rope: r}
		if one.Bands, err = d.Bands(field.Options{Accuracy: field.Shown, Frames: wallFrames}); err != nil {
			return nil, err
		}
		if one.Catch, err = d.Make(d.Values); err != nil {
			return nil, err
		}
		one.sweep(d)
		a.Cases = append(a.Cases, one)
	}
	if len(a.Cases) == 2 {
		one, two := a.Cases[0], a.Cases[1]
		a.Against = one.Bands.Against(two.Bands, one.Rope.Name, two.Rope.Name)
	}
	return a, nil
}

// sweep looks at the fall on longer and shorter routes; none where there is no
// wall to meet.
func (c *WallCase) sweep(d field.Doubt) {
	if c.Catch.Wall.None {
		return
	}
	below := 0.0
	for _, r := range c.Catch.Runners {
		below += r.Below
	}
	lengths := make([]float64, wallLengths)
	for i := range lengths {
		lengths[i] = c.Catch.RopeOut + below*(-0.5+2*float64(i)/(wallLengths-1))
	}
	at := func(out float64) field.Doubt {
		longer := d
		longer.Make = func(v []float64) (field.Catch, error) {
			one, err := d.Make(v)
			return one.WithRopeOut(out), err
		}
		return longer
	}
	c.Sweep = field.Sweep(lengths, at, field.Options{Accuracy: field.Quick})
}

// TypedRope reads a law with its parameters as people write them:
// "equilibrium = 9000 ± 300, branch = 16000, relaxation = 0.2", SI, with standard
// uncertainties.
func TypedRope(law, text string) (WallRope, error) {
	parameters, err := field.LawParameters(law)
	if err != nil {
		return WallRope{}, err
	}
	var a amounts
	const where = "parameters of the law"
	value, doubt := map[string]float64{}, map[string]float64{}
	for one := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ',' || r == ';' || r == '\n' }) {
		if strings.TrimSpace(one) == "" {
			continue
		}
		name, rest, ok := strings.Cut(one, "=")
		name = strings.TrimSpace(name)
		if !ok {
			a.refuse(where, "%q is not a name and a number", strings.TrimSpace(one)).Hint("write equilibrium = 9000 ± 300, with commas between")
			continue
		}
		if !slices.ContainsFunc(parameters, func(p field.Parameter) bool { return p.Name == name }) {
			a.refuse(where, "the law %s has no %s", law, name).Hint("it has %s", parameterNames(parameters))
			continue
		}
		number, u, _ := strings.Cut(strings.ReplaceAll(rest, "+-", "±"), "±")
		value[name], doubt[name] = a.number(where, number, math.NaN()), a.number(where, u, 0)
	}
	var values, doubts []float64
	for _, p := range parameters {
		v, given := value[p.Name]
		if !given && p.Need && len(a.wrong) == 0 {
			a.refuse(where, "the law %s needs %s", law, p.Name).Hint("it has %s", parameterNames(parameters))
		}
		values, doubts = append(values, v), append(doubts, doubt[p.Name])
	}
	if err := a.wrong.Err(); err != nil {
		return WallRope{}, err
	}
	w, err := RopeByLaw(law, values, apart(doubts), field.Fitted{})
	for _, p := range problem.All(err) {
		p.Where, p.What = where, p.Error()
	}
	w.Name, w.From = "typed here", "typed on this page"
	return w, err
}

func parameterNames(all []field.Parameter) string {
	var names []string
	for _, p := range all {
		names = append(names, strings.TrimSpace(p.Name+" "+p.Unit))
	}
	return strings.Join(names, ", ")
}
