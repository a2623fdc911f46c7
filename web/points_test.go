package web

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"strings"
	"testing"

	"fallwright.example/study"
	"fallwright.example/trace"
)

// given is what the points endpoint gave, read back.
type given struct {
	Start, End float64
	Time       []float64 `json:"time_s"`
	Force      []float64 `json:"force_N"`
	Speed      struct {
		Time  []float64 `json:"time_s"`
		Speed []float64 `json:"speed_mps"`
	} `json:"speed"`
	Stretch struct {
		Time    []float64 `json:"time_s"`
		Stretch []float64 `json:"stretch_m"`
	} `json:"stretch"`
	Contacts []struct {
		Peak float64 `json:"peak_N"`
	} `json:"contacts"`
}

func askPoints(t *testing.T, h http.Handler, query string) given {
	t.Helper()
	w := ask(h, "/study/sea-water/trace/drop-040/points"+query)
	var g given
	if err := json.Unmarshal(w.Body.Bytes(), &g); err != nil || w.Code != 200 {
		t.Fatalf("%s: status %d, %v", query, w.Code, err)
	}
	return g
}

func extremes(time, value []float64, w window) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for i, t := range time {
		if t >= w.From && t <= w.To {
			low, high = min(low, value[i]), max(high, value[i])
		}
	}
	return low, high
}

// TestPointsKeepPeaks holds that the largest and the smallest value of any
// window are the data's, to the last bit, however few columns there are.
func TestPointsKeepPeaks(t *testing.T) {
	d := fake(t)
	h := app(t)
	view, err := d.Trace(t.Context(), "sea-water", "drop-040")
	if err != nil {
		t.Fatal(err)
	}
	s := view.Signal
	all, _ := whole(s)
	rng := rand.New(rand.NewPCG(1, 2))
	checked, thinned := 0, 0
	for range 60 {
		a, b := all.From+rng.Float64()*all.length(), all.From+rng.Float64()*all.length()
		w := window{math.Round(min(a, b)*1e9) / 1e9, math.Round(max(a, b)*1e9) / 1e9}
		if w.length() < 0.01 {
			continue
		}
		g := askPoints(t, h, fmt.Sprintf("%s&width=%d", w.query(), 50+rng.IntN(800)))
		low, high := extremes(s.Time, s.Force, w)
		gotLow, gotHigh := extremes(g.Time, g.Force, w)
		if gotLow != low || gotHigh != high {
			t.Errorf("force in %v: %v to %v, the data have %v to %v", w, gotLow, gotHigh, low, high)
		}
		low, high = extremes(s.Time[s.First:s.First+len(s.Speed)], s.Speed, w)
		gotLow, gotHigh = extremes(g.Speed.Time, g.Speed.Speed, w)
		if gotLow != low || gotHigh != high {
			t.Errorf("speed in %v: %v to %v, the data have %v to %v", w, gotLow, gotHigh, low, high)
		}
		low, high = extremes(s.Time[s.First:s.First+len(s.Stretch)], s.Stretch, w)
		gotLow, gotHigh = extremes(g.Stretch.Time, g.Stretch.Stretch, w)
		if gotLow != low || gotHigh != high {
			t.Errorf("stretch in %v: %v to %v, the data have %v to %v", w, gotLow, gotHigh, low, high)
		}
		checked++
		if len(g.Time) < len(s.Time)/3 {
			thinned++
		}
	}
	if checked < 40 || thinned < 20 {
		t.Errorf("checked %d windows, %d of them thinned", checked, thinned)
	}
}

// TestPointsKeepSpike is the hard case: one sample above all others.
func TestPointsKeepSpike(t *testing.T) {
	s := &trace.Signal{}
	for i := range 100_000 {
		s.Time, s.Force = append(s.Time, float64(i)/1e4), append(s.Force, math.Sin(float64(i)))
	}
	s.Force[54_321] = 9000
	all, _ := whole(s)
	p := pointsOf(study.NewCurves(nil, s), all, fewestColumns)
	if _, high := extremes(p.Time, p.Force, all); high != 9000 || len(p.Time) > 2*fewestColumns+2 || len(p.Time) < 2*fewestColumns-2 {
		t.Errorf("highest of %d points is %v", len(p.Time), high)
	}
	if p.Speed != nil || p.Stretch != nil {
		t.Error("speed or stretch without any")
	}
}

