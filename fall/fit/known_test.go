package fit_test

import (
	"math"
	"reflect"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/fall/fit"
	"fallwright.example/field"
	"fallwright.example/rope"
)

// What a fit hands on is what package field takes: names in its order, values
// that make the same law, a covariance in natural units whose roots are the
// standard errors, and a range that the fall reached.
func TestKnownIsWhatFieldTakes(t *testing.T) {
	s := setting
	s.FirstContact = true
	checked := 0
	for name, law := range map[string]rope.Law{
		"linear": rope.Linear{Modulus: 14000}, "kelvin-voigt": rope.KelvinVoigt{Modulus: 14000, Viscosity: 500},
		"zener": rope.Zener{Equilibrium: 6000, Branch: 8000, Relaxation: 0.15}, "stiffening": fresh, "sliding": slippery,
	} {
		form, err := fit.FormOf(name)
		if err != nil {
			t.Fatal(err)
		}
		f, err := fit.Trace(recorded(t, law, s, 6, 12, 2000, 3), 2000, s, form)
		if err != nil {
			t.Fatal(err)
		}
		k := f.Known()
		parameters, err := field.LawParameters(k.Law)
		if err != nil || k.Law != name || len(parameters) != len(k.Names) {
			t.Fatalf("%s: %s of %d parameters, %v", name, k.Law, len(k.Names), err)
		}
		for i, p := range parameters {
			own := f.Parameters[i]
			if p.Name != k.Names[i] || p.Unit != k.Units[i] || k.Values[i] != own.Value || !(math.Abs(math.Sqrt(k.Covariance[i][i])/own.SE-1) < 1e-9) {
				t.Errorf("%s: %s %s is %g ± %g; the fit has %v", name, k.Names[i], k.Units[i], k.Values[i], math.Sqrt(k.Covariance[i][i]), own)
			}
			for j := range k.Covariance[i] {
				if k.Covariance[i][j] != k.Covariance[j][i] {
					t.Errorf("%s: covariance %g and %g", name, k.Covariance[i][j], k.Covariance[j][i])
				}
			}
			checked++
		}
		if made, err := field.NamedLaw(k.Law, k.Values); err != nil || !reflect.DeepEqual(made, f.Law) {
			t.Errorf("%s: %v is made of it, the fit has %v, %v", name, made, f.Law, err)
		}
		// The speed at the rope over its length; guide friction of some newtons
		// takes less than a hundredth of it.
		speed := math.Sqrt(2*fall.StandardGravity*s.Drop) / s.Length
		if !(math.Abs(k.Fitted.Rate/speed-1) < 0.03) || math.Abs(k.Fitted.Force/f.Peak-1) > 1e-12 || math.Abs(k.Fitted.Strain*s.Length/f.Stretch-1) > 1e-12 {
			t.Errorf("%s: fitted over %+v; peak %g, stretch %g, speed %g", name, k.Fitted, f.Peak, f.Stretch, speed)
		}
	}
	if checked != 17 {
		t.Fatalf("%d parameters", checked)
	}
}

// The covariance is one: what the law foretells of its own peak has, by it, the
// error that many traces of the same rope show. 16 traces know a spread to 18 %:
// three of these.
func TestCovarianceForetellsScatter(t *testing.T) {
	s := setting
	s.FirstContact = true
	const of = 16
	peaks, foretold := []float64{}, 0.0
	truth := []float64{7000, 6000, 0.15}
	for i := range of {
		f, err := fit.Trace(recorded(t, rope.Zener{Equilibrium: truth[0], Branch: truth[1], Relaxation: truth[2]}, s, 6, 12, 2000, uint64(200+i)), 2000, s, fit.Zener)
		if err != nil {
			t.Fatal(err)
		}
		// A number that all parameters move: what the rope pulls at a strain of
		// 0.3 reached in the relaxation time, E₁·ε + E₂·ε·(1 − 1/e).
		k := f.Known()
		at := 0.3
		share := 1 - 1/math.E
		peaks = append(peaks, at*(k.Values[0]+share*k.Values[1]))
		g := []float64{at, at * share, 0}
		for a := range g {
			for b := range g {
				foretold += g[a] * k.Covariance[a][b] * g[b] / of
			}
		}
	}
	mean, square := 0.0, 0.0
	for _, v := range peaks {
		mean += v / of
	}
	for _, v := range peaks {
		square += (v - mean) * (v - mean) / (of - 1)
	}
	if ratio := math.Sqrt(square / foretold); !(ratio > 0.46 && ratio < 1.54) {
		t.Errorf("scatter %.3g N, foretold %.3g N", math.Sqrt(square), math.Sqrt(foretold))
	}
}
