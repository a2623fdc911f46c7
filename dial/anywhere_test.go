package dial

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/fall"
)

// Question: do stated chances come at any setting, not at the best ones alone?
// On each virtual rig a trial is dropped from anywhere, and the chance of landing
// is asked of another drop from anywhere, before and after.
func TestChancesAnywhere(t *testing.T) {
	var before, after reliability
	var sim fall.Simulator
	desks := make([]*desk, len(benches))
	for i, rig := range benches {
		rig.LowestDrop, rig.HighestDrop, rig.DropStep, rig.Gravity = 0.05, 3, 0.01, fall.StandardGravity
		d, err := newDesk(Question{Window: Usual(), Rig: rig, Falls: 1, Enough: 0.9, Level: 0.9}, unknownRope())
		if err != nil {
			t.Fatal(err)
		}
		desks[i] = d
	}
	n := *rigs * 3
	for k := range n {
		d := desks[k%len(desks)]
		v := stated.rig(rand.New(rand.NewPCG(uint64(k), 77)), &sim)
		f := d.surfaces[0]
		drop := func(low, high float64) (*response, Trial) {
			at := Setting{f.mass, low + (high-low)*v.draw.Float64(), f.length}
			set := at
			set.Drop += 0.005 * v.draw.NormFloat64()
			s := v.specimen()
			return f.at(at.Drop), Trial{Setting: at, Peak: s.series(set, 1)[0]}
		}
		says := func(to *reliability, low, high float64) {
			r, made := drop(low, high)
			m := d.learn(everything).foresee(r, 1, "")
			to.add(m.below(math.Log(4000))-m.below(math.Log(3000)), made.Peak >= 3000 && made.Peak <= 4000)
		}
		d.Trials, d.trials = nil, nil
		says(&before, 0.2, 1.5)
		r, made := drop(0.3, 1)
		d.Trials, d.trials = []Trial{made}, []*response{r}
		says(&after, 0.2, 1.5)
	}
	t.Logf("%d rigs, before the first trial\n%safter it\n%s", n, &before, &after)
	for what, r := range map[string]*reliability{"before": &before, "after": &after} {
		least := max(60, n/40)
		bin, all := r.worst(least)
		if limit := 0.03 + 3*math.Sqrt(0.25/float64(least)); bin > limit || math.Abs(all) > 0.03+3*math.Sqrt(0.25/float64(n)) {
			t.Errorf("%s the first trial a bin is out by %.3f, all by %+.3f", what, bin, all)
		}
	}
}
