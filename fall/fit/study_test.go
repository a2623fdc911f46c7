package fit_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/fall/fit"
	"fallwright.example/rope"
)

// The recovery study of docs/METHODS.md; it runs in pieces.
var (
	ropes  = flag.Int("ropes", 2, "simulated ropes a case of the recovery study")
	seed   = flag.Uint64("seed", 77, "of the recovery study")
	only   = flag.String("form", "", "of the recovery study; all where it is empty")
	at     = flag.Float64("rate", 2000, "Hz, of the recovery study")
	choice = flag.Bool("choice", false, "the recovery study fits the other laws as well, and chooses")
	first  = flag.Bool("first", false, "the recovery study looks at the first contact alone")
)

// drawn is a rope of a form such as climbers' ropes are, and what its parameters
// are in truth, in the order of the form.
func drawn(draw *rand.Rand, form string) (rope.Law, []float64) {
	between := func(low, high float64) float64 { return low + (high-low)*draw.Float64() }
	p := []float64{
		between(4000, 9000), between(3000, 9000), between(0.06, 0.25), between(2, 8),
		between(20000, 50000), between(10, 50), between(0.1, 0.35),
	}
	s := rope.Stiffening{Equilibrium: p[0], Branch: p[1], Relaxation: p[2], Growth: p[3]}
	switch form {
	case "Zener":
		return rope.Zener{Equilibrium: p[0], Branch: p[1], Relaxation: p[2]}, p[:3]
	case "stiffening":
		return s, p[:4]
	}
	return rope.Sliding{Stiffening: s, Contact: p[4], Ease: p[5], Friction: p[6]}, p
}

// tally counts intervals, and choices of a law.
type tally struct {
	all, in, ropes, right int
	each                  map[string]int // intervals in, by parameter
	most                  float64        // that a parameter was out by, as a share
}

func (c *tally) add(parameters []fit.Parameter, truth []float64) {
	for k, want := range truth {
		p := parameters[k]
		c.all++
		if p.Lower <= want && want <= p.Upper {
			c.in++
			c.each[p.Name]++
		}
		if p.Name != "guide friction" {
			c.most = max(c.most, math.Abs(p.Value-want)/want)
		}
	}
}

// one draws a rope, drops it, fits it and counts.
func (c *tally) one(t *testing.T, draw *rand.Rand, form fit.Form, number int) {
	t.Helper()
	s := setting
	s.FirstContact = *first
	law, truth := drawn(draw, form.Name)
	friction := 2 + 10*draw.Float64()
	tr := recorded(t, law, s, friction, 12, *at, *seed*1000+uint64(number))
	among := []fit.Form{form}
	if *choice {
		among = []fit.Form{fit.Zener, fit.Stiffening, fit.Sliding}
	}
	ranks, err := fit.Choose(tr, *at, s, among...)
	if err != nil {
		t.Fatal(err)
	}
	c.ropes++
	if fit.Simplest(ranks).Form.Name == form.Name {
		c.right++
	}
	for _, r := range ranks {
		if r.Form.Name == form.Name {
			c.add(r.Parameters, append(append([]float64(nil), truth...), friction))
		}
	}
}

// Simulated ropes with noise: how often the 95 % intervals hold the truth, and
// how often the law that made the trace is chosen. The intervals of one rope hang
// together, three of them say what one would by itself: the room is four
// standard errors of as many. A few ropes see gross faults only; the table of
// docs/METHODS.md is made by -ropes 200.
func TestRecovery(t *testing.T) {
	whole := tally{each: map[string]int{}}
	for _, form := range []fit.Form{fit.Zener, fit.Stiffening, fit.Sliding} {
		if *only != "" && *only != form.Name {
			continue
		}
		draw := rand.New(rand.NewPCG(*seed, 5))
		c := tally{each: map[string]int{}}
		for i := range *ropes {
			c.one(t, draw, form, i)
		}
		t.Logf("%-10s %6.0f Hz: %d of %d intervals hold the truth (%.1f %%), law chosen %d of %d, farthest %.1f %% out; %v",
			form.Name, *at, c.in, c.all, 100*float64(c.in)/float64(c.all), c.right, c.ropes, 100*c.most, c.each)
		whole.all, whole.in, whole.ropes, whole.right = whole.all+c.all, whole.in+c.in, whole.ropes+c.ropes, whole.right+c.right
	}
	if whole.all < 4**ropes {
		t.Fatalf("%d intervals", whole.all)
	}
	share, chosen := float64(whole.in)/float64(whole.all), float64(whole.right)/float64(whole.ropes)
	if room := 4 * math.Sqrt(0.95*0.05*3/float64(whole.all)); !(math.Abs(share-0.95) < room) || !(chosen > 0.9) {
		t.Errorf("%.1f %% of intervals hold the truth, law chosen %.1f %%", 100*share, 100*chosen)
	}
}

