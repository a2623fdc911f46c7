package dsp

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fallwright.example/internal/near"
)

// What filtering does to a half-sine pulse: share of the peak kept. Values
// from the same formula applied at 10 kHz by an independent program, printed to
// five digits (seven where given). Tolerance: half a unit of the last.
func TestPeakKept(t *testing.T) {
	checked := 0
	for _, c := range []struct {
		class    int
		duration float64
		want     float64
		tol      float64
	}{
		{30, 0.020, 0.95073, 0.5001e-5},
		{30, 0.050, 0.99936, 0.5001e-5},
		{30, 0.200, 0.9999974, 0.5001e-7},
		{60, 0.020, 0.99918, 0.5001e-5},
		{60, 0.050, 0.99996, 0.5001e-5},
		{60, 0.200, 1, 1e-6},
		{180, 0.020, 0.99998, 0.5001e-5},
	} {
		const rate = 10e3
		f := design(c.class, rate)
		x := make([]float64, 6000)
		for i := range x {
			if s := (float64(i) - 2000) / rate; s >= 0 && s <= c.duration {
				x[i] = math.Sin(math.Pi * s / c.duration)
			}
		}
		got := slices.Max(f.Phaseless(x, f.Padding()))
		if !near.Abs(got, c.want, c.tol) {
			t.Errorf("CFC %d keeps %.7f of a %g s half-sine, want %.7f", c.class, got, c.duration, c.want)
		}
		checked++
	}
	if checked != 7 {
		t.Fatal(checked)
	}
}

// Constants come back exactly, on any padding and rate.
func TestConstantsPassExactly(t *testing.T) {
	for _, class := range Classes() {
		f := design(class, 1234567.8)
		for _, pad := range []int{0, 1, 20, 1000} {
			for i, v := range f.Phaseless(slices.Repeat([]float64{812.7}, 50), pad) {
				if v != 812.7 {
					t.Fatalf("CFC %d: a constant moved by %g at %d", class, v-812.7, i)
				}
			}
		}
	}
}

// A straight line comes back to rounding with Padding, and with less of it to
// the bound of the doc comment, |slope|·τ·e^(−pad/(τ·fs)). The bound is no
// slack one: somewhere more than a fifth of it is reached.
func TestLinesPass(t *testing.T) {
	const n, slope = 4000, 700.0 // per second
	checked := 0
	for _, class := range Classes() {
		rate := 60 * float64(class)
		f := design(class, rate)
		line := make([]float64, n)
		for i := range line {
			line[i] = 1500 - slope*float64(i)/rate
		}
		worst := func(pad int) float64 {
			most := 0.0
			for i, v := range f.Phaseless(line, pad) {
				most = max(most, math.Abs(v-line[i]))
			}
			return most
		}
		if off := worst(f.Padding()); off > 2e-12*1500 {
			t.Errorf("CFC %d: a line moved by %g", class, off)
		}
		tau := f.DecayTime()
		for _, times := range []float64{0, 1, 3, 5, 10} {
			pad := int(times * tau * rate)
			bound := slope * tau * math.Exp(-float64(pad)/(tau*rate))
			// 5 % for the difference between samples and continuous time.
			if off := worst(pad); off > 1.05*bound || off < 0.2*bound {
				t.Errorf("CFC %d, padding %d: a line moved by %g, the bound is %g", class, pad, off, bound)
			}
			checked++
		}
	}
	if checked != 20 {
		t.Fatal(checked)
	}
}

func bumpy(n int) []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float64, n)
	for i := range x {
		x[i] = 3000*math.Exp(-math.Pow((float64(i)-400)/60, 2)) + 50*r.NormFloat64() + 200
	}
	return x
}

// Time can be turned round, everywhere: the ends are treated alike. Values and
// offsets scale through. The input stays, and may be the output.
func TestPhaselessLaws(t *testing.T) {
	f := design(60, 2000)
	const span = 3500.0
	x := bumpy(1200)
	before := slices.Clone(x)
	pad := f.Padding()
	forth := f.Phaseless(x, pad)
	if !slices.Equal(before, x) {
		t.Error("the input was changed")
	}
	slices.Reverse(x)
	back := f.Phaseless(x, pad)
	slices.Reverse(x)
	slices.Reverse(back)
	scaled, shifted := slices.Clone(x), slices.Clone(x)
	for i := range x {
		scaled[i] *= -8 // a power of two: no rounding of its own
		shifted[i] += 1024
	}
	f.PhaselessInto(scaled, scaled, pad)
	f.PhaselessInto(shifted, shifted, pad)
	for i, v := range forth {
		switch {
		case !near.Abs(back[i], v, 1e-13*span):
			t.Fatalf("turned round in time the result differs by %g at %d", back[i]-v, i)
		case scaled[i] != -8*v:
			t.Fatalf("eight times the other way differs by %g at %d", scaled[i]+8*v, i)
		case !near.Abs(shifted[i], v+1024, 1e-13*span):
			t.Fatalf("shifted by 1024 it differs by %g at %d", shifted[i]-v-1024, i)
		}
	}
}

