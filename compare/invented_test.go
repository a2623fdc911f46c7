package compare

import (
	"math"
	"math/rand/v2"
	"testing"
)

// normalValues is n values, evenly spread, of exactly this mean and SD.
func normalValues(n int, mean, sd float64) []float64 {
	out := make([]float64, n)
	squares := 0.0
	for i := range out {
		out[i] = float64(i) - float64(n-1)/2
		squares += out[i] * out[i]
	}
	for i := range out {
		out[i] = mean + sd*out[i]*math.Sqrt(float64(n-1)/squares)
	}
	return out
}

// lognormalValues is n values of exactly this geometric mean and SD of logarithms.
func lognormalValues(n int, mean, sd float64) []float64 {
	out := normalValues(n, math.Log(mean), sd)
	for i := range out {
		out[i] = math.Exp(out[i])
	}
	return out
}

// add appends a specimen's values at falls from 1; NaN is no row.
func (d *Data) add(condition, specimen string, values ...float64) {
	for i, v := range values {
		if math.IsNaN(v) {
			continue
		}
		d.Value = append(d.Value, v)
		d.Condition = append(d.Condition, condition)
		d.Specimen = append(d.Specimen, specimen)
		d.Fall = append(d.Fall, FallNumber(i+1))
	}
}

// column gives each row the name that of gives its specimen.
func (d *Data) columnOf(name string, of func(specimen string) string) {
	c := Column{Name: name}
	for _, s := range d.Specimen {
		c.Value = append(c.Value, of(s))
	}
	d.Columns = append(d.Columns, c)
}

// group appends one value a row, without specimens.
func (d *Data) group(condition string, values ...float64) {
	for _, v := range values {
		d.Value = append(d.Value, v)
		d.Condition = append(d.Condition, condition)
	}
}

func analysed(t *testing.T, d Data, ask Ask) *Analysis {
	t.Helper()
	a, err := Analyse(d, ask)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func answers(t *testing.T, a *Analysis, questions ...Question) []Answer {
	t.Helper()
	out, err := a.Put(questions)
	if err != nil {
		t.Fatal(err)
	}
	if len(out) != len(questions) {
		t.Fatalf("%d answers to %d questions", len(out), len(questions))
	}
	return out
}

// soaked is an invented study: two conditions of n specimens over three falls, on
// logarithms with these spreads between and within specimens.
func soaked(n int, ratio, between, within float64, seed uint64) Data {
	r := rand.New(rand.NewPCG(seed, 1))
	var d Data
	for c, condition := range []string{"Marram dry", "Marram soaked"} {
		for i := range n {
			level := math.Log(3500) + float64(c)*math.Log(ratio) + between*r.NormFloat64()
			var values []float64
			for f := range 3 {
				values = append(values, math.Exp(level+0.05*float64(f)+within*r.NormFloat64()))
			}
			d.add(condition, string(rune('A'+c))+string(rune('1'+i)), values...)
		}
	}
	return d
}
