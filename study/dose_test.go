package study

import (
	"testing"

	"fallwright.example/internal/near"
	"fallwright.example/uptake"
)

// A change is a share of the value at the least water that was seen, not of a dry
// value that the line was never seen near. By hand: 3000 + 1000·0.3 = 3300.
func TestDoseIsNotReadBeyond(t *testing.T) {
	d := Dose{Dose: &uptake.Dose{AtZero: uptake.Estimate{Value: 3000}, Slope: uptake.Estimate{Value: 1000}, PerTenth: uptake.Estimate{Value: 100}, From: 0.3, To: 0.4}}
	if !near.Rel(d.AtLeast(), 3300, 1e-12) || !near.Rel(d.Share(), 100.0/3300, 1e-12) {
		t.Errorf("at least water %g, share %g", d.AtLeast(), d.Share())
	}
}
