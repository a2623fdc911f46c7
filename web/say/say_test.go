package say

import (
	"math"
	"testing"
	"time"

	"fallwright.example/campaign"
)

// What each value looks like; the texts are this package's own and have no
// outside source.
func TestWords(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct{ got, want string }{
		{Force(3472), "3.47\u202fkN"},
		{Force(-40), "−0.04\u202fkN"},
		{Force(nan), "–"},
		{Newtons(4.26), "4.3\u202fN"},
		{Milliseconds(0.18762), "187.6\u202fms"},
		{Seconds(0.5261), "0.526\u202fs"},
		{Speed(5.277), "5.28\u202fm/s"},
		{Length(0.8634), "0.863\u202fm"},
		{Energy(1058.4), "1058\u202fJ"},
		{Impulse(988.77), "988.8\u202fN s"},
		{Mass(0.2115), "211.5\u202fg"},
		{Mass(80), "80\u202fkg"},
		{Mass(80.25), "80.2\u202fkg"},
		{Rate(5000), "5\u202fkHz"},
		{Rate(2048), "2.048\u202fkHz"},
		{Rate(250), "250\u202fHz"},
		{Rate(nan), "–"},
		{Known(0, "mm"), "–"},
		{Known(9.6, "mm"), "9.6\u202fmm"},
		{Duration(0), "0\u202fs"},
		{Duration(190 * time.Second), "3\u202fmin 10\u202fs"},
		{Duration(3 * time.Minute), "3\u202fmin"},
		{Duration(125*time.Minute + 20*time.Second), "2\u202fh 5\u202fmin"},
		{Duration(59*time.Second + 600*time.Millisecond), "1\u202fmin"},
		{Day(time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC)), "4 May 2026"},
		{Clock(time.Date(2026, 5, 4, 9, 3, 0, 0, time.UTC)), "4 May 09:03"},
		{Clock(time.Time{}), "–"},
		{Margin(campaign.PeakForce, campaign.Margin{Share: 0.05}), "5\u202f%"},
		{Margin(campaign.PeakForce, campaign.Margin{Share: 0.125}), "12.5\u202f%"},
		{Margin(campaign.PeakForce, campaign.Margin{Amount: 250}), "0.25\u202fkN"},
		{Margin(campaign.ReboundSpeed, campaign.Margin{Amount: 0.2}), "0.2\u202fm/s"},
		{Falls(nil), "–"},
		{Falls([]int{5}), "fall 5"},
		{Falls([]int{1, 2, 3}), "falls 1 to 3"},
		{Falls([]int{4, 5}), "falls 4, 5"},
		{Falls([]int{1, 3, 5}), "falls 1, 3, 5"},
		{Bound("10.0 % higher"), "10.0\u202f% higher"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
