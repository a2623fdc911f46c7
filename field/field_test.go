package field_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/field"
	"fallwright.example/internal/near"
	"fallwright.example/problem"
	"fallwright.example/rope"
)

var zener = rope.Zener{Equilibrium: 9000, Branch: 16000, Relaxation: 0.2}

// lead is an ordinary lead fall: five runners, a light belayer, a damped rope.
func lead() field.Catch {
	c := field.Catch{
		Climber: field.Climber{Mass: 75, Above: 2, Out: 0.5, PushOff: 0.5, Reach: 1},
		Belayer: field.Belayer{Mass: 65, Stand: 1, Slip: 2500},
		Floor:   11, Gravity: fall.StandardGravity,
		Rope: field.Rope{Law: rope.Sliding{
			Stiffening: rope.Stiffening{Equilibrium: 9000, Growth: 3, Branch: 9000, Relaxation: 0.2},
			Contact:    30000, Ease: 60, Friction: 0.2,
		}, Linear: 0.062, Fitted: field.Fitted{Strain: 0.3, Rate: 5, Force: 6000}},
	}
	for i := range 5 {
		r := field.Runner{Below: 2, Turn: 0.35, Friction: 0.2}
		if i == 0 {
			r.Turn = math.Pi
		}
		c.Runners = append(c.Runners, r)
	}
	return c.WithSlack(0.5)
}

// doubtful is that fall with a Zener rope whose parameters are uncertain.
func doubtful() field.Doubt {
	return field.Doubt{
		Names: []string{"equilibrium", "branch", "relaxation"}, Values: []float64{9000, 16000, 0.2},
		Covariance: [][]float64{{90000, -30000, 0}, {-30000, 160000, 0}, {0, 0, 1e-4}},
		Make: func(v []float64) (field.Catch, error) {
			c := lead()
			c.Rope.Law = rope.Zener{Equilibrium: v[0], Branch: v[1], Relaxation: v[2]}
			return c, nil
		},
	}
}

// A pendulum of length L let go at α from plumb is at the bottom after
// √(L/g)·K(sin α/2), with K = π/(2·agm(1, cos α/2)), at √(2·g·L·(1 − cos α)). The
// rope is so stiff that it is 2e-6 longer at the bottom.
func TestFreePendulum(t *testing.T) {
	for _, alpha := range []float64{0.4, 1, 1.3} {
		const length = 8.0
		c := field.Catch{
			Climber: field.Climber{Mass: 80, Above: -length * math.Cos(alpha), Aside: length * math.Sin(alpha)},
			Belayer: field.Belayer{Fixed: true}, Runners: []field.Runner{{Below: 2, Turn: math.Pi}},
			Wall: field.Wall{None: true}, Floor: math.Inf(1), Gravity: fall.StandardGravity,
			Rope: field.Rope{Law: rope.KelvinVoigt{Modulus: 1e9, Viscosity: 5e6}, Linear: 0.06},
		}.WithSlack(0)
		o, err := c.Simulate(field.Options{Accuracy: 1e-10, Frames: 200})
		if err != nil {
			t.Fatal(err)
		}
		a, b := 1.0, math.Cos(alpha/2)
		for range 8 {
			a, b = (a+b)/2, math.Sqrt(a*b)
		}
		want := math.Sqrt(length/c.Gravity) * math.Pi / 2 / a
		if !near.Rel(o.Lowest.At, want, 1e-5) || !near.Rel(o.Lowest.Below, length, 1e-5) {
			t.Errorf("%g rad: at the bottom after %.8g s, want %.8g; %.8g m below", alpha, o.Lowest.At, want, o.Lowest.Below)
		}
		moving := 80 * c.Gravity * length * (1 - math.Cos(alpha))
		if !near.Rel(o.Books.Moving, moving, 1e-5) {
			t.Errorf("%g rad: %.8g J at the bottom, want %.8g", alpha, o.Books.Moving, moving)
		}
		// The pull is m·g·(3 − 2·cos α) there.
		if want := 80 * c.Gravity * (3 - 2*math.Cos(alpha)); !near.Rel(o.Climber.Force, want, 1e-4) {
			t.Errorf("%g rad: pull %.6g N, want %.6g", alpha, o.Climber.Force, want)
		}
	}
}

