package dial

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/fall"
)

// drawn is one rope and rig drawn from the prior, with its peaks simulated: no
// straight lines, no nodes.
func (p *prior) drawn(draw *rand.Rand) (factor float64, x [traits]float64) {
	u := draw.Float64()
	k := 0
	for ; k < len(p.weights)-1 && u > p.weights[k]; k++ {
		u -= p.weights[k]
	}
	step := math.Log(p.factors[1] / p.factors[0])
	factor = p.factors[k] * math.Exp(step*(draw.Float64()-0.5))
	for i, t := range p.traits {
		x[i] = t.middle + t.sd*draw.NormFloat64()
	}
	x[slip], x[tighten] = max(x[slip], 1e-3), max(x[tighten], 300)
	x[guide], x[growth], x[relaxation] = max(x[guide], 0), max(x[growth], 0), max(x[relaxation], 0.02)
	x[friction], x[branch] = max(x[friction], 0), max(x[branch], 0.1)
	x[course] = max(x[course], 0.2)
	return factor, x
}

// The belief beside brute force: thousands drawn from the prior, every peak
// simulated, weighed by how well they explain the trials. Middle and spread of
// the foreseen peak, chance of landing and of the series. What is left is the
// straight lines of the belief and the sampling error of the draws.
func TestBeliefBesideImportanceSampling(t *testing.T) {
	if testing.Short() {
		t.Skip("the belief is not held against importance sampling: it takes a second")
	}
	p := unknownRope()
	next := Setting{80, 0.55, 2.6}
	cases := []struct {
		name   string
		trials []Trial
	}{
		{"nothing known", nil},
		{"one soft trial", []Trial{{Setting: Setting{80, 0.45, 2.6}, Peak: 2800}}},
		{"another mass, and a fall 3", []Trial{{Setting: Setting{80, 0.45, 2.6}, Peak: 3100}, {Setting: Setting{70, 0.7, 2.6}, Peak: 4000, Fall: 3}}},
	}
	const draws = 3000
	sim := &simulator{prior: p, gravity: fall.StandardGravity}
	checked := 0
	for _, c := range cases {
		draw := rand.New(rand.NewPCG(3, 9))
		noise := math.Hypot(p.scatter, p.repeat)
		var total, mean, square, lands, series, effective float64
		for range draws {
			factor, x := p.drawn(draw)
			likelihood := 1.0
			for _, tr := range c.trials {
				log, _, err := sim.peak(tr.Setting, factor, &x)
				if err != nil {
					t.Fatal(err)
				}
				z := (math.Log(tr.Peak) - log - x[gain] - rising(max(1, tr.Fall), x[course])*x[rise]) / noise
				likelihood *= math.Exp(-z * z / 2)
			}
			if likelihood < 1e-8 {
				continue
			}
			log, _, err := sim.peak(next, factor, &x)
			if err != nil {
				t.Fatal(err)
			}
			common := p.scatter * draw.NormFloat64()
			first := log + x[gain] + common + p.repeat*draw.NormFloat64()
			last := log + x[gain] + x[rise] + common + p.repeat*draw.NormFloat64()
			total, mean, square = total+likelihood, mean+likelihood*first, square+likelihood*first*first
			effective += likelihood * likelihood
			in := first >= math.Log(3000) && first <= math.Log(4000)
			if in {
				lands += likelihood
			}
			if in && last <= math.Log(4000) {
				series += likelihood
			}
		}
		effective = total * total / effective
		mean, lands, series = mean/total, lands/total, series/total
		sd := math.Sqrt(square/total - mean*mean)

		d := &desk{Question: Question{Trials: c.trials}, prior: p}
		for _, tr := range c.trials {
			r, err := sim.respond(tr.Setting)
			if err != nil {
				t.Fatal(err)
			}
			d.trials = append(d.trials, r)
		}
		b := d.learn(everything)
		r, err := sim.respond(next)
		if err != nil {
			t.Fatal(err)
		}
		m := b.foresee(r, 1, "")
		var bm, bs float64
		for _, n := range m {
			bm += n.weight * n.mean
			bs += n.weight * (n.mean*n.mean + n.sd*n.sd)
		}
		bs = math.Sqrt(bs - bm*bm)
		bl, bser := m.below(math.Log(4000))-m.below(math.Log(3000)), b.seriesIn(r, 5, Usual())
		t.Logf("%s: mean %.4f and %.4f, sd %.4f and %.4f, lands %.3f and %.3f, series %.3f and %.3f; %.0f effective draws",
			c.name, bm, mean, bs, sd, bl, lands, bser, series, effective)
		error := 3 / math.Sqrt(effective)
		for what, by := range map[string]float64{
			"mean": (bm - mean) / sd, "sd": (bs/sd - 1) / 1.5, "lands": (bl - lands) * 2, "series": (bser - series) * 2,
		} {
			if checked++; !(math.Abs(by) < error+0.06) {
				t.Errorf("%s: %s out by %.3f, of %.3f that the draws may be out by", c.name, what, by, error+0.06)
			}
		}
	}
	if checked != 12 {
		t.Fatal(checked)
	}
}