func TestPointsAreWhole(t *testing.T) {
	g := askPoints(t, app(t), "")
	if len(g.Contacts) < 3 || len(g.Speed.Time) == 0 || len(g.Stretch.Time) == 0 {
		t.Errorf("%d contacts, %d speeds, %d stretches", len(g.Contacts), len(g.Speed.Time), len(g.Stretch.Time))
	}
	text, err := json.Marshal(numbers{1, math.NaN(), 0.1, math.Inf(1)})
	if err != nil || string(text) != "[1,null,0.1,null]" {
		t.Errorf("%s, %v", text, err)
	}
}

func TestWindowsRefused(t *testing.T) {
	h := app(t)
	for query, words := range map[string]string{
		"?from=x":            `"x" is not a time`,
		"?from=NaN":          "is not a time",
		"?from=1&to=0.5":     "has no length",
		"?from=90&to=91":     "outside the trace",
		"?width=10":          "pixel columns from 50 to 8000",
		"?width=many":        "pixel columns",
		"?width=100000":      "pixel columns",
		"?from=0.1&to=Inf":   "is not a time",
		"?from=-5&to=-4":     "outside the trace",
		"?from=0.3&to=0.300": "has no length",
	} {
		w := ask(h, "/study/sea-water/trace/drop-040/points"+query)
		var said struct{ Detail string }
		if err := json.Unmarshal(w.Body.Bytes(), &said); err != nil {
			t.Fatal(err)
		}
		if w.Code != 400 || !strings.Contains(said.Detail, words) {
			t.Errorf("%s: status %d, %q", query, w.Code, said.Detail)
		}
		if strings.Contains(query, "width") {
			continue
		}
		if w := ask(h, "/study/sea-water/trace/drop-040"+query); w.Code != 400 || !strings.Contains(w.Body.String(), `data-step="traces"`) {
			t.Errorf("the page at %s: status %d", query, w.Code)
		}
	}
}

// TestZoomLinks walks in by the plain links until there is no closer, and holds
// the laws of a window on the way.
func TestZoomLinks(t *testing.T) {
	view, err := fake(t).Trace(t.Context(), "sea-water", "drop-040")
	if err != nil {
		t.Fatal(err)
	}
	all, _ := whole(view.Signal)
	address := func(w window, name string) (window, bool) {
		for _, l := range zoomLinks("/t", "", view, w) {
			if l.Name != name {
				continue
			}
			if l.Href == "" {
				return w, false
			}
			var to window
			if n, _ := fmt.Sscanf(l.Href, "/t?from=%g&to=%g", &to.From, &to.To); n < 2 {
				to = all
			}
			if to.From < all.From-1e-9 || to.To > all.To+1e-9 || !(to.length() > 0) {
				t.Fatalf("%s from %v leads to %v outside %v", name, w, to, all)
			}
			return to, true
		}
		t.Fatalf("no link %s", name)
		return w, false
	}
	for _, end := range []string{"whole", "out", "left", "right"} {
		if to, ok := address(all, end); ok {
			t.Errorf("%s from the whole leads to %v", end, to)
		}
	}
	contact, _ := address(all, "contact")
	if c := view.Row.Reading.Contacts[0]; contact.From > c.Start || contact.To < c.End {
		t.Errorf("first contact from %v to %v is shown as %v", c.Start, c.End, contact)
	}
	w, steps := all, 0
	for ; steps < 40; steps++ {
		next, ok := address(w, "in")
		if !ok {
			break
		}
		if back, _ := address(next, "out"); math.Abs(back.length()-min(2*next.length(), all.length())) > 2e-9 {
			t.Errorf("in and out of %v gives %v", w, back)
		}
		w = next
	}
	if steps < 5 || math.Abs(w.length()-shortest(view.Signal)) > 2e-9 {
		t.Errorf("%d steps in to %v, the shortest is %v", steps, w, shortest(view.Signal))
	}
	if _, ok := address(w, "left"); !ok {
		t.Error("no way to the left from the middle")
	}
}