// Rope that runs through the device caps the pull at F·e^(μ·θ): above it by what
// the rope's own mass takes to be moved, which is small for a light rope.
func TestSlippingDeviceCapsThePull(t *testing.T) {
	cap := 1500 * math.Exp(0.2*math.Pi)
	before := math.Inf(1)
	for _, linear := range []float64{0.06, 0.002, 0.0001} {
		c := straight(80, 8, 20, 5, 0.2, zener)
		c.Belayer.Slip, c.Rope.Linear = 1500, linear
		o := simulate(t, c)
		above := o.Climber.Force/cap - 1
		if !(above > 0 && above < before && o.Slipped > 0.1) {
			t.Errorf("%g kg/m: %.0f N, cap %.0f, %.2f m slipped", linear, o.Climber.Force, cap, o.Slipped)
		}
		before = above
	}
	if !(before < 0.02) {
		t.Errorf("%g above the cap", before)
	}
}

// A belayer of a thousand tons is a fixed one.
func TestHeavyBelayerIsFixed(t *testing.T) {
	c := lead()
	c.Belayer = field.Belayer{Mass: 1e6}
	heavy := simulate(t, c)
	c.Belayer = field.Belayer{Fixed: true}
	fixed := simulate(t, c)
	if heavy.Climber != fixed.Climber || heavy.Lift != 0 {
		t.Errorf("heavy %+v, fixed %+v", heavy.Climber, fixed.Climber)
	}
	c.Belayer = field.Belayer{Mass: 60}
	if light := simulate(t, c); !(light.Climber.Force < fixed.Climber.Force && light.Lift > 0.3) {
		t.Errorf("a light belayer: %+v, drawn %g m", light.Climber, light.Lift)
	}
}

// Friction lost at a runner is never negative, and the books name where the
// energy is.
func TestBooksOfALeadFall(t *testing.T) {
	c := lead()
	c.Belayer.Slip = 1300
	o := simulate(t, c)
	b := o.Books
	for name, v := range map[string]float64{
		"moving": b.Moving, "stored": b.Stored, "rope": b.Rope, "runners": b.Runners, "device": b.Device, "lifted": b.Lifted,
	} {
		if !(v > 1) {
			t.Errorf("%s: %g J", name, v)
		}
	}
	sum := b.Moving + b.Stored + b.Rope + b.Runners + b.Device + b.Lifted + b.Wall + b.Stopped
	if !near.Rel(sum, b.Given, 1e-8) {
		t.Errorf("%g J of %g", sum, b.Given)
	}
	if want := c.Floor - o.Lowest.Below - c.Climber.Reach; o.Clearance != want || !near.Rel(o.Lowest.Fall, o.Lowest.Below+c.Climber.Above, 1e-12) {
		t.Errorf("clearance %g, want %g; %+v", o.Clearance, want, o.Lowest)
	}
	if o.Wall == nil || !(o.Wall.Normal > 1 && o.Wall.Normal < 4) || !near.Abs(o.Wall.Place[0], 0, 1e-6) {
		t.Errorf("wall %+v", o.Wall)
	}
}

// A belayer much lighter than the climber is drawn up to the lowest runner and
// stops there; one who stands away is drawn further, for less of the weight is
// against the pull.
func TestBelayerIsDrawn(t *testing.T) {
	c := straight(100, 8, 20, 5, 0, zener)
	c.Belayer = field.Belayer{Mass: 40}
	o := simulate(t, c)
	if want := 15 - 0.1; !o.AtRunner || !near.Abs(o.Lift, want, 1e-6) || !slices.ContainsFunc(o.Notes, func(n string) bool { return strings.Contains(n, "lowest runner") }) {
		t.Errorf("drawn %g m, want %g: %q", o.Lift, want, o.Notes)
	}
	near := lead()
	near.Belayer.Stand = 0
	away := lead()
	away.Belayer.Stand = 1.2
	if a, b := simulate(t, near), simulate(t, away); !(b.Lift > a.Lift+0.05) {
		t.Errorf("drawn %g m from below, %g m from away", a.Lift, b.Lift)
	}
}

// A floor in the way ends the fall there; √(2·g·h) when the rope is still slack.
func TestFloor(t *testing.T) {
	c := lead()
	c.Floor = 2.5
	o := simulate(t, c)
	if want := math.Sqrt(2*c.Gravity*3.5 + 0.25); o.Hit == nil || !near.Rel(o.Hit.Speed, want, 1e-9) {
		t.Errorf("%+v, want %g m/s", o.Hit, want)
	}
	if !slices.ContainsFunc(o.Notes, func(n string) bool { return strings.Contains(n, "hits the ground") }) {
		t.Errorf("notes: %q", o.Notes)
	}
}

