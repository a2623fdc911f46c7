package storetest

import (
	"bytes"
	"math"
	"testing"
	"time"

	"fallwright.example/campaign"
	"fallwright.example/problem"
)

var waterQuestions = []question{
	{"a mass that the specimen cannot have is refused", func(t *testing.T, s Subject) {
		added(t, s)
		add := func(change func(*campaign.Weighing)) func() error {
			w := Weighing(4, "M-01", "")
			change(&w)
			return func() error { return s.AddWeighing(t.Context(), StudyName, w) }
		}
		refused(t, s, problem.Invalid, "grams as kilograms", add(func(w *campaign.Weighing) { w.Mass = 213.7 }))
		refused(t, s, problem.Invalid, "kilograms as grams", add(func(w *campaign.Weighing) { w.Mass = 0.0002137 }))
		refused(t, s, problem.Invalid, "soaked for no time", add(func(w *campaign.Weighing) { w.Soak = 0 }))
		refused(t, s, problem.Invalid, "of nothing known", add(func(w *campaign.Weighing) { w.Of = "damp" }))
		dry := campaign.Weighing{ID: "dry-1", Stamp: by(1), Specimen: "M-01", Of: campaign.DryMassOf, State: "dry", Mass: 0.21}
		done(t, s.AddWeighing(t.Context(), StudyName, dry))
		refused(t, s, problem.Invalid, "wet below dry", add(func(w *campaign.Weighing) { w.Mass = 0.2 }))
		refused(t, s, problem.Invalid, "three times the dry mass", add(func(w *campaign.Weighing) { w.Mass = 0.7 }))
		soaked := func(w *campaign.Weighing) { w.Of, w.Soak, w.Hung = campaign.Soaked, 60, 0 }
		done(t, add(soaked)())
		refused(t, s, problem.Conflict, "twice after one soak", add(func(w *campaign.Weighing) { soaked(w); w.ID = "w-5" }))
		done(t, add(func(w *campaign.Weighing) { soaked(w); w.ID, w.Replaces = "w-5", "weighing-4" })())
	}},
	{"gaugings come back whole, in the order made, and are corrected once", func(t *testing.T, s Subject) {
		added(t, s)
		one, two, three := Gauging(1, "M-01", ""), Gauging(2, "M-01", "gauging-1"), Gauging(3, "M-02", "")
		three.Sheath, three.Levels, three.Wet = nil, nil, false
		for _, g := range []campaign.Gauging{two, one, three} {
			if g.ID == "gauging-2" {
				continue // it needs the one it replaces
			}
			done(t, s.AddGauging(t.Context(), StudyName, g))
		}
		done(t, s.AddGauging(t.Context(), StudyName, two))
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff([]campaign.Gauging{one, two, three}, got.Gaugings); d != "" {
			t.Errorf("the gaugings are not as they should be (-want +got):\n%s", d)
		}
		add := func(g campaign.Gauging) func() error {
			return func() error { return s.AddGauging(t.Context(), StudyName, g) }
		}
		refused(t, s, problem.Conflict, "corrected twice", add(Gauging(4, "M-01", "gauging-1")))
		refused(t, s, problem.Conflict, "corrected by another specimen's", add(Gauging(4, "S-01", "gauging-2")))
		refused(t, s, problem.NotFound, "corrects none", add(Gauging(4, "M-01", "gauging-9")))
		refused(t, s, problem.NotFound, "of no specimen", add(Gauging(4, "M-99", "")))
		refused(t, s, problem.Conflict, "the ID is taken", add(Gauging(3, "M-01", "")))
		for what, spoil := range map[string]func(*campaign.Gauging){
			"metres for millimetres": func(g *campaign.Gauging) { g.Levels = [][]float64{{9.8, 9.9}} },
			"not a number":           func(g *campaign.Gauging) { g.Levels = [][]float64{{math.NaN()}} },
			"half of the nominal":    func(g *campaign.Gauging) { g.Levels = [][]float64{{0.0049}} },
			"an empty level":         func(g *campaign.Gauging) { g.Levels = [][]float64{{}} },
			"a load below zero":      func(g *campaign.Gauging) { g.Load = -1 },
			"no time":                func(g *campaign.Gauging) { g.At = time.Time{} },
			"nothing":                func(g *campaign.Gauging) { g.Levels, g.Length, g.Sheath = nil, 0, nil },
		} {
			g := Gauging(5, "M-01", "")
			spoil(&g)
			refused(t, s, problem.Invalid, what, add(g))
		}
	}},
	{"pulls come back whole with their bytes, and are corrected once", func(t *testing.T, s Subject) {
		added(t, s)
		one, data := Pull(1, "M-01", "")
		two, _ := Pull(2, "M-01", "pull-1")
		two.Trace, two.StickSlip, two.Wet = nil, nil, false
		done(t, s.AddPull(t.Context(), StudyName, one, data))
		done(t, s.AddPull(t.Context(), StudyName, two, nil))
		got, err := s.Study(t.Context(), StudyName)
		done(t, err)
		if d := diff([]campaign.Pull{one, two}, got.Pulls); d != "" {
			t.Errorf("the pulls are not as they should be (-want +got):\n%s", d)
		}
		if kept, err := s.File(t.Context(), one.Trace.SHA256); err != nil || !bytes.Equal(kept, data) {
			t.Errorf("the trace came back as %d bytes, %v", len(kept), err)
		}
		refused(t, s, problem.Invalid, "bytes and no trace", func() error {
			p, data := Pull(3, "M-01", "")
			p.Trace = nil
			return s.AddPull(t.Context(), StudyName, p, data)
		})
		refused(t, s, problem.Invalid, "a trace with other bytes", func() error { p, _ := Pull(3, "M-01", ""); return s.AddPull(t.Context(), StudyName, p, traceBytes(9)) })
		add := func(change func(*campaign.Pull)) func() error {
			p, _ := Pull(3, "M-01", "")
			p.Trace = nil
			change(&p)
			return func() error { return s.AddPull(t.Context(), StudyName, p, nil) }
		}
		refused(t, s, problem.Conflict, "corrected twice", add(func(p *campaign.Pull) { p.Replaces = "pull-1" }))
		refused(t, s, problem.NotFound, "of no specimen", add(func(p *campaign.Pull) { p.Specimen = "M-99" }))
		refused(t, s, problem.Invalid, "no device", add(func(p *campaign.Pull) { p.Device = " " }))
		refused(t, s, problem.Invalid, "no force", add(func(p *campaign.Pull) { p.Mean = 0 }))
		refused(t, s, problem.Invalid, "kilonewtons as newtons", add(func(p *campaign.Pull) { p.Mean = 85000 }))
		refused(t, s, problem.Invalid, "a speed that is none", add(func(p *campaign.Pull) { p.Speed = math.Inf(1) }))
	}},
}
