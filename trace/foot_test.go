package trace

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A force that jumps by J and climbs with s from there, in means of 7 samples: its
// beginning is found to half an interval, since the jump may be anywhere between two
// samples; a flank without a jump to a tenth, since its integral is exact but for
// the trapezoids.
func TestBlurredCrossing(t *testing.T) {
	const dt, half = 1e-3, 3
	checked := 0
	for _, jump := range []float64{0, 200, 3000} {
		for _, slope := range []float64{0, 30e3, 90e3} { // N/s
			if jump == 0 && slope == 0 {
				continue
			}
			for _, begin := range []float64{0.0401, 0.0405, 0.0409} {
				for _, step := range []int{1, -1} {
					time, force := make([]float64, 100), make([]float64, 100)
					for i := range time {
						time[i] = float64(i) * dt
						at := time[i]
						if step < 0 {
							at = 0.099 - at
						}
						if at >= begin {
							force[i] = jump + slope*(at-begin)
						}
					}
					calm, edge := runningMean(force, half), 0
					for k := range calm {
						if edge = k; step < 0 {
							edge = len(calm) - 1 - k
						}
						if calm[edge] > 5 {
							break
						}
					}
					at, ok := blurredCrossing(time, calm, edge, step, (half+0.5)*dt)
					if step < 0 {
						at = 0.099 - at
					}
					tol := 0.55 * dt
					if jump == 0 {
						tol = 0.15 * dt
					}
					if !ok || math.Abs(at-begin) > tol {
						t.Errorf("jump %g N, slope %g N/s, step %d: begins at %.5f s, found %.5f, %v", jump, slope, step, begin, at, ok)
					}
					checked++
				}
			}
		}
	}
	if checked != 8*6 {
		t.Fatalf("%d checked", checked)
	}
}

// What is stated of both ends of a contact is what they do: 100 falls of a rope
// without a jump, 0.5 % noise. 100 draws know a standard deviation to 7 %; noise also
// chooses the samples of the foot, so 25 %.
func TestEndsScatterAsStated(t *testing.T) {
	f := refine(zener(10e3, 15e3, 0.1), 2.4)
	log := logger{rate: 5000, noise: 35, offset: 12, lead: 0.3, seconds: 2.2}
	const trials = 100
	var starts, ends [trials]float64
	stated := [2]float64{}
	for k := range trials {
		rng, phase := rand.New(rand.NewPCG(9, uint64(k))), rand.New(rand.NewPCG(9, uint64(k))).Float64()/log.rate
		tk := &take{rec: log.measure(f, 0, rng), set: Settings{Mass: refMass, Drop: refDrop}}
		r, _, err := tk.all()
		if err != nil {
			t.Fatal(err)
		}
		starts[k], ends[k] = r.Contacts[0].Start+phase, r.Contacts[0].End+phase
		c := tk.course(max(1, (r.Contacts[0].To-r.Contacts[0].From)/courseMost))
		u := tk.edgeDoubt(c)
		stated[0], stated[1] = stated[0]+u[0]/trials, stated[1]+u[1]/trials
	}
	for k, x := range [][]float64{starts[:], ends[:]} {
		d := deviation(x, mean(x))
		within(t, []string{"start", "end"}[k], Value(stated[k]), d, 0.25*d)
	}
}

// The sensitivity of the secant stiffness to the cell is the fall's, not the noise's:
// within 20 % in ten noisy traces at 50 kHz.
func TestSensitivityIsNotNoise(t *testing.T) {
	f := refine(kelvinVoigt(20e3, 0.2), 2.4)
	log := logger{rate: 50e3, noise: 65, offset: 200, lead: 0.3, seconds: 2.2}
	least, most := math.Inf(1), 0.0
	for k := range 10 {
		r, _, err := Take(log.measure(f, 0, rand.New(rand.NewPCG(3, uint64(k)))), Settings{Mass: refMass, Drop: refDrop, Doubt: Doubt{Cell: 0.005}, Class: 180})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range r.Uncertainty["secant_stiffness_Npm"].Budget {
			if s.Source == "cell" {
				least, most = min(least, s.Part), max(most, s.Part)
			}
		}
	}
	if !(most < 1.2*least) {
		t.Errorf("the cell's part runs from %g to %g", least, most)
	}
}