// On a slab the climber slides; under an overhang the wall is met later and
// lower, or on the other side of the plumb line.
func TestWallLeans(t *testing.T) {
	c := lead()
	c.Wall.Overhang = -0.2
	if o := simulate(t, c); o.Wall == nil {
		t.Error("a slab is not met")
	}
	c.Wall.Overhang = 0.35
	o := simulate(t, c)
	if o.Wall == nil || o.Wall.Place[0] >= 0 {
		t.Errorf("under an overhang: %+v", o.Wall)
	}
	// A touch at the start is not the meeting that counts.
	touch := c
	touch.Wall = field.Wall{Behind: 1}
	touch.Climber.Above, touch.Climber.Out, touch.Climber.PushOff = -2, 0.02, -0.1
	touch = touch.WithSlack(1.5)
	if o := simulate(t, touch); o.Meetings < 2 || o.Wall.Normal < 0.5 || o.Wall.At < o.CatchAt {
		t.Errorf("%d meetings, the hardest %+v", o.Meetings, o.Wall)
	}
	c.Wall.None = true
	if o := simulate(t, c); o.Wall != nil {
		t.Errorf("no wall, and it is met: %+v", o.Wall)
	}
}

// What is said has no negative time or place, and compares no wall that is not there.
func TestWordsOfOddFalls(t *testing.T) {
	said := func(c field.Catch) (*field.Bands, string) {
		d := field.Doubt{Make: func([]float64) (field.Catch, error) { return c, nil }}
		b, err := d.Bands(field.Options{Accuracy: field.Shown})
		if err != nil {
			t.Fatal(err)
		}
		return b, strings.Join(b.Sentences(c), " ")
	}
	slab := lead()
	slab.Wall.Overhang, slab.Climber.Out, slab.Climber.PushOff = -0.35, 0, 0
	b, text := said(slab)
	if b.Outcome.Wall == nil || b.Outcome.Wall.At >= b.Outcome.CatchAt || !strings.Contains(text, "before the rope held") || strings.Contains(text, "-") {
		t.Errorf("on a slab: %s", text)
	}
	bare := lead()
	bare.Wall.None = true
	b, _ = said(bare)
	if against := strings.Join(b.Against(b, "dry", "wet"), " "); strings.Contains(against, "Speed into the wall") || !strings.Contains(against, "Rebound") {
		t.Errorf("without a wall: %s", against)
	}
	low := lead()
	low.Floor = 4.3
	b, text = said(low)
	if b.Outcome.Hit == nil || !strings.Contains(text, "up to then") || !strings.Contains(strings.Join(b.Against(b, "dry", "wet"), " "), "With dry the climber hits") {
		t.Errorf("on the ground: %s", text)
	}
}

// Straight responses have the interval of the law of propagation: for a spring
// rope on a fixed belay dF/dM is (F/M)·(s − 1)/(2·s), s = F/(m·g) − 1.
func TestBandsFollowTheLawOfPropagation(t *testing.T) {
	d := field.Doubt{
		Names: []string{"modulus"}, Values: []float64{modulus}, Covariance: [][]float64{{100 * 100}},
		Make: func(v []float64) (field.Catch, error) {
			return straight(80, 5, 10, 3, 0, rope.Linear{Modulus: v[0]}), nil
		},
	}
	b, err := d.Bands(field.Options{Accuracy: field.Careful})
	if err != nil {
		t.Fatal(err)
	}
	toFactor, _, err := fall.Elasticity(b.Climber.Value, 80, fall.StandardGravity)
	if err != nil {
		t.Fatal(err)
	}
	half := 1.959964 * 100 * b.Climber.Value / modulus * toFactor
	if !near.Rel(b.Climber.High-b.Climber.Value, half, 2e-3) || !near.Rel(b.Climber.Value-b.Climber.Low, half, 3e-3) || b.Runs != 3 {
		t.Errorf("%+v of %d runs, want ± %g", b.Climber, b.Runs, half)
	}
}

