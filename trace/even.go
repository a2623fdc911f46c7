package trace

import (
	"fmt"
	"slices"
)

func medianInterval(time []float64) float64 {
	d := make([]float64, len(time)-1)
	for i := range d {
		d[i] = time[i+1] - time[i]
	}
	slices.Sort(d)
	return d[len(d)/2]
}

func unevenness(time []float64) string {
	low, high := time[1]-time[0], time[1]-time[0]
	for i := 2; i < len(time); i++ {
		low, high = min(low, time[i]-time[i-1]), max(high, time[i]-time[i-1])
	}
	return fmt.Sprintf("intervals run from %.4g to %.4g ms, %.4g ms is usual", 1e3*low, 1e3*high, 1e3*medianInterval(time))
}

// resample puts values on even times from the first sample on, along straight
// lines.
func resample(time, value []float64, dt float64) []float64 {
	n := int((time[len(time)-1]-time[0])/dt) + 1
	out := make([]float64, n)
	k := 0
	for i := range out {
		t := time[0] + float64(i)*dt
		for k+2 < len(time) && time[k+1] < t {
			k++
		}
		share := (t - time[k]) / (time[k+1] - time[k])
		out[i] = value[k] + share*(value[k+1]-value[k])
	}
	return out
}

// at reads even values, dt apart from time[0] on, back at the time stamps.
func at(time, even []float64, dt float64) []float64 {
	out := make([]float64, len(time))
	for i, t := range time {
		p := (t - time[0]) / dt
		k := min(int(p), len(even)-2)
		out[i] = even[k] + (p-float64(k))*(even[k+1]-even[k])
	}
	return out
}
