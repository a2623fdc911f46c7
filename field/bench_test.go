package field_test

import (
	"fmt"
	"slices"
	"syscall"
	"testing"

	"fallwright.example/field"
	"fallwright.example/rope"
)

func BenchmarkCatch(b *testing.B) {
	stiffening := lead()
	stiffening.Rope.Law = rope.Stiffening{Equilibrium: 9000, Growth: 3, Branch: 9000, Relaxation: 0.2}
	for name, c := range map[string]field.Catch{"stiffening": stiffening, "sliding": lead()} {
		for _, accuracy := range []float64{field.Quick, field.Shown, field.Careful} {
			b.Run(fmt.Sprintf("%s/%g", name, accuracy), func(b *testing.B) {
				begun := processor(b)
				for b.Loop() {
					if _, err := c.Simulate(field.Options{Accuracy: accuracy}); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric((processor(b)-begun)/float64(b.N), "cpu-µs/op")
			})
		}
	}
}

// Question: what does a page cost that shows a fall with the rope in two states,
// all seven parameters of the law uncertain, and a sweep of 30 lengths with
// their bands?
func BenchmarkPage(b *testing.B) {
	law := lead().Rope.Law.(rope.Sliding)
	d := field.Doubt{
		Names:  []string{"equilibrium", "branch", "relaxation", "growth", "contact", "ease", "friction"},
		Values: []float64{law.Equilibrium, law.Branch, law.Relaxation, law.Growth, law.Contact, law.Ease, law.Friction},
	}
	for i, v := range d.Values {
		row := make([]float64, len(d.Values))
		row[i] = v * v / 400
		d.Covariance = append(d.Covariance, row)
	}
	d.Make = func(v []float64) (field.Catch, error) {
		c, err := lead(), error(nil)
		c.Rope.Law, err = field.NamedLaw("sliding", v)
		return c, err
	}
	soaked := d
	soaked.Values = slices.Clone(d.Values)
	soaked.Values[6] *= 0.4
	lengths := make([]float64, 30)
	for i := range lengths {
		lengths[i] = 13 + 0.5*float64(i)
	}
	begun := processor(b)
	for b.Loop() {
		for _, state := range []field.Doubt{d, soaked} {
			if _, err := state.Bands(field.Options{Accuracy: field.Shown, Frames: 60}); err != nil {
				b.Fatal(err)
			}
			at := func(v float64) field.Doubt {
				one := state
				one.Make = func(p []float64) (field.Catch, error) {
					c, err := state.Make(p)
					return c.WithRopeOut(v), err
				}
				return one
			}
			for _, s := range field.Sweep(lengths, at, field.Options{Accuracy: field.Quick}) {
				if s.Err != nil {
					b.Fatal(s.Err)
				}
			}
		}
	}
	b.ReportMetric((processor(b)-begun)/float64(b.N)/1000, "cpu-ms/op")
}

// processor is the time in microseconds that this program has had of a
// processor: beside other work the clock says little.
func processor(b *testing.B) float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Sec+u.Stime.Sec)*1e6 + float64(u.Utime.Usec+u.Stime.Usec)
}
