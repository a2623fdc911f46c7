package lmm_test

import (
	"flag"
	"fmt"
	"testing"

	"fallwright.example/num/lmm"
)

var rates = flag.Int("rates", 0, "invented drop tests a row of the table of error rates; 0: no table")

// The table of docs/METHODS.md, "Mixed models":
//
//	go test ./num/lmm -run TestErrorRates -rates 4000 -v
//
// 6 conditions, some specimens each, 5 falls; no true difference, which is no
// loss: adding any effect to X moves estimates and truth alike and nothing else.
func TestErrorRates(t *testing.T) {
	if *rates == 0 {
		t.Skip("the table of error rates is not made: give -rates 4000")
	}
	for _, c := range []struct {
		specimens int
		between   float64
	}{{3, 200}, {3, 100}, {3, 50}, {3, 0}, {2, 100}, {5, 100}} {
		r := rateOf(t, *rates, c.specimens, c.between)
		for _, by := range []lmm.DF{lmm.KenwardRoger, lmm.Satterthwaite} {
			fmt.Printf("| %d | %g | %v | %.1f | %.1f | %.1f | %.1f | %.0f |\n", c.specimens, c.between/100, by,
				100*r[by].average, 100*r[by].single, 100*r[by].condition, 100*r[by].interaction, 100*r[by].zero)
		}
	}
}

type rate struct{ average, single, condition, interaction, zero float64 }

func rateOf(t *testing.T, tests, specimens int, between float64) [2]rate {
	t.Helper()
	m, d := drops(1, 6, specimens, 5, between, 100)
	base := fitted(t, m)
	at := func(c, fall string) []float64 {
		levels := map[string]string{"condition": c}
		if fall != "" {
			levels["fall"] = fall
		}
		return row(t, d, levels)
	}
	contrasts := [][]float64{lmm.Difference(at("c1", ""), at("c0", "")), lmm.Difference(at("c1", "1"), at("c0", "1"))}
	condition, _ := d.Test("condition")
	interaction, _ := d.Test("condition:fall")
	var out [2]rate
	for i := range tests {
		m, _ := drops(uint64(100000+i), 6, specimens, 5, between, 100)
		f, err := base.Refit(m.Y)
		if err != nil {
			t.Fatal(err)
		}
		for by := range out {
			set, err := f.Contrasts(contrasts, lmm.DF(by))
			if err != nil {
				t.Fatal(err)
			}
			a, err := f.FTest(condition, lmm.DF(by))
			if err != nil {
				t.Fatal(err)
			}
			b, err := f.FTest(interaction, lmm.DF(by))
			if err != nil {
				t.Fatal(err)
			}
			add := func(to *float64, yes bool) {
				if yes {
					*to += 1 / float64(tests)
				}
			}
			add(&out[by].average, set.Each[0].P >= 0.05)
			add(&out[by].single, set.Each[1].P >= 0.05)
			add(&out[by].condition, a.P < 0.05)
			add(&out[by].interaction, b.P < 0.05)
			add(&out[by].zero, len(f.Record.Boundary) > 0)
		}
	}
	return out
}
