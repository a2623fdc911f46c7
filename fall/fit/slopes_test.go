package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// The rope of which one direction of the parameters is told least: its columns
// cancel each other to a thousandth.
var (
	slow    = Setting{Mass: 80, Drop: 1.42, Length: 2.6, Gravity: fall.StandardGravity}
	slowLaw = rope.Stiffening{Equilibrium: 8509.5, Branch: 3016.6, Relaxation: 0.2034, Growth: 3.3602}
)

// fitted is a fit of that rope.
func fitted(t *testing.T, rate float64, seed uint64) *Fit {
	t.Helper()
	w := slow.tower(6.97, slowLaw)
	run, err := w.Simulate(fall.Watch{FromContact: true, Until: 4, First: 0.4 / rate, Rate: rate, Accuracy: 1e-8})
	if err != nil {
		t.Fatal(err)
	}
	l := fall.Logger{PreTrigger: 0.3, Noise: 12, FullScale: 20000, Bits: 16}
	samples, err := l.Record(run.Force, rate, seed)
	if err != nil {
		t.Fatal(err)
	}
	f, err := Trace(samples, rate, slow, Stiffening)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// By far finer differences, in the finest simulation: a tenth as wide, one
// parameter at a time, which only that accuracy allows. Along each axis of what
// the data tell, the weakest among them, the force must change as the Jacobian
// says, to a twentieth of the noise.
func TestSlopesInTheWeakestDirection(t *testing.T) {
	f := fitted(t, 2000, 4)
	g := f.fitting
	n, sigma := len(f.found.P), f.from.sigma()
	j := make([]float64, g.n*n)
	g.look(g.n, closely) // the slopes anew, at the minimum itself
	g.jacobian(f.found.P, j)
	steps, shorter := g.axes.steps()
	exact := care{1e-8, 0, true, 0}
	checked, longest := 0, 0.0
	for c, step := range steps {
		sides := [2][]float64{make([]float64, g.n), make([]float64, g.n)}
		for i, side := range []float64{0.1, -0.1} {
			at := append([]float64(nil), f.found.P...)
			for k := range at {
				at[k] += side * step[k]
			}
			g.care = exact
			g.model(at, sides[i])
		}
		out, size := 0.0, 0.0
		for i := range g.n {
			want := (sides[1][i] - sides[0][i]) / 0.2
			got := 0.0
			for k, d := range step {
				got += j[i*n+k] * d
			}
			out, size = math.Hypot(out, got-want), math.Hypot(size, want)
		}
		if !(out < 0.05*stride*sigma) || !(math.Abs(size/(shorter[c]*sigma)-1) < 0.3) {
			t.Errorf("axis %d: slopes are out by %.2g σ in a change of %.2g σ", c, out/sigma, size/sigma)
		}
		for k := range f.Form.terms {
			longest = max(longest, math.Abs(step[k])/stride)
		}
		checked++
	}
	// A standard error of half a hundredth where each column of J alone would tell
	// a ten thousandth.
	if checked != 7 || !(longest > 0.005) {
		t.Errorf("%d axes, the longest %.2g of a logarithm", checked, longest)
	}
}

// A minimum is one: within a hundredth of a standard error by the criterion, and
// half a standard error away along each axis the squares grow by a quarter of
// the variance, ¼·σ²·(1 ± 0.15).
func TestMinimumIsOne(t *testing.T) {
	f := fitted(t, 2000, 5)
	if !(f.Offset <= closely.offset) {
		t.Errorf("offset %.3g", f.Offset)
	}
	g, sigma := f.fitting, f.from.sigma()
	steps, _ := g.axes.steps()
	for c, step := range steps {
		grown := 0.0
		for _, side := range []float64{1, -1} {
			at := append([]float64(nil), f.found.P...)
			for k := range at {
				at[k] += side * step[k]
			}
			grown += (g.misfit(at, g.n) - f.found.S) / 2
		}
		if want := stride * stride * sigma * sigma; !(math.Abs(grown/want-1) < 0.15) {
			t.Errorf("axis %d: squares grow by %.3g of the variance, want %.3g", c, grown/sigma/sigma, stride*stride)
		}
	}
}

// The model's blocks are means of what is simulated sample by sample, the block
// of the contact too: to a thousandth of a newton near it, and to a fortieth of
// the noise of a sample after.
func TestBlocksAreMeans(t *testing.T) {
	const rate, start = 10000.0, 0.30337
	law := rope.Sliding{Stiffening: slowLaw, Contact: 40000, Ease: 40, Friction: 0.2}
	r := &record{setting: slow, rate: rate / 10, by: 10, points: points}
	got := make([]float64, 1500)
	var s fall.Simulator
	if err := r.model(&s, law, 6.97, start, -3, 1e-8, got); err != nil {
		t.Fatal(err)
	}
	first := math.Ceil(start * rate)
	run, err := slow.tower(6.97, law).Simulate(fall.Watch{FromContact: true, Until: 1.3, First: first/rate - start, Rate: rate, Accuracy: 1e-8})
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for b := range got {
		want := -3.0
		for i := b * 10; i < b*10+10; i++ {
			if k := i - int(first); k >= 0 {
				want += run.Force[k] / 10
			}
		}
		limit := 0.3
		if b < 303+closeBy {
			limit = 1e-3
		}
		if checked++; !(math.Abs(got[b]-want) < limit) {
			t.Errorf("block %d is %.6f N, its samples' mean %.6f", b, got[b], want)
		}
	}
	if checked != 1500 || !(got[303] > -2.9) {
		t.Fatalf("%d blocks, the first of the contact %g N", checked, got[303])
	}
}

// Exact algebra: axes of a linear problem are learnt at once, whatever they began
// with, and its Jacobian and covariance come back.
func TestAxesOfALine(t *testing.T) {
	draw := rand.New(rand.NewPCG(1, 2))
	const m, n, sigma = 40, 3, 2.0
	want := make([]float64, m*n)
	for i := range m {
		x := float64(i) / m
		want[i*n], want[i*n+1], want[i*n+2] = 1, x, x+1e-4*draw.NormFloat64() // two alike
	}
	a := newAxes([]float64{1e-3, 1e-3, 1e-3}, []float64{1e9, 1e9, 1e9})
	good := false
	j := make([]float64, m*n)
	for tries := 0; !good && tries < 8; tries++ {
		steps, shorter := a.steps()
		for c, step := range steps {
			for i := range m {
				change := 0.0
				for k, d := range step {
					change += want[i*n+k] * d
				}
				j[i*n+c] = change / shorter[c]
			}
		}
		good = a.jacobian(j, m, sigma, shorter)
	}
	for i, v := range want {
		if math.Abs(j[i]-v) > 1e-9 {
			t.Fatalf("slope %d is %.12g, want %.12g", i, j[i], v)
		}
	}
	c := a.covariance(make([]bool, n), 1)
	for i := range n { // C·J'J = σ²
		for k := range n {
			sum := 0.0
			for l := range n {
				for row := range m {
					sum += c[i][l] * want[row*n+l] * want[row*n+k]
				}
			}
			one := 0.0
			if i == k {
				one = sigma * sigma
			}
			if !good || math.Abs(sum-one) > 1e-5 {
				t.Errorf("C·J'J has %g at %d, %d: want %g", sum, i, k, one)
			}
		}
	}
}
