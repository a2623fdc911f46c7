package study

import (
	"context"
	"sync"

	"fallwright.example/campaign"
	"fallwright.example/figure"
	"fallwright.example/trace"
)

// Curves are a signal with its reading, ready to be drawn in any window at
// once.
type Curves struct {
	Reading *trace.Reading
	Signal  *trace.Signal
	Force   *figure.Pyramid
	Speed   *figure.Pyramid // nil where it is not known, as Stretch
	Stretch *figure.Pyramid

	spectrum func() (*Spectrum, error) // made when first asked for
}

// NewCurves makes the curves of a signal; the reading is the one taken with it.
func NewCurves(r *trace.Reading, s *trace.Signal) *Curves {
	c := &Curves{Reading: r, Signal: s, Force: figure.NewPyramid(s.Time, s.Force)}
	motion := func(v []float64) *figure.Pyramid {
		if len(v) == 0 || s.First < 0 || s.First+len(v) > len(s.Time) {
			return nil
		}
		return figure.NewPyramid(s.Time[s.First:s.First+len(v)], v)
	}
	c.Speed, c.Stretch = motion(s.Speed), motion(s.Stretch)
	c.spectrum = sync.OnceValues(c.makeSpectrum)
	return c
}

// bytes is what the curves take in memory beside the recording.
func (c *Curves) bytes() int64 {
	n := 8 * int64(len(c.Signal.Time)+len(c.Signal.Force)+len(c.Signal.Speed)+len(c.Signal.Stretch))
	return n + c.Force.Bytes() + c.Speed.Bytes() + c.Stretch.Bytes()
}

// recording is a drop's trace, read as ask says.
func (d *Desk) recording(ctx context.Context, drop campaign.Drop, ask trace.Ask) (*trace.Recording, error) {
	key := keptKey{sha256: drop.Trace.SHA256, ask: ask}
	v, err := d.kept.get(ctx, d.mostKept(), key, func(ctx context.Context) (any, int64, error) {
		data, err := d.Store.File(ctx, drop.Trace.SHA256)
		if err != nil {
			return nil, 0, err
		}
		rec, err := d.part(drop.Trace.Name, data, ask)
		if err != nil {
			return nil, 0, err
		}
		return rec, 8 * int64(len(rec.Time)+len(rec.Force)+len(rec.Stretch)+len(rec.Gate)), nil
	})
	if err != nil {
		return nil, err
	}
	return v.(*trace.Recording), nil
}

// curves are a drop's trace, read as ask and the settings say.
func (d *Desk) curves(ctx context.Context, drop campaign.Drop, ask trace.Ask, set trace.Settings) (*Curves, error) {
	key := keptKey{sha256: drop.Trace.SHA256, ask: ask, signal: true, set: set}
	v, err := d.kept.get(ctx, d.mostKept(), key, func(ctx context.Context) (any, int64, error) {
		rec, err := d.recording(ctx, drop, ask)
		if err != nil {
			return nil, 0, err
		}
		r, signal, err := trace.Take(rec, set)
		if err != nil {
			return nil, 0, located(err, drop.Trace.Name)
		}
		c := NewCurves(r, signal)
		return c, c.bytes(), nil
	})
	if err != nil {
		return nil, err
	}
	return v.(*Curves), nil
}
