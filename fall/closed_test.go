package fall_test

import (
	"fmt"
	"math"
	"testing"

	"fallwright.example/fall"
)

const g = fall.StandardGravity

// rated is the modulus of the check values: a first fall of 9 kN with 80 kg at
// factor 1.77.
func rated(t *testing.T) float64 {
	t.Helper()
	m, err := fall.ModulusFromPeak(9000, 80, 1.77, g)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// peakByRatedFall is the second route to the peak: scaling a rated fall, without
// a modulus, F = m·g + √((m·g)² + F₀·(F₀ - 2·m₀·g)·(m/m₀)·(f/f₀)).
func peakByRatedFall(mass, factor, peak0, mass0, factor0 float64) float64 {
	w := mass * g
	return w + math.Sqrt(w*w+peak0*(peak0-2*mass0*g)*(mass/mass0)*(factor/factor0))
}

// Source: the table worked from the closed form in another program, one decimal
// of a newton; and the form that scales a rated fall, which is in public use.
// The two share no intermediate number.
func TestPeakTensionTable(t *testing.T) {
	factors := []float64{0.3, 0.5, 1.0, 1.77, 2.0}
	table := map[float64][]string{
		55:  {"3382.6", "4183.4", "5664.6", "7341.6", "7767.4"},
		80:  {"4241.5", "5201.3", "6981.3", "9000.0", "9512.9"},
		100: {"4870.5", "5938.2", "7922.7", "10176.3", "10749.1"},
	}
	modulus, checked := rated(t), 0
	printed(t, "modulus", modulus, "24080.866")
	for mass, row := range table {
		for i, want := range row {
			got, err := fall.PeakTension(mass, factors[i]*2.8, 2.8, modulus, g)
			if err != nil {
				t.Fatal(err)
			}
			printed(t, fmt.Sprintf("%g kg at %g", mass, factors[i]), got, want)
			if other := peakByRatedFall(mass, factors[i], 9000, 80, 1.77); !(math.Abs(got/other-1) < 1e-12) {
				t.Errorf("%g kg at %g: %.10g N, by the rated fall %.10g N", mass, factors[i], got, other)
			}
			checked++
		}
	}
	if checked != 15 {
		t.Fatalf("checked %d, want 15", checked)
	}
}

// Source: as the table's.
func TestModulusFromPeak(t *testing.T) {
	for _, c := range []struct {
		peak, factor float64
		want         string
	}{{8500, 1.77, "21212.75"}, {9000, 4.8 / 2.8, "24863.49"}, {9000, 5 / 2.8, "23868.95"}} {
		got, err := fall.ModulusFromPeak(c.peak, 80, c.factor, g)
		if err != nil {
			t.Fatal(err)
		}
		printed(t, fmt.Sprintf("modulus from %g N at %g", c.peak, c.factor), got, c.want)
	}
	for _, c := range []struct {
		modulus      float64
		peak, strain string
	}{
		{10000, "6112.6", "0.611"},
		{15000, "7286.4", "0.486"},
		{20000, "8278.6", "0.414"},
		{25000, "9153.9", "0.366"},
		{30000, "9946.0", "0.332"},
	} {
		got, err := fall.PeakTension(80, 1.77, 1, c.modulus, g)
		if err != nil {
			t.Fatal(err)
		}
		printed(t, fmt.Sprintf("peak at %g N", c.modulus), got, c.peak)
		printed(t, fmt.Sprintf("strain at %g N", c.modulus), got/c.modulus, c.strain)
	}
}

// Source: as the table's; the elasticities also by central difference.
func TestElasticityAndTarget(t *testing.T) {
	modulus := rated(t)
	toFactor, toMass, err := fall.Elasticity(9000, 80, g)
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "elasticity to factor", toFactor, "0.452")
	printed(t, "elasticity to mass", toMass, "0.548")
	slope := func(peak func(share float64) (float64, error)) float64 {
		up, err1 := peak(1 + 1e-5)
		down, err2 := peak(1 - 1e-5)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		return math.Log(up/down) / math.Log((1+1e-5)/(1-1e-5))
	}
	// A central difference over 1e-5 is good to 1e-10 and its rounding to 1e-11.
	byFactor := slope(func(s float64) (float64, error) { return fall.PeakTension(80, 1.77*s, 1, modulus, g) })
	byMass := slope(func(s float64) (float64, error) { return fall.PeakTension(80*s, 1.77, 1, modulus, g) })
	if !(math.Abs(byFactor-toFactor) < 1e-8 && math.Abs(byMass-toMass) < 1e-8) {
		t.Errorf("elasticities %.9f %.9f, by difference %.9f %.9f", toFactor, toMass, byFactor, byMass)
	}
	f, err := fall.FactorForPeak(6000, 80, modulus, g)
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "factor for 6 kN", f, "0.703613")
	printed(t, "height on 2.8 m", f*2.8, "1.97012")
}

