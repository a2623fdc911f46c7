package figure

import (
	"math"
	"testing"

	"fallwright.example/campaign"
	"fallwright.example/compare"
)

func TestNumbersAsPeopleReadThem(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct{ got, want string }{
		{Fixed(3.456, 2), "3.46"},
		{Fixed(-3.456, 2), "−3.46"},
		{Fixed(-0.004, 2), "0.00"},
		{Fixed(math.Copysign(0, -1), 1), "0.0"},
		{Fixed(nan, 2), "–"},
		{Fixed(math.Inf(1), 2), "–"},
		{Signed(9.84, 1), "+9.8"},
		{Signed(0.04, 1), "0.0"},
		{Signed(-2, 1), "−2.0"},
		{Signed(nan, 1), "–"},
		{KN(3812.4), "3.81"},
		{Percent(9.8), "+9.8\u202f%"},
		{Percent(nan), "–"},
		{Range(6.1, 13.6, 1), "6.1 to 13.6"},
		{Range(-2, 4.9, 1), "−2.0 to 4.9"},
		{Range(nan, 1, 1), "–"},
		{UnitOf(campaign.PeakForce).With(3812), "3.81\u202fkN"},
		{UnitOf(campaign.PeakForce).Signed(-210), "−0.21\u202fkN"},
		{UnitOf(campaign.ReboundSpeed).With(1.504), "1.50\u202fm/s"},
		{UnitOf(campaign.MaxStretch).With(0.3214), "0.321\u202fm"},
		{UnitOf(campaign.EnergyAbsorbed).With(812.6), "813\u202fJ"},
		{UnitOf(campaign.EnergyAbsorbed).With(nan), "–"},
		{Counted(0, "drop"), "no drops"},
		{Counted(1, "drop"), "1 drop"},
		{Counted(12, "drop"), "12 drops"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestEachVerdictHasItsOwnSign(t *testing.T) {
	seen := map[string]compare.Verdict{}
	for _, v := range []compare.Verdict{compare.Higher, compare.Lower, compare.NoDifference, compare.NotSettled, compare.NoClaim} {
		if other, ok := seen[VerdictSign(v)]; ok {
			t.Errorf("%s and %s share the sign %s", v, other, VerdictSign(v))
		}
		seen[VerdictSign(v)] = v
	}
}

// Every measure has a unit of its own to be shown in.
func TestEveryMeasureHasAUnit(t *testing.T) {
	n := 0
	for _, m := range campaign.Measures() {
		u := UnitOf(m)
		if u.Name == "" || u.Scale == 0 {
			t.Errorf("%s is shown as %+v", m, u)
		}
		n++
	}
	if n == 0 {
		t.Fatal("no measure was checked")
	}
}
