package study_test

import (
	"math"
	"testing"

	"fallwright.example/study"
	"fallwright.example/trace"
)

// The spectrum of a long trace is of the samples around its first contact only,
// has the line that is there, and is made once.
func TestSpectrumOfALongTrace(t *testing.T) {
	const n, rate = 1<<20 + 1<<20, 10_000.0
	s := &trace.Signal{Time: make([]float64, n), Force: make([]float64, n)}
	for i := range s.Time {
		s.Time[i] = float64(i) / rate
		if i < 900_000 {
			s.Force[i] = 50 * math.Sin(2*math.Pi*1000*s.Time[i]) // before the part: must not show
		} else {
			s.Force[i] = 10 * math.Sin(2*math.Pi*500*s.Time[i])
		}
	}
	s.Time[3] += 0.4 / rate // uneven, where nobody looks
	c := study.NewCurves(&trace.Reading{Contacts: []trace.Contact{{From: 1_000_000}}}, s)
	sp, err := c.Spectrum()
	if err != nil || c.SpectrumOfAll() {
		t.Fatal(err)
	}
	at, other := 0, 0.0
	for k, d := range sp.Density {
		if d > sp.Density[at] {
			at = k
		}
		if math.Abs(sp.Frequency[k]-1000) < 5 {
			other = max(other, d)
		}
	}
	if math.Abs(sp.Frequency[at]-500) > 1 || other > 1e-3*sp.Density[at] {
		t.Errorf("the line is at %g Hz, at 1000 Hz it has %g of it", sp.Frequency[at], other/sp.Density[at])
	}
	if again, _ := c.Spectrum(); again != sp {
		t.Error("it was made twice")
	}
}

// When not all fits, what is drawn stays and the recording it came from goes.
func TestDrawnIsKept(t *testing.T) {
	d, _ := manyDesk(t)
	data := []byte("drops A")
	drop := add(t, d, release("A", 1, 0, data))
	c, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{})
	if err != nil {
		t.Fatal(err)
	}
	g := c.Signal
	room := int64(8*(len(g.Time)+len(g.Force)+len(g.Speed)+len(g.Stretch))) + c.Force.Bytes() + c.Speed.Bytes() + c.Stretch.Bytes()
	for _, keep := range []int64{room + 1000, room + 100_000} { // without the recording, and with it
		d, _ = manyDesk(t)
		drop = add(t, d, release("A", 1, 0, data))
		d.KeepBytes = keep
		one, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{})
		if err != nil {
			t.Fatal(err)
		}
		if two, err := d.Curves(t.Context(), "wet", drop.ID, study.Filter{}); err != nil || two != one {
			t.Errorf("with room for %d bytes it was made again, %v", keep, err)
		}
	}
}
