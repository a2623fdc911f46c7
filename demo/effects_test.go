package demo

import (
	"math"
	"testing"

	"fallwright.example/fall"
	"fallwright.example/rope"
)

// truth is the fall of a rope without scatter.
func truth(t *testing.T, l rope.Law) *fall.Run {
	t.Helper()
	run, err := tower(l).Simulate(fall.Watch{FromContact: true, Until: afterContact, Rate: sampleRate})
	if err != nil {
		t.Fatal(err)
	}
	return run
}

// What the invented numbers come to, printed with -v, and held within what the
// study's story says. No source: it is a story.
func TestEffects(t *testing.T) {
	within := func(what string, got, low, high float64) {
		t.Helper()
		if !(got >= low && got <= high) {
			t.Errorf("%s is %.4g, the story says %g to %g", what, got, low, high)
		}
	}
	percent := func(a, b *fall.Run) float64 { return 100 * (a.Peak/b.Peak - 1) }
	for _, lot := range []string{Marram, Samphire} {
		var dry, soaked, dried [Falls + 1]*fall.Run
		for n := 1; n <= Falls; n++ {
			dry[n], soaked[n], dried[n] = truth(t, law(lot, Dry, n)), truth(t, law(lot, Soaked, n)), truth(t, law(lot, Dried, n))
			for _, r := range []*fall.Run{dry[n], soaked[n], dried[n]} {
				t.Logf("%-20s fall %d: peak %.0f N (%+.1f %%) at %.3f s, stretch %.2f m, absorbed %.0f of %.0f J, rebound %.2f m/s, bounces %.0f, at the end %.0f N",
					lot, n, r.Peak, percent(r, dry[n]), r.TimeToPeak, r.MaxStretch, r.EnergyAbsorbed, r.EnergyIn, r.ReboundSpeed, r.BouncePeaks(), r.Force[len(r.Force)-1])
				within("peak in kN", r.Peak/1000, 3.3, 4.3)
				within("share absorbed", r.EnergyAbsorbed/r.EnergyIn, 0.5, 0.7)
			}
			within("dried, %", percent(dried[n], dry[n]), 2.5, 3.5)
			within("rebound, soaked over dry", soaked[n].ReboundSpeed/dry[n].ReboundSpeed, 1.03, 1.2)
		}
		within("falls 1 to 5, dry, %", percent(dry[5], dry[1]), 10, 12.5)
		within("soaked, first fall, %", percent(soaked[1], dry[1]), 1, 2)
		fifth := map[string]float64{Marram: 10, Samphire: 9}[lot]
		within("soaked, fifth fall, %", percent(soaked[5], dry[5]), fifth-0.7, fifth+0.7)
	}
	for n := 1; n <= Falls; n++ {
		within("treatment, dry, %", percent(truth(t, law(Samphire, Dry, n)), truth(t, law(Marram, Dry, n))), 0.3, 0.8)
	}
	// One standard deviation of modulus either way, as per cent of the peak.
	scatter := func(deviation float64) float64 {
		up, down := law(Marram, Dry, 3), law(Marram, Dry, 3)
		for l, by := range map[*rope.Stiffening]float64{&up: math.Exp(deviation), &down: math.Exp(-deviation)} {
			l.Equilibrium *= by
			l.Branch *= by
		}
		return percent(truth(t, up), truth(t, down)) / 2
	}
	within("between specimens, %", scatter(specimenScatter), 1.1, 1.3)
	within("fall to fall, %", scatter(fallScatter), 0.7, 0.9)
}