// Source: the oscillator's solution, worked by hand in Arrest's comment, to the
// digits of the check values; and PeakTension, which comes from energy instead.
func TestArrest(t *testing.T) {
	a, err := fall.Arrest(80, 4.8, 2.8, 20000, g)
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "impact speed", a.ImpactSpeed, "9.702775")
	printed(t, "largest stretch", a.MaxStretch, "1.142537")
	printed(t, "peak", a.Peak, "8160.979")
	printed(t, "time to peak", a.TimeToPeak, "0.177514")
	printed(t, "contact", a.Contact, "0.355029")
	checked := 0
	for _, mass := range []float64{1, 55, 120} {
		for _, height := range []float64{0, 0.1, 1, 5} {
			for _, modulus := range []float64{500, 2e4, 1e6} {
				a, err1 := fall.Arrest(mass, height, 2.8, modulus, g)
				peak, err2 := fall.PeakTension(mass, height, 2.8, modulus, g)
				if err1 != nil || err2 != nil {
					t.Fatal(err1, err2)
				}
				if !(math.Abs(a.Peak/peak-1) < 1e-13) {
					t.Errorf("%g kg, %g m, %g N: %.15g by motion, %.15g by energy", mass, height, modulus, a.Peak, peak)
				}
				checked++
			}
		}
	}
	if checked != 36 {
		t.Fatalf("checked %d, want 36", checked)
	}
}

// Two laws of the formula: no fall gives twice the weight, and height and length
// act by their ratio only.
func TestPeakTensionLaws(t *testing.T) {
	none, err := fall.PeakTension(80, 0, 2.8, 20000, g)
	if err != nil || !(math.Abs(none-2*80*g) < 1e-12) {
		t.Errorf("no fall: %g N, %v; want twice the weight, %g", none, err, 2*80*g)
	}
	short, _ := fall.PeakTension(80, 1.5, 2, 20000, g)
	long, _ := fall.PeakTension(80, 6, 8, 20000, g)
	if short != long {
		t.Errorf("one factor, two peaks: %g and %g N", short, long)
	}
}

// Source: the closed form evaluated in another program and checked there against
// direct evaluation of the force; seven decimals.
func TestKelvinVoigtPeak(t *testing.T) {
	for _, c := range []struct {
		zeta float64
		want string
	}{
		{0, "1.0000000"},
		{0.05, "0.9313449"},
		{0.1, "0.8801443"},
		{0.2, "0.8209185"},
		{0.3, "0.8134032"},
		{0.4, "0.8635101"},
		{0.49, "0.9807793"},
		{0.2649, "0.8101248"},
		{0.5, "1.0000000"},
		{0.55, "1.1000000"},
		{0.8, "1.6000000"},
	} {
		got, err := fall.KelvinVoigtPeak(c.zeta)
		if err != nil {
			t.Fatal(err)
		}
		printed(t, fmt.Sprintf("ratio at %g", c.zeta), got, c.want)
	}
	least := math.Inf(1)
	at := 0.0
	for z := 0.2; z < 0.35; z += 1e-4 {
		if r, _ := fall.KelvinVoigtPeak(z); r < least {
			least, at = r, z
		}
	}
	printed(t, "least ratio", least, "0.8101248")
	printed(t, "its damping", at, "0.2649")
}

func TestClosedFormRefusals(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	one := func(v float64, err error) error { return err }
	_, _, elasticity := fall.Elasticity(1000, 80, g)
	_, arrest := fall.Arrest(80, -0.1, 1, 1, g)
	for _, c := range []struct {
		err  error
		want string
	}{
		{one(fall.PeakTension(-3, 1, 1, 1, g)), "mass: -3 kg, must be a number above 0 kg"},
		{one(fall.PeakTension(80, nan, 1, 1, g)), "height: NaN m, must be 0 m or more"},
		{one(fall.PeakTension(80, 1, 0, 1, g)), "length: 0 m, must be a number above 0 m"},
		{one(fall.PeakTension(80, 1, 1, inf, g)), "modulus: +Inf N, must be a number above 0 N"},
		{one(fall.PeakTension(80, 1, 1, 1, 0)), "gravity: 0 m/s2, must be a number above 0 m/s2"},
		{one(fall.ModulusFromPeak(9000, 80, 0, g)), "fall factor: 0, must be a number above 0"},
		{
			one(fall.ModulusFromPeak(1569.06, 80, 1, g)),
			"peak: 1569.06 N is not above 1569.06 N, twice the weight of the mass, the least a falling mass pulls on a spring",
		},
		{
			one(fall.FactorForPeak(1000, 80, 20000, g)),
			"peak: 1000 N is not above 1569.06 N, twice the weight of the mass, the least a falling mass pulls on a spring",
		},
		{elasticity, "peak: 1000 N is not above 1569.06 N, twice the weight of the mass, the least a falling mass pulls on a spring"},
		{arrest, "height: -0.1 m, must be 0 m or more"},
		{one(fall.KelvinVoigtPeak(-0.1)), "damping ratio: -0.1, must be 0 or more"},
	} {
		if c.err == nil || c.err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", c.err, c.want)
		}
	}
}
