package fit

import (
	"cmp"
	"math"
	"slices"

	"fallwright.example/fall"
)

// beginnings is how many starts are followed to their minimum.
const beginnings = 3

// starts are the parameters to begin from: laws of the form's grid, each made as
// stiff as the peak asks, those nearest to the first contact first.
func (f *fitting) starts() [][]float64 {
	r := f.record
	type start struct {
		p   []float64
		out float64
	}
	var all []start
	out := make([]float64, r.end)
	f.look(r.end, roughly)
	for _, shares := range f.form.tries() {
		own, ok := f.asStiff(shares)
		if !ok {
			continue
		}
		p := make([]float64, 0, len(own)+nuisances)
		for _, v := range own {
			p = append(p, math.Log(v))
		}
		p = append(p, 0.005*r.setting.Mass*r.setting.Gravity, r.start, r.zero)
		f.model(p, out)
		sum := 0.0
		for i, v := range out {
			sum += (r.force[i] - v) * (r.force[i] - v)
		}
		if !math.IsNaN(sum) {
			all = append(all, start{p, sum})
		}
	}
	slices.SortStableFunc(all, func(a, b start) int { return cmp.Compare(a.out, b.out) })
	var nearest [][]float64
	for _, s := range all[:min(len(all), beginnings)] {
		nearest = append(nearest, s.p)
	}
	return nearest
}

// asStiff scales the moduli of a law until it pulls as much as the trace: the
// peak goes about as the root of the modulus.
func (f *fitting) asStiff(shares []float64) ([]float64, bool) {
	r := f.record
	grip := r.setting.Edge.Ratio()
	by := 8000.0
	for range 6 {
		p := f.form.scaled(shares, by)
		run, err := f.simulator.Simulate(r.setting.tower(0, f.form.build(p)), fall.Watch{FromContact: true, Until: 3, Accuracy: 1e-3})
		if err != nil || !(run.Peak > 0) {
			return nil, false
		}
		ratio := r.peak * grip / run.Peak
		if math.Abs(ratio-1) < 0.01 {
			return p, true
		}
		by *= math.Pow(ratio, 1.8)
	}
	return f.form.scaled(shares, by), true
}
