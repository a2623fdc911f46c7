package compare

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// invented is a drop test of conditions, specimens each and falls, in kN.
func invented(conditions, specimens, falls int, seed uint64) Data {
	random := rand.New(rand.NewPCG(seed, 1))
	var d Data
	for c := range conditions {
		for s := range specimens {
			own := 0.2 * random.NormFloat64()
			for f := range falls {
				d.Value = append(d.Value, 8+0.25*float64(f)+0.1*float64(c)+own+0.1*random.NormFloat64())
				d.Specimen = append(d.Specimen, fmt.Sprintf("%d-%d", c+1, s+1))
				d.Condition = append(d.Condition, fmt.Sprint("c", c+1))
				d.Fall = append(d.Fall, FallNumber(f+1))
			}
		}
	}
	return d
}

func BenchmarkAnalyse(b *testing.B) {
	for _, c := range []struct {
		name    string
		missing bool
		ask     Ask
	}{
		{"90 rows", false, Ask{Margin: Margin{Share: 0.05}}},
		{"89 rows", true, Ask{Margin: Margin{Share: 0.05}}},
		{"89 rows log", true, Ask{Scale: Log, Margin: Margin{Share: 0.05}}},
		{"trend per specimen", true, Ask{FallsAs: TrendPerSpecimen, Margin: Margin{Share: 0.05}}},
		{"joint", false, Ask{Adjust: Joint, Margin: Margin{Share: 0.05}}},
		{"joint 89", true, Ask{Adjust: Joint, Margin: Margin{Share: 0.05}}},
		{"joint each fall", true, Ask{Adjust: Joint, EachFall: true, Margin: Margin{Share: 0.05}}},
	} {
		d := invented(6, 3, 5, 7)
		if c.missing {
			d.Value, d.Specimen, d.Condition, d.Fall = d.Value[1:], d.Specimen[1:], d.Condition[1:], d.Fall[1:]
		}
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Analyse(d, c.ask); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
