package web

import (
	"encoding/json"
	"math"
	"net/http"
	"strconv"

	"fallwright.example/problem"
	"fallwright.example/study"
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
	name, drop, query := r.PathValue("name"), r.PathValue("drop"), r.URL.Query()
	stored, err := s.desk.Curves(r.Context(), name, drop, study.Filter{})
	if err != nil {
		return answer{}, err
	}
	w, err := readWindow(query, stored.Signal)
	if err != nil {
		return answer{}, err
	}
	columns, err := readColumns(query.Get("width"))
	if err != nil {
		return answer{}, err
	}
	p := pointsOf(stored, w, columns)
	if class, asked, err := readClass(query); err != nil {
		return answer{}, err
	} else if asked {
		second, err := s.desk.Curves(r.Context(), name, drop, study.Filter{Given: true, Class: class})
		if err != nil {
			return answer{}, err
		}
		p.Second = forceOf(second, w, columns)
	}
	body, err := json.Marshal(p)
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
	Time     numbers         `json:"time_s"`
	Force    numbers         `json:"force_N"`
	Speed    *speedPoints    `json:"speed"` // null where it cannot be had
	Stretch  *stretchPoints  `json:"stretch"`
	Contacts []contactPoints `json:"contacts"`
	Second   *forcePoints    `json:"second"` // of the reading that was asked for beside it
}

type forcePoints struct {
	Time  numbers `json:"time_s"`
	Force numbers `json:"force_N"`
}

type speedPoints struct {
	Time  numbers `json:"time_s"`
	Speed numbers `json:"speed_mps"`
}

type stretchPoints struct {
	Time    numbers `json:"time_s"`
	Stretch numbers `json:"stretch_m"`
}

type contactPoints struct {
	Start  float64 `json:"start_s"`
	End    float64 `json:"end_s"`
	PeakAt float64 `json:"peak_at_s"`
	Peak   float64 `json:"peak_N"`
}

func pointsOf(c *study.Curves, w window, columns int) windowPoints {
	all, _ := whole(c.Signal)
	p := windowPoints{Start: all.From, End: all.To, Step: sampleStep(c.Signal), Samples: len(c.Signal.Time), Contacts: []contactPoints{}}
	force := forceOf(c, w, columns)
	p.Time, p.Force = force.Time, force.Force
	if c.Speed != nil {
		t, v := c.Speed.Thin(w.From, w.To, columns)
		p.Speed = &speedPoints{t, v}
	}
	if c.Stretch != nil {
		t, v := c.Stretch.Thin(w.From, w.To, columns)
		p.Stretch = &stretchPoints{t, v}
	}
	if c.Reading != nil {
		for _, k := range c.Reading.Contacts {
			p.Contacts = append(p.Contacts, contactPoints{k.Start, k.End, k.PeakAt, k.Peak})
		}
	}
	return p
}

func forceOf(c *study.Curves, w window, columns int) *forcePoints {
	t, v := c.Force.Thin(w.From, w.To, columns)
	return &forcePoints{t, v}
}

// numbers are as JSON: null for what is not finite, and nothing lost.
type numbers []float64

// MarshalJSON writes the shortest decimals that give the same numbers back.
func (s numbers) MarshalJSON() ([]byte, error) {
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
