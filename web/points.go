package web

import (
	"encoding/json"
	"math"
	"net/http"
	"strconv"

	"fallwright.example/figure"
	"fallwright.example/problem"
	"fallwright.example/trace"
)

// Columns of pixels that may be asked for.
const (
	fewestColumns = 50
	mostColumns   = 8000
)

// points is what the plot draws: of each pixel column of the window the
// smallest and the largest sample, so that no peak is lost. Times are on the
// recorder's clock.
func (s *server) points(r *http.Request) (answer, error) {
	t, err := s.desk.Trace(r.Context(), r.PathValue("name"), r.PathValue("drop"))
	if err != nil {
		return answer{}, err
	}
	w, err := readWindow(r.URL.Query(), t.Signal)
	if err != nil {
		return answer{}, err
	}
	columns, err := readColumns(r.URL.Query().Get("width"))
	if err != nil {
		return answer{}, err
	}
	body, err := json.Marshal(pointsOf(t.Signal, t.Row.Reading, w, columns))
	return answer{kind: "application/json", body: body}, err
}

func readColumns(text string) (int, error) {
	if text == "" {
		return 800, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < fewestColumns || n > mostColumns {
		return 0, problem.New(problem.Invalid, "width", "%q is not a whole number of pixel columns from %d to %d", text, fewestColumns, mostColumns)
	}
	return n, nil
}

// window's points, as JSON.
type windowPoints struct {
	Start    float64         `json:"start_s"` // of the whole trace
	End      float64         `json:"end_s"`
	Step     float64         `json:"step_s"`  // between two samples, on average
	Samples  int             `json:"samples"` // of the whole trace
	Time     series          `json:"time_s"`
	Force    series          `json:"force_N"`
	Speed    *speedPoints    `json:"speed"` // null where it cannot be had
	Stretch  *stretchPoints  `json:"stretch"`
	Contacts []contactPoints `json:"contacts"`
}

type speedPoints struct {
	Time  series `json:"time_s"`
	Speed series `json:"speed_mps"`
}

type stretchPoints struct {
	Time    series `json:"time_s"`
	Stretch series `json:"stretch_m"`
}

type contactPoints struct {
	Start  float64 `json:"start_s"`
	End    float64 `json:"end_s"`
	PeakAt float64 `json:"peak_at_s"`
	Peak   float64 `json:"peak_N"`
}

func pointsOf(s *trace.Signal, r *trace.Reading, w window, columns int) windowPoints {
	all, _ := whole(s)
	p := windowPoints{Start: all.From, End: all.To, Step: sampleStep(s), Samples: len(s.Time), Contacts: []contactPoints{}}
	t, v := figure.Thin(s.Time, s.Force, w.From, w.To, columns)
	p.Time, p.Force = t, v
	if t, v, ok := motion(s, s.Speed, w, columns); ok {
		p.Speed = &speedPoints{t, v}
	}
	if t, v, ok := motion(s, s.Stretch, w, columns); ok {
		p.Stretch = &stretchPoints{t, v}
	}
	if r != nil {
		for _, c := range r.Contacts {
			p.Contacts = append(p.Contacts, contactPoints{c.Start, c.End, c.PeakAt, c.Peak})
		}
	}
	return p
}

// motion thins a value that is there over the first contact only.
func motion(s *trace.Signal, value []float64, w window, columns int) (t, v []float64, ok bool) {
	if len(value) == 0 || s.First < 0 || s.First+len(value) > len(s.Time) {
		return nil, nil, false
	}
	t, v = figure.Thin(s.Time[s.First:s.First+len(value)], value, w.From, w.To, columns)
	return t, v, true
}

// series is numbers as JSON: null for what is not finite, and nothing lost.
type series []float64

// MarshalJSON writes the shortest decimals that give the same numbers back.
func (s series) MarshalJSON() ([]byte, error) {
	b := make([]byte, 0, 12*len(s)+2)
	b = append(b, '[')
	for i, v := range s {
		if i > 0 {
			b = append(b, ',')
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b = append(b, "null"...)
			continue
		}
		b = strconv.AppendFloat(b, v, 'g', -1, 64)
	}
	return append(b, ']'), nil
}