// Falls beside the one that is shown keep no books and come to the same.
func TestBareFallsAreTheSame(t *testing.T) {
	b, err := doubtful().Bands(field.Options{Accuracy: field.Careful})
	if err != nil {
		t.Fatal(err)
	}
	swept := field.Sweep([]float64{0}, func(float64) field.Doubt { return doubtful() }, field.Options{Accuracy: field.Careful})
	if !(b.Outcome.Books.Stored > 100) || swept[0].Bands.Outcome.Books.Rope != 0 {
		t.Errorf("books %+v and, in a sweep, %+v", b.Outcome.Books, swept[0].Bands.Outcome.Books)
	}
	for name, pair := range map[string][2]float64{
		"climber": {b.Climber.Value, swept[0].Bands.Climber.Value}, "wall": {b.WallNormal.Value, swept[0].Bands.WallNormal.Value},
	} {
		if !near.Rel(pair[0], pair[1], 1e-8) {
			t.Errorf("%s %.12g, without books %.12g", name, pair[0], pair[1])
		}
	}
}

// The law's range is watched.
func TestBeyondTheFittedRange(t *testing.T) {
	c := lead()
	c.Rope.Fitted = field.Fitted{Strain: 0.1, Rate: 1, Force: 2000}
	o := simulate(t, c)
	for _, word := range []string{"strain of the rope", "strain rate", "pull"} {
		if !slices.ContainsFunc(o.Notes, func(n string) bool { return strings.Contains(n, "the "+word+" reaches") }) {
			t.Errorf("nothing about the %s in %q", word, o.Notes)
		}
	}
	if o := simulate(t, lead()); len(o.Notes) != 0 {
		t.Errorf("inside the range: %q", o.Notes)
	}
}

// What cannot be is refused, with the limit and what would reach it.
func TestRefusals(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*field.Catch)
		says  string
	}{
		{"rope too short", func(c *field.Catch) { c.RopeOut = 10 }, "the way from the climber over the runners"},
		{"no runner", func(c *field.Catch) { c.Runners = nil }, "needs one at least"},
		{"order", func(c *field.Catch) { c.Runners[2].Below = -1 }, "runner 3 from the top"},
		{"mass", func(c *field.Catch) { c.Climber.Mass = 0 }, "climber's mass"},
		{"behind the wall", func(c *field.Catch) { c.Climber.Out = -0.1 }, "distance out from the wall"},
		{"belayer's mass", func(c *field.Catch) { c.Belayer.Mass = math.NaN() }, "belayer's mass"},
		{"out of reach", func(c *field.Catch) { c.Belayer.Stand = 3 }, "would not reach"},
		{"overhang", func(c *field.Catch) { c.Wall.Overhang = 1.4 }, "must lie from -60 degrees to 60 degrees"},
		{"friction", func(c *field.Catch) { c.Runners[0].Friction = -0.1 }, "friction"},
		{"floor", func(c *field.Catch) { c.Floor = -2 }, "ground or ledge"},
		{"law", func(c *field.Catch) { c.Rope.Law = rope.Linear{} }, "modulus"},
		{"no law", func(c *field.Catch) { c.Rope.Law = nil }, "has no law"},
		{"at the runner", func(c *field.Catch) { c.Climber.Above, c.Climber.Out = 0, 0 }, "no rope between them"},
		{"rope's mass", func(c *field.Catch) { c.Rope.Linear = 0 }, "mass per metre"},
	} {
		catch := lead()
		c.spoil(&catch)
		_, err := catch.Simulate(field.Options{Accuracy: field.Careful})
		if all := problem.All(err); len(all) == 0 || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	d := doubtful()
	d.Covariance[0][0] = 1e9
	if _, err := d.Bands(field.Options{Accuracy: field.Quick}); err == nil || !strings.Contains(err.Error(), "equilibrium") {
		t.Errorf("a parameter doubted below nothing: %v", err)
	}
	d = doubtful()
	d.Covariance[0][1], d.Covariance[1][0] = 1e6, 1e6
	if _, err := d.Bands(field.Options{Accuracy: field.Quick}); err == nil || !strings.Contains(err.Error(), "negative variance") {
		t.Errorf("a covariance that is none: %v", err)
	}
}

// Longer routes, the same fall: rope, floor and runners go together.
func TestWithRopeOut(t *testing.T) {
	c := lead()
	long := c.WithRopeOut(2 * c.RopeOut)
	if !near.Abs(long.Slack(), c.Slack(), 1e-12) || !near.Abs(long.Floor-c.Floor, c.RopeOut, 1e-12) || c.Runners[0].Below != 2 {
		t.Errorf("slack %g, floor %g; the first had %+v", long.Slack(), long.Floor, c.Runners[0])
	}
}
