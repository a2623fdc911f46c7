package trace

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// What noise adds to a peak, against the plain experiment: a parabola with
// noise, filtered or not, its largest sample, ten thousand times. Two standard
// deviations of that mean are 2 %; the theory leaves out that samples of
// filtered noise hang together, 15 % of the noise.
func TestLift(t *testing.T) {
	const sigma, trials = 20.0, 4000
	for _, c := range []struct {
		rate, bend float64
		class      int
	}{{1000, 4e6, 0}, {10e3, 1e6, 0}, {50e3, 8e5, 0}, {5000, 4e6, 60}, {10e3, 1e6, 60}, {20e3, 4e6, 180}} {
		n := int(0.12 * c.rate)
		rec := &Recording{Unit: "N", Time: make([]float64, n), Force: make([]float64, n)}
		tk := &take{rec: rec, set: Settings{Class: c.class}, sig: &Signal{}, raw: make([]float64, n)}
		for i := range n {
			rec.Time[i] = float64(i) / c.rate
		}
		tk.pace = paceOf(rec.Time, rec.Steps)
		tk.zero.noise = sigma
		rng := rand.New(rand.NewPCG(7, uint64(c.rate)))
		sum, squares := 0.0, 0.0
		for range trials {
			phase := rng.Float64() - 0.5
			for i := range n {
				s := (float64(i-n/2) + phase) / c.rate
				tk.raw[i] = 5000 - c.bend*s*s/2 + sigma*rng.NormFloat64()
			}
			if err := tk.smooth(); err != nil {
				t.Fatal(err)
			}
			over := slices.Max(tk.sig.Force[n/8:n-n/8]) - 5000
			sum, squares = sum+over, squares+over*over
			tk.sig.Steps = nil
		}
		p := top{bend: c.bend, noise: tk.smoothNoise()}
		lift, wave := tk.liftOf(p.noise, p.bend, tk.noiseChange())
		within(t, "wave", Value(wave), math.Sqrt(squares/trials-sum*sum/trials/trials), 0.25*wave)
		miss := c.bend / c.rate / c.rate / 24
		within(t, "lift", Value(lift-miss), sum/trials, 0.15*p.noise+0.02*lift)
	}
}

// Slow noise is not a slope, nor is its peak as sure as white noise would make it.
func TestSlowNoise(t *testing.T) {
	clean := fallTrace(kelvinVoigt(20e3, 0.1), 5000, 0.3, 2.6)
	rng := rand.New(rand.NewPCG(4, 4))
	missing, held := 0, 0
	const trials = 60
	for range trials {
		slow, state := make([]float64, len(clean.Force)), 0.0
		for i := range slow { // 20 N, correlated over 1.3 ms
			state = 0.85*state + 20*math.Sqrt(1-0.85*0.85)*rng.NormFloat64()
			slow[i] = state
		}
		r, _, err := Take(spoilt(clean, func(i int, _, f float64) float64 { return f + slow[i] - 137 }), Settings{Mass: refMass, Drop: refDrop, Class: 180})
		if err != nil {
			t.Fatal(err)
		}
		if !r.Tare.Known() {
			missing++
		}
		if u := r.Uncertainty["peak_force_N"]; u.Lower <= 7139.03 && 7139.03 <= u.Upper {
			held++
		}
	}
	if missing > 0 {
		t.Errorf("the tare is missing in %d of %d", missing, trials)
	}
	if held < trials*8/10 {
		t.Errorf("%d of %d intervals hold the peak", held, trials)
	}
}