// Two signals added come out as their two results added, and a single sample's
// result sums to it: unit gain for what is slow.
func TestPhaselessIsLinear(t *testing.T) {
	f := design(180, 10e3)
	pad := f.Padding()
	x, one := bumpy(1200), make([]float64, 1200)
	one[600] = 500
	both := slices.Clone(x)
	for i := range both {
		both[i] += one[i]
	}
	fx, fone, fboth := f.Phaseless(x, pad), f.Phaseless(one, pad), f.Phaseless(both, pad)
	sum := 0.0
	for i := range fboth {
		sum += fone[i]
		if !near.Abs(fboth[i], fx[i]+fone[i], 1e-12*3500) {
			t.Fatalf("the sum differs by %g at %d", fboth[i]-fx[i]-fone[i], i)
		}
	}
	if !near.Rel(sum, 500, 1e-11) {
		t.Errorf("a sample of 500 came out as %.15g in all", sum)
	}
	// Symmetric about its place, as only a filter without phase shift is.
	for k := range 300 {
		if !near.Abs(fone[600-k], fone[600+k], 1e-12*500) {
			t.Fatalf("%g before and %g after, %d samples away", fone[600-k], fone[600+k], k)
		}
	}
}

// Long signals are filtered in two halves at once. The result is that of one
// pass after the other, both ways, for even and odd lengths about the shortest
// that is long enough, in place or not.
func TestHalvesAtOnceAreOnePass(t *testing.T) {
	f := design(180, 5000)
	lead := int(math.Ceil(settled * f.DecayTime() * f.rate))
	halved := 0
	for _, n := range []int{4*lead - 1, 4 * lead, 4*lead + 1, 2000, 2001} {
		x := bumpy(n)
		s := state{base: x[n/3]}
		for _, way := range []int{ahead, back} {
			want, got, inPlace := make([]float64, n), make([]float64, n), slices.Clone(x)
			end := f.run(want, x, way, s)
			for _, dst := range [][]float64{got, inPlace} {
				src := x
				if &dst[0] == &inPlace[0] {
					src = dst
				}
				if last := f.long(dst, src, way, s); !near.Abs(last.y1, end.y1, 1e-12*3500) || !near.Abs(last.x2, end.x2, 1e-12*3500) {
					t.Fatalf("%d samples, way %d: the state after is %+v, want %+v", n, way, last, end)
				}
				for i := range want {
					if !near.Abs(dst[i], want[i], 1e-13*3500) {
						t.Fatalf("%d samples, way %d: %.15g at %d, want %.15g", n, way, dst[i], i, want[i])
					}
				}
			}
			if !slices.Equal(got, inPlace) {
				t.Errorf("%d samples: in place the result differs", n)
			}
			if !slices.Equal(got, want) {
				halved++
			}
		}
	}
	if halved < 4 {
		t.Fatalf("%d of 10 passes were made in halves", halved)
	}
}

// Both branches of the padding: 40 decay times, and 10 ms where that is longer.
func TestPadding(t *testing.T) {
	for _, c := range []struct {
		class int
		want  float64 // seconds: 40·√2/(2π·CFC·2.0775) by hand, or 0.010
	}{{60, 0.0722275}, {180, 0.0240758}, {600, 0.010}, {1000, 0.010}} {
		f := design(c.class, 1e6)
		if got := float64(f.Padding()) / 1e6; !near.Abs(got, c.want, 1.1e-6) {
			t.Errorf("CFC %d: padding of %g s, want %g", c.class, got, c.want)
		}
	}
	if got := (CFC{}).Phaseless(nil, 5); got != nil {
		t.Error("no samples became some")
	}
}

// Figure and peer: docs/METHODS.md, "Speed".
func BenchmarkPhaseless5Million(b *testing.B) {
	f := design(60, 10e3)
	x := make([]float64, 5_000_000)
	for i := range x {
		x[i] = math.Sin(float64(i) / 700)
	}
	b.SetBytes(8 * 5e6)
	b.ReportAllocs()
	for b.Loop() {
		f.Phaseless(x, f.Padding())
	}
}

func BenchmarkPhaselessInto5Million(b *testing.B) {
	f := design(60, 10e3)
	x := bumpy(5_000_000)
	b.SetBytes(8 * 5e6)
	b.ReportAllocs()
	for b.Loop() {
		f.PhaselessInto(x, x, f.Padding())
	}
}
