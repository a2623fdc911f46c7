package fit_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/fall/fit"
	"fallwright.example/rope"
)

var ropes = flag.Int("ropes", 1, "simulated ropes a case in the recovery study; from 8 on at 2 kHz as well")

var alone = flag.Bool("alone", false, "the recovery study fits the law that made the trace only: intervals, no choice")

var seed = flag.Uint64("seed", 77, "of the recovery study")

// drawn is a rope of a form such as climbers' ropes are, and what its parameters
// are in truth, in the order of the form.
func drawn(draw *rand.Rand, form string) (rope.Law, []float64) {
	between := func(low, high float64) float64 { return low + (high-low)*draw.Float64() }
	p := []float64{
		between(4000, 9000), between(2, 8), between(3000, 9000), between(0.06, 0.25),
		between(20000, 50000), between(10, 50), between(0.1, 0.35),
	}
	s := rope.Stiffening{Equilibrium: p[0], Growth: p[1], Branch: p[2], Relaxation: p[3]}
	switch form {
	case "Zener":
		return rope.Zener{Equilibrium: p[0], Branch: p[2], Relaxation: p[3]}, []float64{p[0], p[2], p[3]}
	case "stiffening":
		return s, p[:4]
	}
	return rope.Sliding{Stiffening: s, Contact: p[4], Ease: p[5], Friction: p[6]}, p
}

// Simulated ropes with noise: how often the 95 % intervals hold the truth, and
// how often the law that made the trace is chosen. The table of docs/METHODS.md
// is made by -ropes 24. The few of every run make 17 intervals, and hold
// only that intervals and choice are not far off: four standard errors.
func TestRecovery(t *testing.T) {
	forms := []fit.Form{fit.Zener, fit.Stiffening, fit.Sliding}
	const noise = 12
	all, allIn, chosenAll, of := 0, 0, 0, 0
	rates := []float64{10000}
	if *ropes >= 8 {
		rates = []float64{2000, 10000}
	}
	for _, rate := range rates {
		for _, form := range forms {
			draw := rand.New(rand.NewPCG(*seed, 5))
			n, in, right, most := 0, 0, 0, 0.0
			each := map[string]int{}
			for i := range *ropes {
				law, truth := drawn(draw, form.Name)
				friction := 2 + 10*draw.Float64()
				tr := recorded(t, law, setting, friction, noise, rate, *seed*1000+uint64(i))
				among := forms
				if *alone {
					among = []fit.Form{form}
				}
				ranks, err := fit.Choose(tr, rate, setting, among...)
				if err != nil {
					t.Fatal(err)
				}
				if fit.Simplest(ranks).Form.Name == form.Name {
					right++
				}
				for _, r := range ranks {
					if r.Form.Name != form.Name {
						continue
					}
					for k, want := range append(append([]float64(nil), truth...), friction) {
						p := r.Parameters[k]
						n++
						if p.Lower <= want && want <= p.Upper {
							in++
							each[p.Name]++
						}
						most = max(most, math.Abs(p.Value-want)/want)
					}
				}
			}
			t.Logf("%-10s %6.0f Hz: %d of %d intervals hold the truth (%.1f %%), law chosen %d of %d, farthest %.1f %% out; %v",
				form.Name, rate, in, n, 100*float64(in)/float64(n), right, *ropes, 100*most, each)
			all, allIn, chosenAll, of = all+n, allIn+in, chosenAll+right, of+*ropes
		}
	}
	share, chosen := float64(allIn)/float64(all), float64(chosenAll)/float64(of)
	room := 4 * math.Sqrt(0.95*0.05/float64(all))
	t.Logf("all: %d of %d intervals, %.1f %%; chosen %.1f %%", allIn, all, 100*share, 100*chosen)
	if !(share > 0.95-room && share < 0.95+room) || !(chosen > 0.95-4*math.Sqrt(0.95*0.05/float64(of))) {
		t.Errorf("%.1f %% of intervals, law chosen %.1f %%", 100*share, 100*chosen)
	}
	if all < 12**ropes {
		t.Fatalf("%d intervals", all)
	}
}