// drawnSeries is a rope of a form that wears, its falls at even rests of the
// first contact, and what its course is in truth: parameters at first, moduli at
// last, pace.
func drawnSeries(t *testing.T, form string, number int) ([]fit.Fall, []float64) {
	t.Helper()
	draw := rand.New(rand.NewPCG(*seed, uint64(1000+number)))
	between := func(low, high float64) float64 { return low + (high-low)*draw.Float64() }
	law, truth := drawn(draw, form)
	pace, harder, slacker := between(0.8, 3), between(1.15, 1.5), between(0.6, 0.95)
	s := setting
	s.FirstContact = true
	rests := []float64{0, 300, 300, 300, 300}
	var falls []fit.Fall
	for n, w := range (wear{pace: pace, recovery: math.Inf(1)}).course(rests) {
		change := rope.Same()
		change.Stiffness, change.Branch = math.Pow(harder, w), math.Pow(slacker, w)
		now, err := change.Apply(law)
		if err != nil {
			t.Fatal(err)
		}
		tr := recorded(t, now, s, 6, 12, *at, *seed*1000000+uint64(number*10+n))
		falls = append(falls, fit.Fall{Samples: tr, Rate: *at, Setting: s, Rest: rests[n]})
	}
	return falls, append(append([]float64(nil), truth...), truth[0]*harder, truth[1]*slacker, pace)
}

// The course of five falls: its first and last values and its pace.
func TestCourseRecovery(t *testing.T) {
	c := tally{each: map[string]int{}}
	for i := range *ropes {
		falls, truth := drawnSeries(t, "stiffening", i)
		course, err := fit.Series(falls, fit.Stiffening)
		if err != nil {
			t.Fatal(err)
		}
		var got []fit.Parameter
		for _, term := range course.Terms {
			got = append(got, term.First)
		}
		for _, term := range course.Terms[:2] {
			last := term.Last
			last.Name += " at last"
			got = append(got, last)
		}
		c.add(append(got, course.Pace), truth)
	}
	share := float64(c.in) / float64(c.all)
	t.Logf("course: %d of %d intervals hold the truth (%.1f %%), farthest %.1f %% out; %v", c.in, c.all, 100*share, 100*c.most, c.each)
	if room := 4 * math.Sqrt(0.95*0.05*3/float64(c.all)); c.all < 7**ropes || !(math.Abs(share-0.95) < room) {
		t.Errorf("%.1f %% of %d intervals hold the truth", 100*share, c.all)
	}
}

// How often the law that made a series is the one that foretells its last fall,
// and the one by AICc over all falls. Part of the study only.
func TestSeriesChoice(t *testing.T) {
	if !*choice {
		t.Skip("choosing a law by whole series is part of the study: -choice")
	}
	forms := []fit.Form{fit.Zener, fit.Stiffening, fit.Sliding}
	aheads, wholes, all := 0, 0, 0
	for _, form := range forms {
		if *only != "" && *only != form.Name {
			continue
		}
		ahead, whole := 0, 0
		for i := range *ropes {
			falls, _ := drawnSeries(t, form.Name, i)
			order, err := fit.ByNext(falls, forms...)
			if err != nil {
				t.Fatal(err)
			}
			if fit.SimplestNext(order).Form.Name == form.Name {
				ahead++
			}
			ranks, err := fit.ChooseSeries(falls, forms...)
			if err != nil {
				t.Fatal(err)
			}
			if fit.SimplestOfSeries(ranks).Form.Name == form.Name {
				whole++
			}
		}
		t.Logf("%-10s foretells best in %d of %d series, chosen in %d", form.Name, ahead, *ropes, whole)
		aheads, wholes, all = aheads+ahead, wholes+whole, all+*ropes
	}
	if all == 0 || !(float64(aheads) > 0.9*float64(all) && float64(wholes) > 0.9*float64(all)) {
		t.Errorf("%d by foresight, %d by AICc, of %d", aheads, wholes, all)
	}
}
