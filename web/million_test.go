package web

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"sync"
	"testing"
	"time"

	"fallwright.example/study"
	"fallwright.example/trace"
)

// longDesk has one trace of ten million samples with a spike one sample wide.
type longDesk struct {
	*fakeDesk
	curves *study.Curves
}

const (
	longSamples = 10_000_000
	longSpike   = 7_654_321
)

var longCurves = sync.OnceValue(func() *study.Curves {
	s := &trace.Signal{Time: make([]float64, longSamples), Force: make([]float64, longSamples)}
	for i := range s.Time {
		s.Time[i] = float64(i) / 50_000
		s.Force[i] = 1000 * math.Sin(float64(i)/40_000)
	}
	s.Force[longSpike] = 9000
	return study.NewCurves(&trace.Reading{}, s)
})

func (d longDesk) Curves(context.Context, string, string, study.Filter) (*study.Curves, error) {
	return d.curves, nil
}

// TestTenMillion walks through ten million samples as a plot does, keeps the
// spike in every window that has it, and says how long a window takes.
func TestTenMillion(t *testing.T) {
	if testing.Short() {
		t.Skip("NOT CHECKED: ten million samples through the points endpoint, left out of a short run")
	}
	h := New(longDesk{fake(t), longCurves()}, Options{})
	spike := float64(longSpike) / 50_000
	begun, asked := time.Now(), 0
	for half := 100.0; half > 0.0002; half /= 3 {
		for _, shift := range []float64{0, 0.3, 1.5} {
			from := max(0, spike-half+shift*half)
			if from >= longSamples/50_000 {
				continue // after the trace
			}
			w := ask(h, fmt.Sprintf("/study/sea-water/trace/drop-040/points?from=%.6f&to=%.6f&width=1500", from, from+2*half))
			var g given
			if err := json.Unmarshal(w.Body.Bytes(), &g); err != nil || w.Code != http.StatusOK {
				t.Fatalf("status %d, %v", w.Code, err)
			}
			_, high := extremes(g.Time, g.Force, window{from, from + 2*half})
			if has := from <= spike && spike <= from+2*half; has != (high == 9000) {
				t.Errorf("from %.6f to %.6f the highest is %g, the spike is at %.6f", from, from+2*half, high, spike)
			}
			if len(g.Time) > 2*1500+2 {
				t.Errorf("%d points for 1500 columns", len(g.Time))
			}
			asked++
		}
	}
	if asked < 30 {
		t.Fatalf("%d windows were looked at", asked)
	}
	t.Logf("%d windows of %d samples, %.2g ms each, with their JSON", asked, longSamples, 1000*time.Since(begun).Seconds()/float64(asked))
}
