package traceio_test

import (
	"math/rand/v2"
	"testing"

	"fallwright.example/traceio"
)

// Where no value may be a code, none is.
func TestNoCodeWhereNoneMayBe(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	found, none := 0, 0
	for range 3000 {
		values, kinds := make([]float64, 20), 4+rng.IntN(5)
		for i := range values {
			values[i] = []float64{0, 12.5, -8000, 9998.9, 9999, -9999, 99999, 1e30}[rng.IntN(kinds)]
		}
		switch may, at := traceio.MayMiss(values), traceio.MissingCode(values); {
		case at >= 0 && !may:
			t.Fatalf("%v: a code at %d where none may be", values, at)
		case at >= 0:
			found++
		case !may:
			none++
		}
	}
	if found < 100 || none < 100 {
		t.Fatalf("%d with codes, %d that may have none", found, none)
	}
}
